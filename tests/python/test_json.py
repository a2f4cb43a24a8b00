# SPDX-License-Identifier: GPL-3.0-or-later
"""Results as JSON: by the schema of the docs, number for number as the results have them, and so from the command."""
import json
import math
import pathlib

import jsonschema
import oxtint
import pytest
from oxtint.command import main

ROOT = pathlib.Path(__file__).resolve().parents[2]
SCHEMA = json.loads((ROOT / "docs/static/results.schema.json").read_text(encoding="utf-8"))


def check(text: str, name: str) -> None:
    """A result follows its definition in the schema."""
    jsonschema.Draft202012Validator({**SCHEMA, "$ref": f"#/$defs/{name}"}).validate(json.loads(text))


@pytest.fixture(scope="module")
def log() -> oxtint.TrialLog:
    return oxtint.read_trials(ROOT / "examples/demo/trials.csv")


@pytest.fixture(scope="module")
def results(log):
    fit = oxtint.fit(log, "Alder 1", "satin")
    steel = fit.steel
    return {
        "fit": fit, "laws": fit.laws(), "advice": steel.advise(count=2),
        "pool": oxtint.pool(log), "dip": steel.dip("blue", "600 F", part="6 mm", lift="4 s"),
        "set": oxtint.plan_set([("bezel", steel, "blue"), ("ring", steel, "blue", {"part": "6 mm"})], "600 F")}


@pytest.mark.parametrize("name", ["fit", "laws", "advice", "pool", "dip", "set"])
def test_each_result_follows_the_schema(results, name) -> None:
    check(results[name].to_json(), name)


def same(found, expected) -> bool:
    if isinstance(expected, float) and not math.isfinite(expected):
        return found is None
    return found == expected


@pytest.mark.parametrize("name", ["fit", "laws", "pool"])
def test_numbers_are_those_of_the_result(results, name) -> None:
    told, fields = json.loads(results[name].to_json()), results[name].to_dict()
    plain = {key: value for key, value in fields.items() if isinstance(value, float)}
    assert len(plain) > 8
    assert {key for key, value in plain.items() if not same(told[key], value)} == set()


def test_a_fit_has_its_rows_and_warnings(results) -> None:
    fit, told = results["fit"], json.loads(results["fit"].to_json())
    assert [row["predicted_nm"] for row in told["rows"]] == [row.predicted_nm for row in fit.rows]
    assert [row["reason"] for row in told["rows"]] == [row.reason for row in fit.rows]
    assert [warning["text"] for warning in told["warnings"]] == list(fit.warnings)
    assert told["growth"]["Q_J_per_mol"] == fit.Q_J_per_mol


def test_a_dip_and_a_set_say_the_same(results) -> None:
    for dip, told in [(results["dip"], json.loads(results["dip"].to_json())),
                      *zip([step.dip for step in results["set"].steps],
                           [step["dip"] for step in json.loads(results["set"].to_json())["steps"]])]:
        assert told["next_interval_s"] == list(dip.next_interval_s)
        assert told["interval_s"] == list(dip.interval_s)
        assert told["target"]["aim_nm"] == dip.target.aim_nm
        assert [caution["name"] for caution in told["cautions"]] == [caution.name for caution in dip.cautions]
        for name in ("bath_K", "time_s", "earliest_s", "latest_s", "chance", "lag_s", "quench_nm", "part_text",
                     "part_source", "lift_source", "part_shape", "part_size_m", "lift_s"):
            assert told[name] == getattr(dip, name), name


def test_the_command_prints_it(capsys, tmp_path, log, results) -> None:
    card, trials = tmp_path / "card.json", ROOT / "examples/demo/trials.csv"
    results["fit"].steel.save(card)
    for name, asked in {"dip": ["dip", card, "--target", "blue", "--bath", "600 F"],
                        "advice": ["advise", card], "laws": ["laws", trials, "--steel", "Alder 1", "--finish", "satin"],
                        "fit": ["fit", trials, "--steel", "Alder 1", "--finish", "satin"]}.items():
        assert main([*map(str, asked), "--json"]) == 0
        check(capsys.readouterr().out, name)


def test_errors_of_a_set_name_the_part(results) -> None:
    steel = results["fit"].steel
    with pytest.raises(oxtint.OxtintError, match="part 2, ring: brass is not for this process"):
        oxtint.plan_set([("bezel", steel, "blue"),
                         ("ring", steel, "blue", {"part": oxtint.Part("6 mm", metal="brass")})], "600 F")
