# SPDX-License-Identifier: GPL-3.0-or-later
"""Tables in and out: pandas, polars, pyarrow and dicts of arrays alike, held to what a file is held to."""
import subprocess
import sys

import matplotlib

matplotlib.use("Agg")

import numpy as np
import oxtint
import pandas
import polars
import pyarrow
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib import pyplot
from oxtint.drawing import chart, curves

from conftest import DEMO, ROOT
from test_api import rows

FRAMES = [dict, pandas.DataFrame, polars.DataFrame, pyarrow.table]


def bare(log: oxtint.TrialLog) -> list[oxtint.Trial]:
    """The trials of a log without the lines of the file that they came from."""
    return [oxtint.Trial(**trial.to_dict() | {"line": 0}) for trial in log]


def log_with(trials: list[tuple]) -> oxtint.TrialLog:
    log = oxtint.TrialLog()
    for steel, finish, bath, time, what, note, stated in trials:
        log.add(steel, finish=finish, bath=bath, time=time, note=note, **what, **stated)
    return log


# Contract: number for number and letter for letter, whatever carries the columns.
@settings(max_examples=150, deadline=None)
@given(st.lists(rows, min_size=1, max_size=5))
def test_a_log_to_a_table_and_back(trials) -> None:
    log = log_with(trials)
    columns = oxtint.columns(log)
    for frame in FRAMES:
        assert list(oxtint.TrialLog.from_columns(frame(columns))) == list(log)


@pytest.mark.parametrize("frame", FRAMES)
def test_a_table_is_fitted_as_the_log_is(log, frame) -> None:
    table = frame(oxtint.columns(log))
    fit = oxtint.fit(log, "Alder 1", "satin")
    assert oxtint.fit(table, "Alder 1", "satin").to_dict() == fit.to_dict()
    np.testing.assert_equal(oxtint.pool(table).to_dict(), oxtint.pool(log).to_dict())
    coupons = frame({"steel": ["Alder 1"], "finish": ["satin"], "bath": ["600 F"], "time": ["1:20"],
                     "colour": ["blue"]})
    one = oxtint.TrialLog()
    one.add("Alder 1", finish="satin", bath="600 F", time="1:20", colour="blue")
    assert fit.steel.anchor(coupons) == fit.steel.anchor(one)
    assert fit.steel.anchor(coupons).k_ref_nm2_per_s != fit.steel.k_ref_nm2_per_s
    points = curves.arrhenius(fit, table).trials.get_offsets()
    np.testing.assert_array_equal(points, curves.arrhenius(fit, log).trials.get_offsets())
    assert len(chart.colour_chart(fit.steel, table).trials.get_offsets()) == 10
    pyplot.close("all")


def test_files_read_by_others_are_the_same_log(log) -> None:
    assert list(oxtint.TrialLog.from_columns(pandas.read_csv(DEMO, comment="#"))) == bare(log)
    assert list(oxtint.TrialLog.from_columns(polars.read_csv(DEMO, comment_prefix="#"))) == bare(log)


def test_a_log_has_the_columns_of_its_file(log) -> None:
    columns = oxtint.columns(log)
    named = ["bath_F" if name == "bath_K" else name for name in columns]  # the file is in the scale of the log
    assert named == log.to_csv().split("\n")[0].split(",")  # nothing that no trial states
    assert columns["bath_K"].dtype == columns["thickness_nm"].dtype == np.float64
    assert np.isnan(columns["thickness_nm"]).all() and columns["srgb"][0] is None
    stated = oxtint.TrialLog()
    stated.add("Alder 1", bath=600, time=60, colour="blue")
    stated.add("Alder 1", bath=600, time=60, lab=(34, 9, -38), part="6 mm", shape="any", lift=2)
    columns = oxtint.columns(stated)
    assert list(columns) == stated.to_csv().split("\n")[0].split(",")
    assert columns["shape"].tolist() == [None, "any"] and columns["lift_s"][1] == 2.0
    assert oxtint.columns(oxtint.TrialLog()) == oxtint.columns([]) == {}


NOTHING = [None, float("nan"), pandas.NA, pandas.NaT, ""]


@pytest.mark.parametrize("nothing", NOTHING, ids=repr)
def test_what_is_missing_is_an_empty_cell(nothing) -> None:
    table = {"steel": ["Alder 1", "Alder 1", nothing], "bath_F": [600, 600.0, nothing],
             "time_s": [np.float32(90.0), np.int64(90), nothing], "colour": ["blue", nothing, nothing],
             "thickness_nm": [nothing, 57.0, nothing], "note": [nothing, nothing, nothing]}
    for frame in (dict, pandas.DataFrame):
        log = oxtint.TrialLog.from_columns(frame(table))
        assert len(log) == 2  # a row of nothing is a blank line
        assert log[0].colour == "blue" and log[1].thickness_nm == 57.0 and log[1].note == ""
        assert log[0].time_s == log[1].time_s == 90.0


def test_pandas_and_polars_types_of_their_own() -> None:
    frame = pandas.DataFrame({"steel": pandas.Categorical(["Alder 1", "Alder 1"]),
                              "bath_C": pandas.array([300, 310], dtype="Int64"), "time_s": [60, 61],
                              "colour": pandas.array(["blue", None], dtype="string"),
                              "thickness_nm": pandas.array([None, 50.0], dtype="Float64")},
                             index=["x", "y"])
    log = oxtint.TrialLog.from_columns(frame)
    assert [trial.bath_K for trial in log] == [573.15, 583.15] and log[1].thickness_nm == 50.0
    texts = np.array([b"Alder 1"]), np.array(["Alder 1"]), np.array(["Alder 1"], dtype=object)
    for steel in texts:
        assert oxtint.TrialLog.from_columns(ROW | {"steel": steel})[0].steel == "Alder 1"
    own = polars.DataFrame({"steel": ["Alder 1"], "bath_C": [300], "time_s": [60.0],
                             "colour": ["blue"]}, schema_overrides={"steel": polars.Categorical})
    assert oxtint.TrialLog.from_columns(own)[0].steel == "Alder 1"


@pytest.mark.parametrize("frame", FRAMES)
def test_all_faults_at_once_by_row_and_column(frame) -> None:
    table = {"steel": ["Alder 1", "two\r\nlines\rand\nmore", "Alder 1", None],
             "bath_F": [6500.0, 600.0, 600.0, 600.0], "time_s": [60.0, 60.0, -1.0, 60.0],
             "colour": ["blue", "blue", "mauve", "blue"], "note": ["a\nb", None, "#", "\r"]}
    with pytest.raises(oxtint.TrialFileError) as caught:
        oxtint.TrialLog.from_columns(frame(table))
    error = caught.value
    assert [(fault.row, fault.line, fault.column, fault.found) for fault in error.faults] == [
        (1, 0, "bath_F", "6500"), (3, 0, "time_s", "-1"), (3, 0, "colour", "mauve"),
        (4, 0, "steel", "")]
    assert (error.row, error.column, error.parameter, error.code) == (1, "bath_F", "table", "EPARSE")
    assert str(error).startswith("table: 4 faults, the first: row 1, column bath_F: found '6500'")


def test_a_table_is_held_to_what_a_file_is_held_to() -> None:
    text = "steel,bath_F,time_s,colour,L\nAlder 1,600,60,blue,\n"
    with pytest.raises(oxtint.TrialFileError) as of_file:
        oxtint.read_trials_text(text)
    with pytest.raises(oxtint.TrialFileError) as of_table:
        oxtint.TrialLog.from_columns({"steel": ["Alder 1"], "bath_F": [600], "time_s": [60],
                                      "colour": ["blue"], "L": [None]})
    (theirs,), (ours,) = of_file.value.faults, of_table.value.faults
    assert (theirs.column, theirs.expected) == (ours.column, ours.expected) and ours.row == 0
    assert str(of_table.value) == f"table: {ours}"


def test_a_fault_in_each_of_many_rows_is_counted() -> None:
    many = {"steel": ["Alder 1"] * 1200, "bath_F": [6500] * 1200, "time_s": [60] * 1200,
            "colour": ["blue"] * 1200}
    with pytest.raises(oxtint.TrialFileError, match="table: 1200 faults, the first: row 1") as caught:
        oxtint.TrialLog.from_columns(many)
    assert [fault.row for fault in caught.value.faults] == list(range(1, 1001))


ROW = {"steel": ["Alder 1"], "bath_F": [600], "time_s": [60], "colour": ["blue"]}


@pytest.mark.parametrize(("table", "error", "words"), [
    ("trials.csv", TypeError, "table is str"),
    ([57.0], TypeError, "table is list"),
    (ROW | {"time_s": 60}, TypeError, "column 'time_s' is int"),
    (ROW | {"steel": "Alder 1"}, TypeError, "column 'steel' is str"),
    (ROW | {"time_s": [60, 61]}, ValueError, "'time_s' has 2 values, expected 1 as in 'steel'"),
    ({}, oxtint.TrialFileError, "4 faults, the first: column steel: found nothing, expected a column steel"),
    (ROW | {"steel": ["\ud800"]}, oxtint.TrialFileError, "row 1, column steel: .* expected UTF-8"),
    (ROW | {"steel": [b"\xff"]}, oxtint.TrialFileError, "row 1, column steel: .* expected UTF-8"),
    (ROW | {"steel": ["a\0"]}, oxtint.TrialFileError, "row 1, column steel: .* expected UTF-8"),
    (ROW | {"time_s": [True]}, oxtint.TrialFileError, "found 'True', expected a time"),
    (ROW | {"time_s": [float("inf")]}, oxtint.TrialFileError, "found 'inf', expected a time"),
    ({name: [] for name in ROW}, oxtint.TrialFileError, "at least one trial"),
    (pandas.DataFrame([[1, 2]], columns=["note", "note"]), ValueError, "'note' is there 2 times"),
])
def test_what_is_no_table(table, error, words) -> None:
    with pytest.raises(error, match=words):
        oxtint.TrialLog.from_columns(table)


def as_they_lie(count: int) -> dict[str, object]:
    """Columns of every kind that stand for the same numbers and names as lists do."""
    names, bath = ["Alder 1", "Birch 2", "Alder 1"] * count, [590.0, 600.0, 610.0] * count
    wide = np.zeros((len(bath), 3))
    wide[:, 1] = bath
    return {
        "strided": wide[:, 1], "reversed": np.array(bath[::-1])[::-1], "float32": np.array(bath, dtype="f4"),
        "float16": np.array(bath, dtype="f2"), "big-endian": np.array(bath, dtype=">f8"),
        "int16": np.array(bath, dtype="i2"), "uint64": np.array(bath, dtype="u8"), "list": bath,
        "objects": np.array(bath, dtype=object), "pandas": pandas.Series(bath),
        "nullable": pandas.Series(bath, dtype="Float64"), "polars": polars.Series(bath),
        "arrow": pyarrow.array(bath), "chunked": pyarrow.chunked_array([bath[:1], bath[1:]]),
        "arrow-backed": pandas.Series(bath, dtype="double[pyarrow]"), "tuple": tuple(bath),
        "masked": np.ma.array(bath, mask=[False] * len(bath)), "read-only": np.broadcast_to(bath, len(bath)),
    } | {"names": names}


@pytest.mark.parametrize("kind", [kind for kind in as_they_lie(1) if kind != "names"])
def test_numbers_however_they_lie(kind) -> None:
    table = as_they_lie(2)
    log = oxtint.TrialLog.from_columns({"steel": table["names"], "bath_K": table[kind], "time_s": [60] * 6,
                                        "colour": ["blue"] * 6})
    assert oxtint.columns(log)["bath_K"].tolist() == [590.0, 600.0, 610.0] * 2


NAMES = ["Birch 2", "Alder 1", None, "Birch 2", "\u00c4lder"]


@pytest.mark.parametrize("column", [
    NAMES, np.array(NAMES, dtype=object), pandas.Series(NAMES), pandas.Series(NAMES, dtype="category"),
    pandas.Series(NAMES, dtype="string[pyarrow]"), pandas.Series(NAMES, dtype=object),
    pandas.Series(pandas.Categorical(NAMES, categories=["x", "Alder 1", "Birch 2", "\u00c4lder"])),
    polars.Series(NAMES), polars.Series(NAMES, dtype=polars.Categorical),
    polars.Series(NAMES, dtype=polars.Enum(["\u00c4lder", "Birch 2", "Alder 1"])),
    pyarrow.array(NAMES), pyarrow.array(NAMES, type=pyarrow.large_string()),
    pyarrow.array(NAMES).dictionary_encode(), pyarrow.array(NAMES, type=pyarrow.string_view()),
    pyarrow.chunked_array([pyarrow.array(NAMES[:2]).dictionary_encode(),
                           pyarrow.array(NAMES[2:]).dictionary_encode()]),
    np.ma.array(["Birch 2", "Alder 1", "x", "Birch 2", "\u00c4lder"], mask=[0, 0, 1, 0, 0]),
    pandas.Series(NAMES + [""])[:5], pandas.Series(list(reversed(NAMES)))[::-1],
])
def test_names_however_they_lie(column) -> None:
    log = oxtint.TrialLog.from_columns({"steel": ["A"] * 5, "finish": column, "bath_K": [600] * 5,
                                        "time_s": [60] * 5, "colour": ["blue"] * 5})
    assert oxtint.columns(log)["finish"].tolist() == [name or "" for name in NAMES]
    assert log.finishes() == ("Birch 2", "Alder 1", "", "\u00c4lder")


def test_what_an_array_masks_is_missing() -> None:
    table = {"steel": np.array(["A", "A", "A"]), "bath_K": np.ma.array([600, 600, 9], mask=[0, 0, 1]),
             "time_s": [60, 60, 60], "colour": ["blue"] * 3}
    with pytest.raises(oxtint.TrialFileError) as caught:
        oxtint.TrialLog.from_columns(table)
    assert [(fault.row, fault.column, fault.found) for fault in caught.value.faults] == [(3, "bath_K", "")]


@pytest.mark.parametrize(("column", "found"), [
    (np.array([True]), "True"), (np.array(["2026-03-01"], dtype="M8[D]"), "2026-03-01"),
    (np.array([600 + 0j]), "(600+0j)"), ([[600.0]], "[600.0]"), ([{}], "{}"), ([b"600"], None)])
def test_wrong_kinds_are_refused_by_row_and_column(column, found) -> None:
    table = {"steel": ["A"], "bath_K": column, "time_s": [60], "colour": ["blue"]}
    if found is None:  # bytes are text
        assert oxtint.TrialLog.from_columns(table)[0].bath_K == 600.0
        return
    with pytest.raises(oxtint.TrialFileError) as caught:
        oxtint.TrialLog.from_columns(table)
    assert [(fault.row, fault.column, fault.found) for fault in caught.value.faults] == [(1, "bath_K", found)]
    with pytest.raises(TypeError, match="'bath_K' is an array of 2 dimensions"):
        oxtint.TrialLog.from_columns(table | {"bath_K": np.ones((1, 1))})


def test_rows_are_added_all_or_none() -> None:
    log = oxtint.TrialLog.from_columns(ROW)
    with pytest.raises(oxtint.TrialFileError, match="row 2, column colour"):
        log.add_columns({"steel": ["Birch 2"] * 2, "bath_F": [600] * 2, "time_s": [60] * 2,
                         "colour": ["blue", "mauve"]})
    assert len(log) == 1 and log.steels == ("Alder 1",)
    log.add_columns({"steel": ["Birch 2"], "bath_F": [600], "time_s": [60], "colour": ["blue"]})
    assert len(log) == 2 and log.steels == ("Alder 1", "Birch 2")


def test_many_names_and_a_name_of_many() -> None:
    names = np.array([f"Steel {i}" for i in range(3000)], dtype=object)
    table = {"steel": names, "bath_K": np.full(3000, 600), "time_s": np.full(3000, 60.0),
             "colour": np.full(3000, "blue")}
    assert oxtint.TrialLog.from_columns(table).steels == tuple(names)
    assert oxtint.TrialLog.from_columns(table | {"steel": np.full(3000, "A")}).steels == ("A",)


def test_histories() -> None:
    read = oxtint.read_history(ROOT / "examples/demo/history.csv")
    for frame in FRAMES:
        back = oxtint.History.from_columns(frame(oxtint.columns(read)))
        np.testing.assert_array_equal(back.time_s, read.time_s)
        np.testing.assert_array_equal(back.temperature_K, read.temperature_K)
    with pytest.raises(oxtint.HistoryFileError, match="table: row 2, column temperature_C: found 'hot'"):
        oxtint.History.from_columns({"time_s": [0, 5], "temperature_C": [20, "hot"]})
    with pytest.raises(oxtint.HistoryFileError, match="row 2, column time_s"):
        oxtint.History.from_columns(pandas.DataFrame({"time_s": [0, 9], "temperature_C": [20, 300]}),
                                    longest_gap_s=5.0)


def test_results_as_columns(log, fitted) -> None:
    found = oxtint.columns(fitted.rows)
    np.testing.assert_array_equal(found["residual"], fitted.residuals)
    assert found["trial"].dtype == np.int64 and found["trial"][0] == 10
    bootstrap = fitted.bootstrap(100)
    np.testing.assert_array_equal(oxtint.columns(bootstrap)["ln_k"], bootstrap.ln_k)
    found = oxtint.columns(fitted.laws().values())
    assert found["kind"].tolist() == list(fitted.laws()) and found["converged"].dtype == bool
    pool = oxtint.pool(log)
    assert oxtint.columns(pool.table)["k_ref_nm2_per_s"].tolist() == [
        steel.k_ref_nm2_per_s for steel in pool.steels.values()]
    steels = oxtint.columns(pool.steels.values())
    back = [oxtint.Steel.from_values(**row)
            for row in pandas.DataFrame(steels).to_dict("records")]
    assert back == list(pool.steels.values())
    fits = oxtint.columns([fitted])
    assert (fits["steel"][0], fits["k_ref_nm2_per_s"][0], fits["Q_low_J_per_mol"][0]) == (
        "Alder 1", fitted.k_ref_nm2_per_s, fitted.Q_interval_J_per_mol[0])
    assert len(oxtint.columns(oxtint.Film().tints())["low_nm"]) == 15
    coupons = fitted.steel.advise("blue").coupons
    assert oxtint.columns(coupons)["time_s"].tolist() == [coupon.time_s for coupon in coupons]


def test_dips_as_columns(steel) -> None:
    dips = [steel.dip(target, bath) for target in ("straw", "blue") for bath in ("560 F", "600 F")]
    for table in (pandas.DataFrame(oxtint.columns(dips)), polars.DataFrame(oxtint.columns(dips))):
        assert list(table["target_text"]) == ["straw", "straw", "blue", "blue"]
        assert list(table["time_s"]) == [dip.time_s for dip in dips]
        assert list(table["interval_low_s"]) == [dip.interval_s[0] for dip in dips]
        assert list(table["next_high_s"]) == [dip.next_interval_s[1] for dip in dips]
        assert "MOLTEN_SALT" in table["cautions"][0].split("; ")
    plan = oxtint.plan_set([oxtint.SetPart("ring", steel, "blue"), oxtint.SetPart("cap", steel, "straw")],
                           "600 F", draws=100)
    assert oxtint.columns(plan.steps)["dip_target_text"].tolist() == [
        step.dip.target.text for step in plan.steps]
    for nonsense in (dips[0], "trials.csv", 3, {"a": [1]}):
        with pytest.raises(TypeError, match="is no table"):
            oxtint.columns(nonsense)
    with pytest.raises(TypeError, match="a row is int"):
        oxtint.columns([1])


def test_kinds_of_columns() -> None:
    found = oxtint.columns([{"a": 1, "b": None, "c": True, "d": "x", "e": np.float64(1)},
                            {"a": 2, "b": 2, "c": False, "d": None, "e": 2, "f": None}])
    assert {name: array.dtype.kind for name, array in found.items()} == {
        "a": "i", "b": "f", "c": "b", "d": "O", "e": "f", "f": "O"}
    assert np.isnan(found["b"][0]) and found["d"].tolist() == ["x", None]


# Neither library is needed: the package imports none of them, and works where none can be imported.
def test_no_table_library_is_imported() -> None:
    code = ("import sys; names = ('pandas', 'polars', 'pyarrow', 'dask')\n"
            "sys.modules.update(dict.fromkeys(names))\n"  # None there refuses an import
            "import oxtint; log = oxtint.read_trials(sys.argv[1])\n"
            "print(len(oxtint.TrialLog.from_columns(oxtint.columns(log))))\n"
            "assert all(sys.modules[name] is None for name in names)")
    done = subprocess.run([sys.executable, "-c", code, DEMO], capture_output=True, text=True, check=True)
    assert done.stdout == "40\n"
