# SPDX-License-Identifier: GPL-3.0-or-later
"""Every steel and finish of a log in one call: what each fit alone gives, and nothing stops the others."""
import csv
import io
import json
import math
import pickle

import numpy as np
import oxtint
import pandas
import pytest
from oxtint.command import main

from conftest import DEMO


@pytest.fixture(scope="module")
def table() -> pandas.DataFrame:
    """Invented steels of two finishes; one has too few coupons, one all of them in one bath."""
    dice = np.random.default_rng(5)
    rows = []
    for number in range(30):
        for finish in ("satin", ""):
            for coupon in range(6 if number != 7 else 2):
                bath = 590.0 if number == 9 else 560.0 + 25.0 * (coupon % 3)
                time = round(float(dice.uniform(30.0, 150.0)), 1)
                film = np.sqrt((20.0 + number) * time * np.exp(9000.0 / 590.0 - 9000.0 / bath))
                rows.append((f"Steel {number}", finish, bath, time, float(film * dice.uniform(0.95, 1.05))))
    return pandas.DataFrame(rows, columns=["steel", "finish", "bath_K", "time_s", "thickness_nm"])


# Contract: to the last bit, on any number of threads.
@pytest.mark.parametrize("threads", [1, 2, 5])
def test_each_is_what_it_is_alone(table, threads) -> None:
    log = oxtint.TrialLog.from_columns(table)
    fits = oxtint.fit_each(log, threads=threads, bath_sd_K="2 F", robust="huber")
    columns = oxtint.columns(fits)
    assert len(fits) == 60 and len(fits.failed) == 4 and int(fits.fitted.sum()) == 56
    for index, group in enumerate(fits.groups):
        try:
            alone = oxtint.fit(log, group.steel, group.finish, bath_sd_K="2 F", robust="huber")
        except oxtint.OxtintValueError as error:
            assert columns["status"][index] == error.code and columns["remarks"][index] == str(error)
            assert fits.failed[group.steel, group.finish] == str(error)
            assert np.isnan(columns["Q_J_per_mol"][index]) and columns["trial_count"][index] == group.count
            continue
        values = alone.to_dict() | alone.to_dict()["growth"] | {"law": alone.law}
        for name, values_of_all in columns.items():
            if name in values:
                assert values_of_all[index] == values[name] or np.isnan(values[name]), name
        assert columns["remarks"][index] == "\n".join(alone.warnings) and columns["status"][index] == "OK"
        if index % 17 == 0:
            assert fits[index].to_dict() == fits[group.steel, group.finish].to_dict() == alone.to_dict()
            assert fits[index].steel == alone.steel


def test_some_of_the_groups(table) -> None:
    assert len(oxtint.fit_each(table, "Steel 3")) == 2
    assert [group.finish for group in oxtint.fit_each(table, finish="").groups] == [""] * 30
    with pytest.raises(oxtint.OxtintValueError, match="no trials of the steel and finish"):
        oxtint.fit_each(table, "none")
    with pytest.raises(oxtint.OxtintValueError, match="threads"):
        oxtint.fit_each(table, threads=999)
    with pytest.raises(KeyError, match="give \\(steel, finish\\)"):
        oxtint.fit_each(table)["Steel 3"]
    with pytest.raises(KeyError):
        oxtint.fit_each(table)["none"]
    with pytest.raises(TypeError, match="fit_each"):
        oxtint.Fits()


def test_progress_and_a_stop(table) -> None:
    told: list[float] = []
    oxtint.fit_each(table, progress=told.append)
    assert told == sorted(told) and told[-1] == 1.0

    class Enough(Exception):
        pass

    def stop(done: float) -> None:
        raise Enough

    with pytest.raises(Enough):
        oxtint.fit_each(table, progress=stop)


def test_results_as_a_frame_and_a_pickle(table) -> None:
    fits = oxtint.fit_each(table)
    frame = fits.to_frame()
    assert list(frame.columns[:3]) == ["steel", "finish", "status"] and len(frame) == 60
    again = pickle.loads(pickle.dumps(fits))
    pandas.testing.assert_frame_equal(again.to_frame(), frame, check_exact=True)
    assert len(list(fits)) == 56 and repr(fits) == "<Fits of 60 steels and finishes, 4 not fitted>"
    assert "56 of 60 steels and finishes fitted" in str(fits)
    assert "Steel 7, satin: " in str(fits)


def test_the_command_saves_a_card_of_each(tmp_path, capsys, monkeypatch, table) -> None:
    monkeypatch.chdir(tmp_path)
    odd = table.assign(steel=table["steel"].replace({"Steel 1": "../a/b", "Steel 2": "../A b"}))
    odd.to_csv("log.csv", index=False, float_format="%.17g")
    assert main(["fit", "log.csv", "--each", "--save-dir", "cards"]) == 0
    said = capsys.readouterr().out
    assert "56 of 60" in said and said.endswith("Saved 56 cards in cards\n")
    cards = sorted(path.name for path in (tmp_path / "cards").iterdir())
    assert len(cards) == 56 and {"Steel_3.json", "Steel_3-satin.json", "_a_b.json"} <= set(cards)
    assert len({name.casefold() for name in cards}) == 56
    card = oxtint.load_steel(tmp_path / "cards/Steel_3-satin.json")
    assert card.to_dict() == oxtint.fit(table, "Steel 3", "satin").steel.to_dict()
    assert main(["fit", "log.csv", "--each", "--csv"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert len(rows) == 60 and rows[0]["steel"] == "Steel 0" and rows[14]["Q_J_per_mol"] == ""
    assert float(rows[0]["Q_J_per_mol"]) == oxtint.fit(table, "Steel 0", "satin").Q_J_per_mol
    assert main(["fit", "log.csv", "--each", "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["fits"]) == 60
    assert main(["fit", "log.csv", "--each", "--steel", "Steel 7"]) != 0
    assert "no steel of log.csv could be fitted" in capsys.readouterr().err
    assert main(["fit", str(DEMO), "--save-dir", "cards"]) != 0
    assert "expected --each with it" in capsys.readouterr().err


def test_each_by_the_law_that_its_trials_show() -> None:
    log = oxtint.TrialLog()
    for i in range(18):
        bath, film = 560.0 + 30.0 * (i % 3), 20.0 + 3.0 * i
        rate = math.exp(-9.0 * (590.0 / bath - 1.0))
        log.add("Alder 1", bath=bath, time=(film / 10.0) ** 2 / rate * (1.05 if i % 2 else 0.95), thickness_nm=film)
        log.add("Birch 2", bath=bath, time=(film / 20.0) ** 3 / rate, thickness_nm=film)
    fits = oxtint.fit_each(log, law="best")
    columns = oxtint.columns(fits)
    assert columns["law"].tolist() == ["parabolic", "power"]
    assert columns["law_shape"].tolist() == [0.0, pytest.approx(3.0, rel=0.02)]
    assert fits["Birch 2"].law == "power" and fits["Birch 2"].law_shape == columns["law_shape"][1]
    assert "power law, n = 3" in fits.report() and "which of all laws agrees best" in fits.remarks[1]
    with pytest.raises(ValueError, match="expected neither: the trials choose"):
        oxtint.fit_each(log, law="best", law_shape=2.0)
