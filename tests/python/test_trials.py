# SPDX-License-Identifier: GPL-3.0-or-later
"""What a log tells of a coupon beyond its dip and its colour."""
from __future__ import annotations

import datetime
import math
import pickle

import pytest

import oxtint

from conftest import ROOT

COUPON = {"bath": "600 F", "time": "1:30", "colour": "blue"}
STATED = {"part_size_m": 0.00635, "part_shape": "cylinder", "part_start_K": 293.15,
          "transfer_W_per_m2K": 350.0, "lift_s": 3.0, "bath_sd_K": 5.0, "time_sd_s": 1.5,
          "thickness_sd_nm": 2.0, "colour_tolerance": 1.0, "day": "5", "lifted": "last"}


def one(**stated: object) -> oxtint.Trial:
    log = oxtint.TrialLog()
    log.add("Alder 1", **COUPON, **stated)
    return log[0]


# 1 in = 25.4 mm, and 9 F of difference are 5 K: NIST SP 811 (2008), B.8 and section 8.5.
def test_numbers_and_texts_with_units() -> None:
    texts = one(part="1/4 in", shape="cylinder", start="68 F", transfer_W_per_m2K=350, lift="0:03",
                bath_sd="9 F", time_sd="1.5 s", thickness_sd_nm=2, colour_tolerance=1, day="5", lifted="last")
    numbers = one(part=0.00635, shape="cylinder", start=293.15, transfer_W_per_m2K=350, lift=3,
                  bath_sd=5, time_sd=1.5, thickness_sd_nm=2, colour_tolerance=1, day=5, lifted="last")
    for trial in (texts, numbers):
        for name, value in STATED.items():
            assert getattr(trial, name) == (value if isinstance(value, str) else pytest.approx(value))


def test_what_is_not_stated_is_none() -> None:
    assert all(getattr(one(), name) is None for name in STATED)
    assert one(part="6 mm").part_shape == "plate"
    assert one(lift=0, bath_sd="0 F", part=0) == one()


@pytest.mark.parametrize(("stated", "error", "says"), [
    ({"part": "6"}, ValueError, "needs a unit"),
    ({"part": 1.1}, ValueError, "part_size_m is 1.1"),
    ({"part": [6]}, TypeError, "part is list"),
    ({"shape": "plate"}, ValueError, "expected part with it"),
    ({"part": 0.0, "shape": "plate"}, ValueError, "expected part with it"),
    ({"part": "6 mm", "shape": "cube"}, ValueError, "'plate', 'cylinder'"),
    ({"start": 293.15}, ValueError, "expected part_size_m with it"),
    ({"part": "6 mm", "start": "601 F"}, ValueError, "above the bath"),
    ({"part": "6 mm", "start": True}, TypeError, "start is bool"),
    ({"transfer_W_per_m2K": 600}, ValueError, "expected part_size_m with it"),
    ({"lift": "2 h"}, ValueError, "lift_s is 7200"),
    ({"lift": []}, TypeError, "lift is list"),
    ({"bath_sd": "5"}, ValueError, "needs a unit"),
    ({"bath_sd": "-5 F"}, ValueError, "bath_sd_K is -2.7"),
    ({"time_sd": -1}, ValueError, "time_sd_s is -1"),
    ({"thickness_sd_nm": float("nan")}, ValueError, "thickness_sd_nm is nan"),
    ({"colour_tolerance": "3"}, TypeError, "colour_tolerance is str"),
    ({"colour_tolerance": 51}, ValueError, "colour_tolerance is 51"),
    ({"lifted": "early"}, ValueError, "'first', 'middle'"),
    ({"day": "d" * 32}, ValueError, "day"),
])
def test_what_does_not_hold(stated: dict[str, object], error: type[Exception], says: str) -> None:
    with pytest.raises(error, match=says):
        one(**stated)


# Contract: a trial by the names of its fields, a log by those of the columns of its file.
def test_trials_and_logs_as_plain_values() -> None:
    log = oxtint.TrialLog()
    log.add("Alder 1", **COUPON)
    log.add("Alder 1", **COUPON, part="6 mm", note="bar")
    assert oxtint.Trial(**log[1].to_dict()) == log[1]
    columns = oxtint.columns(log)
    assert columns["part_m"][1] == 0.006 and columns["note"].tolist() == ["", "bar"]
    assert list(oxtint.TrialLog.from_columns(columns)) == list(log)
    again = pickle.loads(pickle.dumps(log))
    assert [trial.part_size_m for trial in again] == [None, 0.006]


# Contract: dates, texts, numbers and what is missing, however a table holds them.
def test_days_of_tables() -> None:
    pandas, pyarrow = pytest.importorskip("pandas"), pytest.importorskip("pyarrow")
    plain = {"steel": ["A"] * 3, "bath_K": [600.0] * 3, "time_s": [60.0] * 3, "colour": ["blue"] * 3}
    dates = [datetime.date(2026, 3, 5), None, datetime.date(2026, 3, 6)]
    for days in (dates, pandas.Series(dates), pandas.Series(["2026-03-05", None, "2026-03-06"], dtype="category")):
        log = oxtint.TrialLog.from_columns({**plain, "day": days})
        assert [trial.day for trial in log] == ["2026-03-05", None, "2026-03-06"]
    table = pyarrow.table({**plain, "day": pyarrow.array([7, None, 8]), "lifted": ["first", "", "after"]})
    log = oxtint.TrialLog.from_columns(table)
    assert [trial.day for trial in log] == ["7", None, "8"]
    assert [trial.lifted for trial in log] == ["first", None, "after"]
    assert list(oxtint.TrialLog.from_columns(oxtint.columns(log))) == list(log)
    assert [(one.day, one.lifted) for one in oxtint.read_trials_text(log.to_csv())] == [
        (one.day, one.lifted) for one in log]


def _days(states: bool) -> oxtint.TrialLog:
    """Four days of six coupons, every other day 10 % thicker: x^2 = k t at 80 kJ/mol."""
    log = oxtint.TrialLog()
    for i in range(24):
        bath = (560.9, 588.7, 616.5)[i % 3]
        film = math.sqrt(55.0 * math.exp(-80e3 / 8.314462618 * (1 / bath - 1 / 588.7)) * (60.0 + 7.0 * i))
        log.add("Alder 1", bath=bath, time=60.0 + 7.0 * i, thickness_nm=film * (1.1 if i // 6 % 2 else 1 / 1.1),
                day=i // 6 if states else None)
    return log


def test_days_of_a_fit() -> None:
    found, blind = oxtint.fit(_days(True)), oxtint.fit(_days(False))
    assert (found.day_count, blind.day_count, blind.day_sd) == (4, 0, 0.0)
    assert 0.06 < found.day_sd < 0.2 and found.scatter < 0.03 < blind.scatter
    assert found.stderr.ln_k_ref > 2.0 * blind.stderr.ln_k_ref
    assert found.steel.day_sd == found.day_sd and "from day to day" in found.report()
    assert oxtint.Steel.from_card(found.steel.to_card()).day_sd == found.day_sd


def test_where_a_colour_was_lifted() -> None:
    log = oxtint.TrialLog()
    for bath, time in (("560 F", 100), ("560 F", 160), ("600 F", 61), ("600 F", 97), ("640 F", 41), ("640 F", 63)):
        log.add("Alder 1", bath=bath, time=time, colour="blue")
    low, high = oxtint.Film().target("blue").low_nm, oxtint.Film().target("blue").high_nm
    for lifted, film in (("first", low), ("middle", math.sqrt(low * high)), ("last", high)):
        rows = oxtint.fit(log, Q=75e3, lifted=lifted).rows
        assert all(row.observed_nm == pytest.approx(film) for row in rows)
    with pytest.raises(ValueError, match="lifted"):
        oxtint.fit(log, Q=75e3, lifted="early")
    with pytest.raises(ValueError, match="rounding"):
        oxtint.pool(log, rounding="up")


def test_a_slip_in_each_column_is_told_at_once() -> None:
    columns = {"part": "6", "shape": "plat", "start_C": "2O", "transfer_W_per_m2K": "-1",
               "lift_min": "61", "bath_sd_F": "x", "time_sd": "1", "thickness_sd_nm": "0",
               "colour_tolerance": "three"}
    text = (f"steel,bath_F,time_s,colour,{','.join(columns)}\n"
            f"Alder 1,600,90,blue,{','.join(columns.values())}\n")
    with pytest.raises(oxtint.TrialFileError) as raised:
        oxtint.read_trials_text(text)
    assert {fault.column: fault.found for fault in raised.value.faults} == columns
    assert all(fault.line == 2 for fault in raised.value.faults)


# ---- as spreadsheets save them ----

SHEETS = ROOT / "tests/data/spreadsheets"


@pytest.mark.parametrize("name", sorted(path.name for path in SHEETS.iterdir()
                                        if path.suffix != ".md" and "refused" not in path.name))
def test_files_of_spreadsheets_read_as_the_plain_one(name) -> None:
    """tests/data/spreadsheets/README.md says how each was saved."""
    plain = [one.to_dict() | {"line": 0} for one in oxtint.read_trials(SHEETS / "plain.csv")]
    for log in (oxtint.read_trials(SHEETS / name), oxtint.read_trials_text((SHEETS / name).read_bytes())):
        assert [one.to_dict() | {"line": 0} for one in log] == plain


@pytest.mark.parametrize("name", sorted(path.name for path in SHEETS.glob("refused*")))
def test_files_of_spreadsheets_that_are_refused(name) -> None:
    with pytest.raises(oxtint.TrialFileError):
        oxtint.read_trials(SHEETS / name)


def test_a_mark_within_makes_no_other_steel() -> None:
    with pytest.raises(oxtint.OxtintValueError, match="byte-order mark"):
        oxtint.TrialLog().add("\ufeffAlder 1", bath="600 F", time=60, colour="blue")
    with pytest.raises(oxtint.TrialFileError, match="byte-order mark"):
        oxtint.TrialLog.from_columns({"steel": ["\ufeffA"], "bath_F": [600], "time_s": [60], "colour": ["blue"]})


def test_steels_and_finishes_in_order_of_appearance() -> None:
    log = oxtint.TrialLog()
    assert log.groups == () and log.steels == () and log.finishes() == ()
    for steel, finish in [("Alder 1", "satin"), ("Bïrch 2", ""), ("Alder 1", "mirror"), ("Alder 1", "satin")]:
        log.add(steel, finish=finish, bath="600 F", time="1:30", colour="blue")
    assert [(group.steel, group.finish, group.count) for group in log.groups] == [
        ("Alder 1", "satin", 2), ("Bïrch 2", "", 1), ("Alder 1", "mirror", 1)]
    assert log.steels == ("Alder 1", "Bïrch 2")
    assert log.finishes() == ("satin", "", "mirror") and log.finishes("Alder 1") == ("satin", "mirror")


# ---- the scale of the baths ----

def test_a_log_knows_the_scale_that_its_baths_were_typed_in() -> None:
    header = "steel,{},time_s,colour\nA,{},60,blue\n"
    assert oxtint.read_trials_text(header.format("bath_F", 600)).unit == "F"
    assert oxtint.read_trials_text(header.format("bath (C)", 310)).unit == "C"
    assert oxtint.read_trials_text(header.format("bath", "590 K")).unit == "K"
    assert oxtint.TrialLog.from_columns({"steel": ["A"], "bath_F": [600], "time_s": [60], "colour": ["blue"]}).unit == "F"
    log = oxtint.TrialLog()
    assert log.unit == "C"
    log.add("A", bath="600 F", time=60, colour="blue")
    log.add("A", bath="310 C", time=60, colour="blue")
    assert log.unit == "F" and log.check()[0].found == "A"
    numbers = oxtint.TrialLog()
    numbers.add("A", bath=590.0, time=60, colour="blue")
    assert numbers.unit == "C"
    numbers.unit = "k"
    assert numbers.unit == "K"
    empty = oxtint.TrialLog()
    empty.unit = "K"
    empty.add("A", bath="600 F", time=60, colour="blue")
    assert empty.unit == "K"  # what was set stays
    with pytest.raises(oxtint.OxtintValueError, match="unit is 'R', expected 'F', 'C' or 'K'"):
        numbers.unit = "R"
    assert pickle.loads(pickle.dumps(log)).unit == "F"  # although its CSV text is in K


# ---- as a proof-reader ----

def test_check_names_what_looks_like_a_slip() -> None:
    """docs/reference/check.md; 600 C is 1112 F (SI Brochure, table 8)."""
    table = {"steel": ["A"] * 5 + ["a"], "bath_F": [560, 560, 600, 650, 1112, 600],
             "time_s": [100, 160, 60, 50, 60, 95], "colour": ["purple", "blue"] * 3, "Lift s": [3] * 6}
    log = oxtint.TrialLog.from_columns(table)
    found = [(one.line, one.column, one.found) for one in log.check()]
    assert found == [(0, "Lift s", "Lift s"), (0, "steel", "a"), (0, "bath", "1112 F"), (0, "", "a")]
    assert "did you mean lift_s?" in log.check()[0].expected
    assert log.check(unit="C")[2].found == "600 C"
    log.unit = "C"
    assert log.check()[2].found == "600 C"
    assert not oxtint.TrialLog().check()


# ---- a shop's own words ----

SHOP = {"lamp blue": "blue", "clock blue": (47.0, 55.0)}


def test_words_are_read_and_spoken(tmp_path) -> None:
    """Contract of docs/reference/words.md."""
    path = tmp_path / "shop.csv"
    path.write_text("word,band,low_nm,high_nm\nlamp blue,blue,,\nclock blue,,47,55\n", encoding="utf-8")
    for words in (SHOP, path, oxtint.Words(SHOP), pickle.loads(pickle.dumps(oxtint.Words(SHOP)))):
        film = oxtint.Film(words=words)
        assert film.target("lamp-blue").text == "lamp blue" == film.tint(58.0).label
        assert film.target("lamp blue").low_nm == oxtint.Film().target("blue").low_nm
        assert film.tint(50.0).label == "clock blue" and film.tint(46.0).label == "dark blue"
        assert film.target("clock blue").high_nm == 55.0
        log = oxtint.TrialLog(words=words)
        log.add("A", bath="600 F", time=90, colour="Clock Blue")
        assert pickle.loads(pickle.dumps(log))[0].colour == "Clock Blue"
        assert oxtint.read_trials_text(log.to_csv(), words=words)[0].colour == "Clock Blue"
        table = {"steel": ["A"], "bath_F": [600], "time_s": [90], "colour": ["lamp blue"]}
        assert oxtint.TrialLog.from_columns(table, words=words)[0].colour == "lamp blue"
    assert pickle.loads(pickle.dumps(film)).tint(58.0).label == "lamp blue"
    assert [one.word for one in oxtint.Words(path)] == list(SHOP)
    assert oxtint.Words(path)[1].line == 3 and oxtint.Words(SHOP)[1].line == 0


def test_words_that_are_none() -> None:
    with pytest.raises(oxtint.TrialFileError, match="did you mean 'blue'"):
        oxtint.Words({"lamp": "bleu"})
    with pytest.raises(oxtint.OxtintValueError, match="'lamp' is 3, expected a trade name"):
        oxtint.Words({"lamp": 3})
    with pytest.raises(oxtint.TrialFileError, match="did you mean 'lamp blue'"):
        oxtint.read_trials_text("steel,bath_F,time_s,colour\nA,600,60,lmap blue\n", words=SHOP)
    with pytest.raises(oxtint.OxtintValueError, match="lamp blue"):
        oxtint.TrialLog().add("A", bath="600 F", time=90, colour="lamp blue")
