# SPDX-License-Identifier: GPL-3.0-or-later
"""The command: what its numbers are, its files and its streams. Its texts: test_command_texts.py."""
import json
import os
import pathlib
import re
import subprocess
import sys

import hypothesis
import hypothesis.strategies as some
import numpy as np
import oxtint
import pytest
from oxtint.command import main

from conftest import DEMO, ROOT


def run(*arguments: object, said: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "oxtint", *map(str, arguments)], input=said,
                          capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def card(tmp_path_factory):
    """The card of one steel of the demo shop."""
    path = tmp_path_factory.mktemp("cards") / "alder.json"
    assert run("fit", DEMO, "--steel", "Alder 1", "--finish", "satin", "--save",
               path).returncode == 0
    return path


def test_a_card_that_cannot_be_written_loses_nothing(tmp_path) -> None:
    result = run("fit", DEMO, "--steel", "Birch 2", "--save", tmp_path / "missing" / "card.json")
    assert result.returncode == 1 and "No such file" in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_limits_without_end_are_printed(tmp_path) -> None:
    """Three coupons of a stated scatter leave one degree of freedom, whose Student's t is Cauchy's."""
    (tmp_path / "three.csv").write_text("steel,bath_F,time_s,thickness_nm\nAlder 1,550,100,22\n"
                                        "Alder 1,600,100,46\nAlder 1,650,100,42\n", encoding="utf-8")
    card = tmp_path / "three.json"
    oxtint.fit(oxtint.read_trials(tmp_path / "three.csv"), scatter=0.4).steel.save(card)
    for more in ([], ["--part", "6 mm", "--lift", "3 s"]):
        asked = ("dip", card, "--target", "blue", "--bath", "600 F", *more)
        assert "to over 11 days" in run(*asked).stdout
        assert json.loads(run(*asked, "--json").stdout)["next_interval_s"][1] > 1e6


@pytest.mark.parametrize(("name", "start"), [("chart.png", b"\x89PNG"), ("chart.svg", b"<?xml"),
                                             ("chart.pdf", b"%PDF")])
def test_chart(card, tmp_path, name: str, start: bytes) -> None:
    assert run("chart", card, "--trials", DEMO, "--save", tmp_path / name).returncode == 0
    assert (tmp_path / name).read_bytes().startswith(start)
    assert [path.name for path in tmp_path.iterdir()] == [name]  # nothing half-written is left
    refused = run("chart", card, "--save", tmp_path / "chart.txt")
    assert refused.returncode == 1 and ".png, .svg or .pdf" in refused.stderr


def test_chart_marks_a_dip(card, tmp_path) -> None:
    path = tmp_path / "chart.svg"
    assert run("chart", card, "--save", path, "--target", "blue", "--bath", "600 F").returncode == 0
    assert ">lift after 1:33</text>" in path.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["wall.pdf", "wall.svg", "wall.png"])
def test_sheet(card, tmp_path, name: str) -> None:
    made = run("sheet", card, "--bath", "600 F", "--bath", "650 F", "--target", "blue", "--finish",
               "satin", "--oiled", "--part", "6 mm", "--lift", "4 s", "--coupon", "2 mm", "--paper",
               "letter", "--units", "C", "--save", tmp_path / name)
    assert made.returncode == 0 and made.stderr == "" and f"Saved {tmp_path / name}" in made.stdout
    assert [path.name for path in tmp_path.iterdir()] == [name]
    if name == "wall.svg":
        words = (tmp_path / name).read_text(encoding="utf-8")
        for line in ("Alder 1, satin", "bath at 315.6 C", "bath at 343.3 C", "second-order purple",
                     "Part: 6 mm plate, 4 s to the quench; coupons of the trials: 2 mm plate"):
            assert f">{line}</text>" in words


@pytest.fixture
def said(capsys):
    """What a command prints as JSON, as values."""
    def values(*arguments: object):
        assert main([*map(str, arguments), "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    return values


ALDER = (DEMO, "--steel", "Alder 1", "--finish", "satin")


def test_numbers_are_those_of_the_package(said, card, fitted, steel) -> None:
    fit = said("fit", *ALDER)
    assert fit["growth"]["Q_J_per_mol"] == fitted.Q_J_per_mol and len(fit["rows"]) == fitted.row_count
    dip = said("dip", card, "--target", "blue", "--bath", "600 F", "--part", "6 mm", "--lift", "4 s")
    same = steel.dip("blue", "600 F", part=oxtint.Part("6 mm"), lift=oxtint.Lift("4 s"))
    assert dip == json.loads(same.to_json())
    best = said("baths", card, "--target", "blue", "--time-wander", "3 s")
    assert best["bath_K"] == steel.most_forgiving("blue", time_wander_s=3.0).bath_K
    assert said("drift", *ALDER)["limit"] == fitted.drift().limit
    assert said("laws", *ALDER)["verdict"] == fitted.laws().verdict
    advised = steel.advise(None, "600 F", count=2).coupons
    assert [one["bath_K"] for one in said("advise", card, "--bath", "600 F", "--count", 2)["coupons"]] == [
        one.bath_K for one in advised]


def test_a_bootstrap_is_that_of_the_package_and_repeats(said, fitted) -> None:
    drawn = said("fit", *ALDER, "--bootstrap", 400, "--seed", 9)["bootstrap"]
    boot = fitted.bootstrap(400, random_seed=9)
    assert drawn["sd_Q_J_per_mol"] == boot.sd_Q_J_per_mol and drawn["random_seed"] == 9
    assert drawn["Q_interval_J_per_mol"] == list(boot.interval("Q"))
    np.testing.assert_allclose(np.log(drawn["k_ref_interval_nm2_per_s"]), boot.interval("ln-k"), rtol=1e-12)
    middle = drawn["dip_time_factors"][1]
    assert middle["interval"] == list(boot.interval("dip-time", middle["bath_K"]))
    assert said("fit", *ALDER, "--bootstrap", 400, "--seed", 9)["bootstrap"] == drawn
    assert said("fit", *ALDER, "--bootstrap", 400, "--seed", 10)["bootstrap"]["sd_Q_J_per_mol"] != boot.sd_Q_J_per_mol


def test_cards_beside_one_another(said, card, steel, log, tmp_path, capsys) -> None:
    other = oxtint.fit(log, "Birch 2").steel
    other.save(tmp_path / "birch.json")
    first, second = said("card", card, tmp_path / "birch.json", "--target", "purple", "--bath", "580 F")
    # Parabolic growth: the rate is the square of what grows in a second.
    assert first["rate_nm2_per_s"] == pytest.approx(steel.thickness("580 F", "100 s") ** 2 / 100.0)
    assert second["dip"]["time_s"] == other.dip("purple", "580 F").time_s
    assert main(["card", str(card), str(tmp_path / "birch.json"), "--bath", "580 F"]) == 0
    row = next(line for line in capsys.readouterr().out.splitlines() if line.startswith("rate relative"))
    ratio = second["rate_nm2_per_s"] / first["rate_nm2_per_s"]
    assert row.split()[-2:] == ["1.00", f"{ratio:.2f}"]


def test_a_set_repeats_by_its_seed(said, card, tmp_path) -> None:
    parts = tmp_path / "parts.csv"
    parts.write_text(f"name,card,target,part\nguard,{card},blue,6 mm\nring,{card},blue,\n")
    once, again, other = (said("plan", parts, "--bath", "600 F", "--bath-wander", "3 F", "--seed", seed)
                          for seed in (7, 7, 8))
    assert once == again != other


def test_anchor_saves_what_the_package_makes(card, steel, tmp_path) -> None:
    log, new = tmp_path / "new.csv", tmp_path / "new.json"
    log.write_text("steel,finish,bath_F,time_s,colour\nAlder 1,satin,600,70,purple\n")
    assert main(["anchor", str(card), str(log), "--save", str(new), "--label", "new salt"]) == 0
    assert oxtint.load_steel(new) == steel.anchor(oxtint.read_trials(log), label="new salt")


PAGE = (ROOT / "docs/reference/command.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("block", re.findall(r"^```sh\n(.*?)^```", PAGE, re.DOTALL | re.MULTILINE))
def test_examples_of_the_page_run(block, steel, tmp_path) -> None:
    (tmp_path / "trials.csv").write_bytes(DEMO.read_bytes())
    steel.save(tmp_path / "card.json")
    stub = "set -e -o pipefail; read_thermocouple() { seq -f '%g 315' 0 90; }\n"
    here = pathlib.Path(sys.executable).parent
    ran = subprocess.run(["bash", "-c", stub + block], cwd=tmp_path, capture_output=True, text=True,
                         check=False, env=os.environ | {"PATH": f"{here}:{os.environ['PATH']}"})
    assert ran.returncode == 0 and ran.stderr == "", ran.stderr


def test_exit_statuses_of_the_page_and_of_the_manual() -> None:
    manual = (ROOT / "bindings/python/oxtint.1").read_text(encoding="utf-8").split(".SH EXIT STATUS")[1]
    stated = re.findall(r"^\| (\d+) \|", PAGE, re.MULTILINE)
    assert stated == re.findall(r"^\\fB(\d+)\\fR$", manual, re.MULTILINE) == ["0", "1", "2", "130", "141"]


def test_a_reader_that_has_gone_is_no_fault_to_speak_of() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    for words in (("check", DEMO), ("fit", "--help")):
        ran = subprocess.run([sys.executable, "-m", "oxtint", *words], stdout=writing,
                             stderr=subprocess.PIPE, text=True, check=False)
        assert ran.returncode == 141 and ran.stderr == ""
    os.close(writing)


def test_letters_that_an_output_cannot_show(tmp_path) -> None:
    log = tmp_path / "log.csv"
    log.write_text("steel,bath_F,time_s,colour\nÄsche 1,600,60,blue\n", encoding="utf-8")
    ran = subprocess.run([sys.executable, "-m", "oxtint", "check", str(log)], capture_output=True, check=True,
                         env=os.environ | {"PYTHONIOENCODING": "ascii:strict"})
    assert b"\\xc4sche 1" in ran.stdout


def test_without_tqdm_there_is_only_no_bar(monkeypatch, capsys) -> None:
    monkeypatch.setitem(sys.modules, "tqdm", None)
    assert main(["fit", *map(str, ALDER), "--bootstrap", "100"]) == 0
    told = capsys.readouterr()
    assert "Bootstrap: 100 logs" in told.out and told.err == ""


def test_without_shtab_completion_says_what_to_install(monkeypatch, capsys) -> None:
    monkeypatch.setitem(sys.modules, "shtab", None)
    assert main(["completion", "bash"]) == 1
    assert capsys.readouterr().err == "oxtint: completion needs shtab: pip install shtab\n"


STARTS = some.sampled_from([
    [], ["check", str(DEMO)], ["fit", *map(str, ALDER)],
    ["dip", "card.json", "--target", "blue", "--bath", "600 F"], ["baths", "card.json", "--target", "blue"],
    ["plan", "parts.csv", "--bath", "600 F"], ["advise", "card.json"], ["card", "card.json"],
    ["anchor", "card.json", str(DEMO), "--save", "-"]])
WORDS = some.lists(some.sampled_from([
    "card", "--target", "--bath", "600 F", "600", "nan K", "-1", "1e400", "--part", "6 mm", "--lift", "4 s",
    "--seed", "--count", "--json", "--units", "K", "--", "-", "", "--over", "#2b3a67", "57 nm", "--shape",
    "any", "--last-temper", "--tolerance", "inf", "--bath-wander", "3 F", "--finish", "\udcff",
    "--bath=600 F", "-x", "--label=x", "--low", "--bootstrap", "card.json", "/", "/dev/null"]), max_size=5)


@hypothesis.settings(deadline=None, max_examples=100, suppress_health_check=list(hypothesis.HealthCheck))
@hypothesis.given(STARTS, WORDS)
def test_no_line_of_words_ends_in_a_traceback(capsys, monkeypatch, steel, tmp_path, start, words) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", open(os.devnull, encoding="utf-8"))
    steel.save("card.json")
    pathlib.Path("parts.csv").write_text("name,card,target\nguard,card.json,blue\n")
    try:
        status = main([*start, *words])
    except SystemExit as ended:
        status = ended.code
    told = capsys.readouterr()
    assert status in (0, 1, 2)
    assert bool(told.err) == (status != 0)
