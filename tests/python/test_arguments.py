# SPDX-License-Identifier: GPL-3.0-or-later
"""What a call takes, and what it says of what it does not take."""
import copy
import dataclasses
import inspect
import math
import os
import pickle

import numpy as np
import oxtint
import pandas
import pytest

from conftest import DEMO

TOLD = {"part": "6 mm", "lift": "4 s", "coupon": "2 mm", "coupon_lift": 3.0, "initial": "40 nm",
        "salt_bath": oxtint.Bath("ternary"), "load_kg": 0.5,
        "last_temper": ("400 F", "2 h"), "free_exponent": True, "reader_sd": 0.1}
SAME = {**TOLD, "part": oxtint.Part("6 mm"), "lift": oxtint.Lift(4.0), "coupon": oxtint.Part(0.002),
        "coupon_lift": oxtint.Lift("3 s"), "initial": 40.0 * (1.0 + 0.0)}


# ---- texts with units ----

def test_a_dip_takes_texts_where_it_takes_objects(steel) -> None:
    told = {**TOLD, "initial": 40.0}
    wander = {"bath_wander_K": 2.5, "time_wander_s": 90.0}
    texts = {"bath_wander_K": "4.5 F", "time_wander_s": "1:30"}
    assert steel.dip("blue", "600 F", **told, **texts) == steel.dip("blue", "600 F", **SAME, **wander)
    assert steel.bath_for("blue", "5:00", **told) == steel.bath_for("blue", 300.0, **SAME)
    assert steel.most_forgiving("blue", **told, **texts) == steel.most_forgiving("blue", **SAME, **wander)
    assert (str(steel.baths("blue", rows=3, **told, **texts))
            == str(steel.baths("blue", rows=3, **SAME, **wander)))
    # A part that is twice as thick takes longer to heat: the text is not merely swallowed.
    assert (steel.dip("blue", "600 F", part="12 mm").lag_s > steel.dip("blue", "600 F", part="6 mm").lag_s
            > steel.dip("blue", "600 F").lag_s)


def test_a_set_takes_tuples(steel) -> None:
    parts = [oxtint.SetPart("ring", steel, "blue"),
             oxtint.SetPart("bezel", steel, "blue", oxtint.Film(finish="satin"), part="6 mm", lift="4 s")]
    tuples = [("ring", steel, "blue"),
              ("bezel", steel, "blue", oxtint.Film(finish="satin"), {"part": "6 mm", "lift": "4 s"})]
    for bath_wander_K, time_wander_s in ((1.5, 3.0), ("2.7 F", "3 s")):
        plan = oxtint.plan_set(tuples, "600 F", bath_wander_K=bath_wander_K, time_wander_s=time_wander_s)
        assert plan == oxtint.plan_set(parts, "600 F", bath_wander_K=1.5, time_wander_s=3.0)
    assert [step.name for step in plan.steps] == ["bezel", "ring"]
    assert pickle.loads(pickle.dumps(plan)) == plan
    assert pickle.loads(pickle.dumps(parts)) == parts and parts[0] != parts[1]
    for bad, words in (("ring", "expected a list"), ([("ring", steel)], r"parts\[0\] has 2 items"),
                       ([parts[0], "ring"], r"parts\[1\] is str, expected SetPart or"),
                       ([("ring", "Alder", "blue")], r"parts\[0\]: steel is str, expected Steel"),
                       ([("ring", steel, "blue", {"prat": 1})], r"parts\[0\]: .*'prat', expected some")):
        with pytest.raises((TypeError, oxtint.OxtintValueError), match=words):
            oxtint.plan_set(bad, "600 F")


def test_numbers_of_other_calls_may_be_texts_too(fitted, log, steel) -> None:
    assert (oxtint.fit(log, "Alder 1", "satin", bath_sd_K="5 F", time_sd_s="2 s").Q_J_per_mol
            == oxtint.fit(log, "Alder 1", "satin", bath_sd_K=5.0 / 1.8, time_sd_s=2.0).Q_J_per_mol != fitted.Q_J_per_mol)
    assert oxtint.pool(log, bath_sd_K="5 F").Q_J_per_mol == oxtint.pool(log, bath_sd_K=5.0 / 1.8).Q_J_per_mol
    assert oxtint.Bath(thermometer_offset_K="-9 F").true(600.0) == 595.0
    assert steel.time_for("57 nm", "600 F") == pytest.approx(steel.time_for(57.0, "600 F"), 1e-12)
    assert oxtint.name_of("57 nm") == oxtint.Film().tint("57 nm").label == "blue"
    np.testing.assert_allclose(oxtint.film_lab(["57 nm", "60 nm"]), oxtint.film_lab([57.0, 60.0]))
    track = oxtint.Tracker(steel, "blue", part="6 mm", lift="4 s", bath="600 F", initial_nm="20 nm")
    other = oxtint.Tracker(steel, "blue", part=oxtint.Part("6 mm"), lift=oxtint.Lift(4.0), bath="600 F",
                           initial_nm=20.0)
    for second in range(60):
        for tracker in (track, other):
            tracker.feed(second, "600 F")
    assert track.read() == other.read()
    assert oxtint.History([0, 10], "600 F", longest_gap_s="20 s").time_s.tolist() == [0.0, 10.0]


# ---- misuse ----

OTHER = {"what": "", "path": "", "wanted": "target"}  # what exceptions call them, of a file its name
SET_ASIDE = {"progress", "told", "values"}
BAD = [object(), [], {}, b"x", "no such thing", np.array([1.0, 2.0]), True, None, 3 + 4j, ["600 F"]]


def _calls(fitted, steel) -> dict:
    """A call that works of everything public that takes arguments, by name."""
    part, lift, film, bath = oxtint.Part("6 mm"), oxtint.Lift("4 s"), oxtint.Film(), oxtint.Bath()
    history = oxtint.History([0.0, 90.0], ["600 F", "600 F"])
    dipped = oxtint.History([0.0, 10.0, 20.0, 30.0, 60.0, 120.0], ["68 F", "250 F", "360 F", "440 F", "550 F", "595 F"])
    trials = oxtint.TrialLog()
    text = DEMO.read_text(encoding="utf-8")
    pool = dict(log=text and oxtint.read_trials(DEMO))
    cold = oxtint.Bath("ternary", salt_kg=5.0)
    return {
        oxtint.Part: dict(size="6 mm"), oxtint.Lift: dict(delay="4 s"), oxtint.Bath: {}, oxtint.Film: {},
        oxtint.Material: dict(name="iron"), oxtint.Tracker: dict(steel=steel, target="blue", part=part,
                                                                 bath="600 F"),
        oxtint.History: dict(times=[0, 1], temperatures="600 F"),
        oxtint.SetPart: dict(name="ring", steel=steel, target="blue"),
        steel.dip: dict(target="blue", bath="600 F"), steel.bath_for: dict(target="blue", time="2:00"),
        steel.most_forgiving: dict(target="blue"), steel.baths: dict(target="blue", rows=3),
        steel.advise: dict(target="blue", count=1), steel.thickness: dict(bath="600 F", time="2:00"),
        steel.time_for: dict(thickness_nm=57.0, bath="600 F"),
        steel.anchor: dict(log={"steel": [steel.name], "finish": [steel.finish], "bath": ["600 F"],
                                  "time_s": [110], "colour": ["blue"]}),
        oxtint.Steel.from_card: dict(text=steel.to_card()),
        part.warming: dict(bath="600 F"), part.surface_temperature: dict(bath="600 F", time="1:00"),
        part.exposure: dict(steel=steel, bath="600 F", time="1:00"),
        part.time_for: dict(steel=steel, thickness_nm=57.0, bath="600 F"),
        part.lift_exposure: dict(steel=steel, start="600 F", lift=lift),
        bath.true: dict(reading="600 F"), bath.cautions: dict(reading="600 F"),
        cold.sag: dict(part=part, load_kg=0.5, bath="600 F"),
        cold.exposure: dict(steel=steel, part=part, load_kg=0.5, bath="600 F", time="1:00"),
        bath.crust: dict(part=part, bath="600 F"),
        bath.convection: dict(size="50 mm", bath="600 F"),
        film.target: dict(wanted="blue"), film.match: dict(lab=[40.0, 0.0, -20.0], tolerance=3.0),
        film.tint: dict(thickness_nm=57.0), film.xyz: dict(thickness_nm=57.0),
        film.lab: dict(thickness_nm=57.0), film.srgb: dict(thickness_nm=57.0),
        film.path_lab: dict(thickness_nm=57.0), film.out_of_gamut: dict(thickness_nm=57.0),
        film.reflectance: dict(thickness_nm=57.0), film.find_tint: dict(name="blue"),
        film.difference: dict(other=film, thickness_nm=57.0),
        history.temperature: dict(time=3.0), history.exposure: dict(steel=steel),
        history.thickness: dict(steel=steel), history.temper: {},
        dipped.find_transfer: dict(part=part, bath="600 F"),
        trials.add: dict(steel="Alder 1", bath="600 F", time="1:30", colour="blue"),
        fitted.profile: dict(what="Q"), fitted.drift: {}, fitted.laws: {},
        fitted.cross_validate: {},
        fitted.bootstrap: dict(replicates=100),
        oxtint.fit: dict(pool, steel="Alder 1", finish="satin"), oxtint.pool: pool,
        oxtint.starting_steel: dict(name="Dogwood 4"), oxtint.dip_table: dict(steel=steel),
        oxtint.plan_set: dict(parts=[("ring", steel, "blue")], bath="600 F", draws=100),
        oxtint.temper_dip: dict(bath="600 F", time="5 min"),
        oxtint.temper_parameter: dict(temperature="600 F", time="1 h"),
        oxtint.temper_temperature: dict(parameter=11463.0, time="1 h"),
        oxtint.temper_time: dict(parameter=11463.0, temperature="600 F"),
        oxtint.temper_hardness: dict(steel="1095", parameter=11463.0),
        oxtint.salt: dict(salt="ternary", temperature="600 F"),
        oxtint.name_of: dict(thickness_nm=57.0), oxtint.film_lab: dict(thickness_nm=57.0),
        oxtint.delta_e2000: dict(lab1=[50, 0, 0], lab2=[50, 0, 1]),
        oxtint.adapt_white: dict(xyz=[1, 2, 3], from_xyz=[95, 100, 108], to_xyz=[95, 100, 108]),
        oxtint.format_temperature: dict(temperature_K=600.0), oxtint.format_duration: dict(time_s=90.0),
        oxtint.format_length: dict(length_m=0.006), oxtint.parse_temperature: dict(text="600 F"),
        oxtint.read_trials_text: dict(text=text), oxtint.load_steel: dict(path=os.devnull),
        oxtint.columns: dict(what=fitted.rows),
    }


def test_misuse_names_the_argument(fitted, steel) -> None:
    """Whatever is given in place of an argument, one at a time: it is taken, or the exception is one for
    the user, and where it is a TypeError names the argument."""
    tried, faults = 0, []
    for function, works in _calls(fitted, steel).items():
        if function not in (oxtint.load_steel, oxtint.columns):
            function(**works)
        signature = inspect.signature(function)
        names = [name for name, parameter in signature.parameters.items() if name not in SET_ASIDE]
        names += oxtint.DipOptions.__annotations__ if "told" in signature.parameters else []
        for name in names:
            for bad in BAD:
                try:
                    function(**{**works, name: bad})
                except (oxtint.OxtintValueError, oxtint.OxtintOSError):
                    pass
                except Exception as raised:
                    if not (isinstance(raised, TypeError) and OTHER.get(name, name) in str(raised)):
                        faults.append(f"{function.__qualname__}({name}={bad!r}): {raised!r}")
                tried += 1
    assert not faults, "\n".join(faults)
    assert tried > 1500


def test_a_misspelt_argument_is_told_the_right_ones(steel) -> None:
    for call in (lambda: steel.dip("blue", "600 F", prat="6 mm"),
                 lambda: steel.bath_for("blue", 60.0, prat="6 mm"),
                 lambda: steel.most_forgiving("blue", prat="6 mm"),
                 lambda: steel.baths("blue", prat="6 mm"),
                 lambda: oxtint.SetPart("ring", steel, "blue", prat="6 mm")):
        with pytest.raises(TypeError, match="unexpected argument 'prat', expected some of part, lift, coupon"):
            call()
    with pytest.raises(TypeError, match="dip.. got an unexpected argument 'bath_wander', .*; did you mean "
                                        "'bath_wander_K'"):
        steel.dip("blue", "600 F", bath_wander="5 F")
    with pytest.raises(oxtint.OxtintValueError, match="target has shape .2,., expected the three numbers"):
        steel.dip((47.0, 55.0), "600 F")
    with pytest.raises(oxtint.OxtintValueError, match="seen: found colour and thickness_nm, expected exactly one"):
        oxtint.TrialLog().add("Alder 1", bath="600 F", time=60, colour="blue", thickness_nm=50.0)
    for function in (oxtint.fit, oxtint.fit_each):
        with pytest.raises(TypeError, match=f"{function.__name__}.. got an unexpected argument 'robsut', expected "
                                            "some of Q, Q_stderr, .*; did you mean 'robust'"):
            function({}, robsut="huber")
    with pytest.raises(TypeError, match="part is list, expected a number in m, a text such as '6 mm'"):
        steel.dip("blue", "600 F", part=[])
    with pytest.raises(oxtint.OxtintValueError, match="part: '6' needs a unit"):
        steel.dip("blue", "600 F", part="6")
    with pytest.raises(oxtint.OxtintValueError, match="coupon is 0 mm, expected above 0"):
        steel.dip("blue", "600 F", coupon="0 mm")


# ---- logs ----

def test_a_fit_takes_a_path_a_frame_a_dict_and_a_list(log, fitted) -> None:
    frame = pandas.DataFrame(oxtint.columns(log))
    records = frame.to_dict("records")
    sparse = [{name: value for name, value in record.items() if not pandas.isna(value)}
              for record in records]
    for given in (str(DEMO), DEMO, frame, dict(oxtint.columns(log)), records, sparse, list(log),
                  log[0:len(log)]):
        found = oxtint.fit(given, "Alder 1", "satin")
        assert (found.k_ref_nm2_per_s, found.Q_J_per_mol, found.used_count) == (fitted.k_ref_nm2_per_s, fitted.Q_J_per_mol, fitted.used_count)
    assert oxtint.fit(list(log), "Alder 1", "satin").rows[0].line == fitted.rows[0].line != 0
    again = oxtint.TrialLog._from_trials(list(log))
    again.unit = log.unit
    assert again.to_csv() == log.to_csv()
    with pytest.raises(TypeError, match="log is list, expected TrialLog, the path"):
        oxtint.fit([])
    with pytest.raises(oxtint.OxtintOSError, match="no-such.csv"):
        oxtint.fit("no-such.csv")


def test_a_row_says_what_was_done_and_seen(log, fitted) -> None:
    for row in fitted.rows:
        trial = log[row.trial]
        assert (row.steel, row.finish, row.bath_K, row.time_s) == (
            trial.steel, trial.finish, trial.bath_K, trial.time_s)
        assert row.seen == (trial.colour or f"{trial.thickness_nm:g} nm")
        assert row.index == row.trial
    mixed = oxtint.TrialLog()
    srgb = "#" + "".join(f"{round(255 * x):02x}" for x in oxtint.film_srgb(30.0).tolist())
    lab = oxtint.film_lab(40.0).round(1).tolist()
    mixed.add("Alder 1", bath="550 F", time=60.0, srgb=srgb)
    mixed.add("Alder 1", bath="600 F", time=60.0, lab=lab)
    mixed.add("Alder 1", bath="640 F", time=60.0, thickness_nm=50.25)
    assert [row.seen for row in oxtint.fit(mixed, scatter=0.1).rows] == [
        srgb, "L* {:g}, a* {:g}, b* {:g}".format(*lab), "50.25 nm"]


@pytest.mark.parametrize("labels", [
    pandas.Index([f"coupon {x}" for x in range(40)], name="coupon"), pandas.RangeIndex(100, 140),
    pandas.MultiIndex.from_product([["May", "June"], range(20)], names=["month", "number"]),
    pandas.date_range("2026-05-01", periods=40, name="day")])
def test_a_frame_of_rows_keeps_the_callers_index(log, labels) -> None:
    frame = pandas.DataFrame(oxtint.columns(log)).set_index(labels)
    found = oxtint.fit(frame, "Alder 1", "satin")
    rows = found.to_frame()
    wanted = frame[(frame["steel"] == "Alder 1") & (frame["finish"] == "satin")]
    pandas.testing.assert_index_equal(rows.index, wanted.index)
    pandas.testing.assert_series_equal(rows["bath_K"], wanted["bath_K"])
    pandas.testing.assert_frame_equal(frame.join(rows[["residual"]]).loc[rows.index, ["time_s"]],
                                      wanted[["time_s"]])
    table = oxtint.columns(found.rows)
    assert list(table["index"]) == list(wanted.index) == [row.index for row in found.rows]
    pandas.testing.assert_frame_equal(pickle.loads(pickle.dumps(found)).to_frame(), rows)
    plain = oxtint.fit(log, "Alder 1", "satin").to_frame()
    assert plain.index.tolist() == [row.trial for row in found.rows] and plain.index.name == "trial"


# ---- results ----

def test_baths_are_their_dips(steel) -> None:
    chosen = dict(part="6 mm", time_wander_s="3 s")
    found = steel.baths("blue", "560 F", "640 F", rows=5, **chosen)
    assert len(found) == 5 and found[1:3] == (found[1], found[2])
    for dip, bath in zip(found, ("560 F", "580 F", "600 F", "620 F", "640 F")):
        alone = steel.dip("blue", bath, **chosen)
        assert (dip.time_s, dip.chance) == pytest.approx((alone.time_s, alone.chance), rel=1e-9)
    assert found.best == steel.most_forgiving("blue", "560 F", "640 F", **chosen)
    lines = str(found).splitlines()
    rows = lines[next(at for at, line in enumerate(lines) if "lift after" in line) + 1:]
    for dip, line in zip(found, rows):
        assert f" {oxtint.format_duration(dip.time_s)} " in line
    assert " C " in found.report("C") and " F " in found.report()
    assert pickle.loads(pickle.dumps(found)) == found and copy.copy(found) is found
    table = pandas.DataFrame(oxtint.columns(found))
    assert table["time_s"].tolist() == [dip.time_s for dip in found] and len(table) == 5
    few = steel.baths("blue", "500 F", "640 F", rows=8, longest="2:00")
    assert 0 < len(few) < 8 and all(dip.time_s <= 120.0 for dip in few)


def test_a_table_of_dips_is_its_dips(steel) -> None:
    table = oxtint.dip_table(steel, ["560 F", "600 F"], ["straw", "blue", 57.0])
    assert [(dip.target.text, round(dip.bath_K)) for dip in table] == [
        ("straw", 566), ("straw", 589), ("blue", 566), ("blue", 589), ("57 nm", 566), ("57 nm", 589)]
    assert table[3] == steel.dip("blue", oxtint.parse_temperature("600 F"))
    lines = str(table).splitlines()
    assert lines[1].split()[-2:] == ["600", "F"] and lines[3].startswith("blue ")
    assert f"{oxtint.format_duration(table[3].time_s)} (" in lines[3]
    assert "C" in table.report("C").splitlines()[1]
    assert pickle.loads(pickle.dumps(table)) == table
    assert len(oxtint.dip_table(steel, [], ["blue"])) == 0
    assert str(oxtint.dip_table(steel, ["600 F"], [])).splitlines()[0].startswith("Lift after")


def _results(fitted, steel, log) -> list:
    dip, history = steel.dip("blue", "600 F", part="6 mm"), oxtint.History([0, 90], "600 F")
    tracker = oxtint.Tracker(steel, "blue")
    tracker.feed(0.0, 600.0)
    plan = oxtint.plan_set([("ring", steel, "blue")], "600 F", draws=100)
    advice, film, part = steel.advise("blue"), oxtint.Film(), oxtint.Part("6 mm")
    return [dip, history, tracker.read(), plan, plan.steps[0], advice, advice.coupons[0], fitted, fitted.rows[0],
            fitted.laws(), fitted.drift(), fitted.bootstrap(100), fitted.cross_validate(), log, steel, film,
            steel.baths("blue", rows=200), oxtint.dip_table(steel), oxtint.temper_dip("600 F", 60.0),
            oxtint.pool(log), oxtint.Bath().sag(part, 1.0, "600 F"), part, oxtint.Lift(4.0),
            oxtint.SetPart("ring", steel, "blue", part=part), oxtint.Bath("ternary", salt_kg=4.0),
            oxtint.Light("A"), oxtint.Finish(), oxtint.Material("iron"), part.warming("600 F")]


def test_rows_of_dips_print_as_they_did_when_tables_were_texts(steel) -> None:
    """Contract: the columns, widths and figures of a row; headings and cautions have been worded anew since."""
    def window(dip: oxtint.Dip, between: str) -> str:
        return between.join(map(oxtint.format_duration, (dip.earliest_s, dip.latest_s)))

    baths, targets = ["560 F", "600 F"], ["straw", "blue"]
    lines = str(oxtint.dip_table(steel, baths, targets)).splitlines()
    assert lines[1] == f"{'bath at':<14}{'560 F':>24}{'600 F':>24}"
    for line, target in zip(lines[2:], targets):
        cells = [f"{oxtint.format_duration(dip.time_s)} ({window(dip, ' - ')})"
                 for dip in (steel.dip(target, bath) for bath in baths)]
        assert line == f"{target:<14}{cells[0]:>24}{cells[1]:>24}"
    made = steel.baths("blue", "560 F", "640 F", rows=3)
    lines = str(made).splitlines()
    assert lines[2] == f"  {'bath at':<10} {'lift after':<10} {'colour visible':<20} {'for':<9} chance"
    for line, dip in zip(lines[3:6] + lines[7:8], (*made, made.best)):
        assert line == (f"  {oxtint.format_temperature(dip.bath_K, 'F'):<10} {oxtint.format_duration(dip.time_s):<10} "
                        f"{window(dip, ' to '):<20} {oxtint.format_duration(dip.latest_s - dip.earliest_s):<9} "
                        f"{100.0 * dip.chance:3.0f} %")


def test_reprs_are_short_and_of_one_line(fitted, steel, log) -> None:
    for result in _results(fitted, steel, log):
        text = repr(result)
        assert len(text) <= 200 and "\n" not in text, text
        assert type(result).__name__ in text and "object at 0x" not in text, text
    dip = steel.dip("blue", "600 F")
    full = oxtint.TrialLog()
    full.add("Alder 1 of the long bar " * 2, finish="satin", bath="600 F", time="1:30", lab=(30.25, 10.125, -20.5),
             note="n" * 300, part="2 mm", shape="plate", start="70 F", transfer_W_per_m2K=600.0, lift="3 s",
             bath_sd="3 F", time_sd="1 s", colour_tolerance=3.0)
    small = [dip.target, oxtint.Prior.mild_steel(), full[0], *log, *steel.cautions,
             *steel.dip("light blue", "1200 F", last_temper=("400 F", "2 h")).cautions]
    assert max(len(repr(one)) for one in small) <= 120
    assert repr(oxtint.Prior(Q_J_per_mol=71e3)) == "Prior(Q_J_per_mol=71000)"
    assert repr(dip.target).startswith("<Target blue: 57.4 nm, shows from ")
    full.add("Alder 1", finish="satin", bath=600.0, time=90.0, colour="blue", lift=3.0)
    assert repr(full[1]) == "<Trial Alder 1, satin: 600.0 K, 90 s, blue; lift_s 3.0>"
    assert repr(dip).startswith(f"<Dip blue at 600 F: lift after {oxtint.format_duration(dip.time_s)} (")


def test_results_never_change(fitted, steel, log) -> None:
    for result in _results(fitted, steel, log):
        if isinstance(result, oxtint.TrialLog):
            continue  # which grows
        for name in ("Q", "anything", next(iter(vars(result)))):
            with pytest.raises(dataclasses.FrozenInstanceError):
                setattr(result, name, 1.0)
            with pytest.raises(dataclasses.FrozenInstanceError):
                delattr(result, name)
    fitted.to_dict()["growth"]["Q_J_per_mol"] = 0.0
    assert fitted.to_dict()["growth"]["Q_J_per_mol"] == fitted.Q_J_per_mol > 0.0


# ---- missing values ----

def test_nan_in_an_array_gives_nan(steel) -> None:
    baths, times = np.array([560.0, np.nan, 600.0, 620.0]), np.array([30.0, 60.0, np.nan, 90.0])
    found = steel.thickness(baths, times)
    assert np.isnan(found).tolist() == [False, True, True, False]
    assert found[3] == steel.thickness(620.0, 90.0)
    assert np.isnan(steel.time_for([57.0, np.nan], 600.0)).tolist() == [False, True]
    grid = steel.thickness(baths[:, None], times)
    assert np.isnan(grid).sum() == 4 + 4 - 1 and grid[0, 0] == steel.thickness(560.0, 30.0)
    for column in (pandas.Series(["560 F", None, "600 F"]), ["560 F", math.nan, "600 F"],
                   pandas.array(["560 F", pandas.NA, "600 F"], dtype="string")):
        assert np.isnan(steel.thickness(column, 60.0)).tolist() == [False, True, False]
    for colours in (oxtint.film_lab, oxtint.film_srgb, oxtint.Film().path_xyz):
        found = colours([57.0, np.nan])
        np.testing.assert_array_equal(found[0], colours(57.0))
        assert np.isnan(found[1]).all()
    assert oxtint.Film().out_of_gamut([np.nan, 45.0]).tolist() == [False, True]
    assert oxtint.name_of([57.0, np.nan]).tolist() == ["blue", None]
    lab = np.array([[50.0, 0.0, 0.0], [50.0, np.nan, 0.0]])
    assert np.isnan(oxtint.delta_e2000(lab, [51.0, 0.0, 0.0])).tolist() == [False, True]


def test_what_is_wrong_beside_nan_is_still_told(steel) -> None:
    for call, words in ((lambda: steel.thickness([np.nan, 600.0, -5.0], 60.0), "^element 3: bath_K is -5"),
                        (lambda: oxtint.film_lab([np.nan, -5.0]), "^element 2: thickness_nm is -5"),
                        (lambda: oxtint.film_srgb([[np.nan], [2e3]]), "^element 2: thickness_nm is 2000"),
                        (lambda: oxtint.name_of([np.nan, 500.0]), "thickness_nm is 500"),
                        (lambda: steel.thickness(np.nan, 60.0), "^bath_K is nan"),
                        (lambda: oxtint.film_lab(np.nan), "^thickness_nm is nan"),
                        (lambda: oxtint.delta_e2000([np.nan, 0, 0], [0, 0, 0]), "^lab1 is nan")):
        with pytest.raises(oxtint.OxtintValueError, match=words):
            call()
    for times in (np.array([30, 60], dtype="timedelta64[s]"), [True, False]):  # not seconds in disguise
        with pytest.raises(TypeError, match="time holds .*, expected numbers or texts with units"):
            steel.thickness(600.0, times)


# ---- the package ----

def test_dir_shows_what_users_import() -> None:
    shown = [name for name in dir(oxtint) if not name.startswith("__")]
    assert shown == sorted(oxtint.__all__)
    for name in shown:
        thing = getattr(oxtint, name)
        assert not inspect.ismodule(thing)
        assert thing.__doc__ or isinstance(thing, float), name
    assert {"colour_chart", "shop_sheet", "fit", "Steel", "columns"} <= set(shown)


def test_texts_out_of_range_are_told_as_they_were_typed(steel: oxtint.Steel) -> None:
    for told, words in (({"last_temper": ("40 F", "2 h")}, r"^last_temper 40 F is out of range \(212 to 1292 F\)$"),
                        ({"initial": "5000 nm"}, r"^initial 5000 nm is too large \(limit 1000 nm\)$")):
        with pytest.raises(oxtint.OxtintValueError, match=words):
            steel.dip("blue", "600 F", **told)  # type: ignore[arg-type]
    assert steel.dip("blue", "600 Fahrenheit").report().splitlines()[0].endswith("in a bath at 600 F")


def test_a_size_is_refused_by_its_name_and_in_its_unit(steel) -> None:
    for said, size in ((" is 6 m, expected 0 to 1 m; for 6 mm give '6 mm'", 6), (" is -0.003 m, expected 0 to 1 m", -0.003),
                       (": '-3 mm' is negative", "-3 mm")):
        with pytest.raises(oxtint.OxtintValueError, match="^size" + said):
            oxtint.Part(size)
        for name in ("part", "coupon"):
            with pytest.raises(oxtint.OxtintValueError, match=f"^{name}" + said):
                steel.dip("blue", "600 F", **{name: size})
    with pytest.raises(oxtint.OxtintValueError, match=r"^size 90 in is too large \(limit 39.3701 in\)$"):
        oxtint.Part("90 in").warming("600 F")


# ---- what Python allows and C does not ----

@pytest.mark.parametrize(("call", "kind", "words"), [
    (lambda steel, fit: steel.advise(count=2**64), ValueError, "count is above 18446744073709551615"),
    (lambda steel, fit: steel.advise(highest_order=2**40), ValueError, "highest_order is 1099511627776"),
    (lambda steel, fit: fit.bootstrap(200, random_seed=2**64), ValueError, "random_seed is above"),
    (lambda steel, fit: fit.bootstrap(200, threads=2**64), ValueError, "threads is above"),
    (lambda steel, fit: fit.bootstrap(2**64), ValueError, "replicates is above"),
    (lambda steel, fit: oxtint.plan_set([("a", steel, "blue")], "600 F", draws=2**64), ValueError, "draws is above"),
    (lambda steel, fit: oxtint.Steel.from_values(trial_count=-1), ValueError, "trial_count is -1, expected at least 0"),
    (lambda steel, fit: oxtint.Steel.from_values(dof=10**400), ValueError, "dof is beyond 1.8e"),
    (lambda steel, fit: oxtint.Steel.from_values(dof="10"), TypeError, "dof is str, expected a number"),
    (lambda steel, fit: steel.time_for(50.0, -10**400), ValueError, "bath is beyond 1.8e"),
    (lambda steel, fit: steel.thickness(600, 10**400), ValueError, "time is beyond 1.8e"),
    (lambda steel, fit: steel.dip("bl\udc80ue", "600 F"), ValueError, r"target is 'bl\\udc80ue', expected text in UTF-8"),
    (lambda steel, fit: oxtint.parse_temperature("600\udc80 F"), ValueError, r"is '600\\udc80 F', expected text"),
    (lambda steel, fit: oxtint.read_trials_text("\ud800"), ValueError, r"is '\\ud800', expected text"),
    (lambda steel, fit: steel.thickness([580.0, 590.0], [1.0, 2.0, 3.0]), ValueError, r"shapes \(2,\) and \(3,\)"),
    (lambda steel, fit: oxtint.dip_average([1], [1.0]), TypeError, "dips is int, expected Dip"),
    (lambda steel, fit: oxtint.cautions_report([1]), TypeError, "cautions is int, expected Caution"),
    (lambda steel, fit: oxtint.TrialLog().check(film=1), TypeError, "film is int, expected Film"),
    (lambda steel, fit: oxtint.chart_sheet_svg(steel, date="2026"), TypeError, "date is str, expected date"),
    (lambda steel, fit: steel.dip(object(), "600 F"), TypeError, "target is object, expected a number")])
def test_what_c_does_not_take_is_an_error_of_oxtint(steel, fitted, call, kind, words) -> None:
    with pytest.raises(oxtint.OxtintError, match=words) as caught:
        call(steel, fitted)
    assert isinstance(caught.value, kind) and caught.value.code == ""
