# SPDX-License-Identifier: GPL-3.0-or-later
"""What goes to other processes and comes back: the same numbers, bit by bit."""
import concurrent.futures
import copy
import multiprocessing
import pickle
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import oxtint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conftest import DEMO
from test_api import rows
from test_tables import log_with

PART = oxtint.Part("1/4 in", "cylinder", start="80 F", transfer_W_per_m2K=450.0, heat_J_per_kgK=500.0)
LIFT = oxtint.Lift("4 s", air="90 F", emissivity=0.4)
BATH = oxtint.Bath("ternary", thermometer_offset_K=2.0, salt_kg=20.0, heater_W=1500.0)
GLASS = oxtint.Material("glass", [380.0, 780.0], [1.5, 1.4], [0.0, 0.1])


def sent(thing: Any) -> Any:
    return pickle.loads(pickle.dumps(thing))


def exact(thing: Any) -> Any:
    """Plain values that are the same only when every bit is; NaN is itself."""
    if isinstance(thing, float):
        return thing.hex()
    if isinstance(thing, dict):
        return {name: exact(value) for name, value in thing.items()}
    if isinstance(thing, (tuple, list)):
        return [exact(value) for value in thing]
    return thing


def seen(thing: Any) -> dict[str, Any]:
    """All that a result shows."""
    shown = {"text": str(thing), "repr": repr(thing)}
    for name in ("rows", "warnings", "table", "comparison", "steels", "coupons", "steps"):
        if hasattr(thing, name):
            shown[name] = repr(getattr(thing, name))  # of floats: shortest that reads back
    if hasattr(thing, "to_dict"):
        shown["values"] = exact(thing.to_dict())
    return shown


OPTIONS = [
    {}, {"robust": "tukey", "confidence": 0.9}, {"names": "as-bands"}, {"Q": 75e3, "Q_stderr": 8e3},
    {"prior": oxtint.Prior.mild_steel(), "scatter": 0.07}, {"film": oxtint.Film(1.3, finish="satin")},
    {"bath_sd_K": 3.0, "time_sd_s": 1.0, "errors_in_variables": "orthogonal"},
]


@pytest.mark.parametrize("options", OPTIONS, ids=str)
def test_a_fit(log, options) -> None:
    fit = oxtint.fit(log, "Alder 1", "satin", **options)
    twin = sent(fit)
    assert seen(twin) == seen(fit) and twin.steel == fit.steel
    assert twin.covariance.tobytes() == fit.covariance.tobytes()
    assert copy.copy(fit) is fit and copy.deepcopy([fit])[0] is fit  # as a tuple: it never changes
    assert seen(sent(twin)) == seen(fit)


def test_a_fit_does_not_follow_its_log() -> None:
    log = oxtint.read_trials(DEMO)
    fit, pool = oxtint.fit(log, "Alder 1", "satin"), oxtint.pool(log)
    before = seen(fit), seen(pool)
    log.add("Alder 1", finish="satin", bath="600 F", time="10:00", colour="straw")
    assert (seen(sent(fit)), seen(sent(pool))) == before
    assert seen(oxtint.fit(log, "Alder 1", "satin")) != before[0]


RESULTS: dict[str, Callable[[oxtint.TrialLog, oxtint.Fit], Any]] = {
    "record": lambda log, fit: fit.steel.track_record(),
    "validation": lambda log, fit: fit.cross_validate(),
    "drift": lambda log, fit: fit.drift(false_alarm=0.05),
    "laws": lambda log, fit: fit.laws(with_initial=True, confidence=0.9),
    "bootstrap": lambda log, fit: fit.bootstrap(200, kind="residual", random_seed=7, threads=2),
    "pool": lambda log, fit: oxtint.pool(log, model="best", shrink=True),
    "advice": lambda log, fit: fit.steel.advise("blue", "620 F", count=2, highest_order=2),
    "plan": lambda log, fit: oxtint.plan_set(
        [oxtint.SetPart("ring", fit.steel, "blue", part=PART, lift=LIFT),
         oxtint.SetPart("cap", fit.steel, "straw", salt_bath=BATH)], "600 F", draws=200),
}


@pytest.mark.parametrize("name", RESULTS)
def test_results(log, fitted, name) -> None:
    result = RESULTS[name](log, fitted)
    twin = sent(result)
    assert seen(twin) == seen(result) and type(twin) is type(result)
    assert copy.copy(result) is result and copy.deepcopy(result) is result
    if name == "bootstrap":
        assert twin.ln_k.tobytes() == result.ln_k.tobytes()
        assert twin.interval("Q") == result.interval("Q")


def test_parts_lifts_and_baths(steel) -> None:
    for twins in ((sent(PART), sent(LIFT), sent(BATH)), copy.deepcopy((PART, LIFT, BATH))):
        part, lift, bath = twins
        assert repr(twins) == repr((PART, LIFT, BATH)) and part is not PART
        kwargs = {"load_kg": 0.5, "last_temper": ("400 F", "2 h")}
        assert (steel.dip("blue", "600 F", part=part, lift=lift, salt_bath=bath, **kwargs) ==
                steel.dip("blue", "600 F", part=PART, lift=LIFT, salt_bath=BATH, **kwargs))
        assert part.warming("600 F") == PART.warming("600 F")
        assert bath.sag(part, 0.5, "600 F") == BATH.sag(PART, 0.5, "600 F")


def test_films_and_what_they_are_seen_in(steel) -> None:
    film = oxtint.Film(1.2, layers=[("hematite", 0.2), (GLASS, 0.8)], substrate="chromium", angle_deg=30,
                       polarisation="s", finish="matte", coat_index=1.47, light=oxtint.Light("A", 10))
    grid = np.linspace(0.0, 400.0, 101)
    for twin in (sent(film), copy.copy(film), copy.deepcopy(film)):
        assert twin.description == film.description
        assert twin.lab(grid).tobytes() == film.lab(grid).tobytes()
        assert twin.path_lab(grid).tobytes() == film.path_lab(grid).tobytes()
    target = oxtint.Film().target("second order blue")
    for value in (target, oxtint.Film().tints(), oxtint.Light("FL2"), oxtint.Prior.mild_steel(),
                  oxtint.Finish.named("satin"), steel.dip(target, "600 F"), steel.history,
                  oxtint.temper_dip("600 F", "5 min", steel="1095", last=("400 F", "2 h")),
                  oxtint.Film().match(oxtint.film_lab(57.0)), oxtint.salt("ternary")):
        assert repr(sent(value)) == repr(value) == repr(copy.deepcopy(value))


@settings(max_examples=100, deadline=None)
@given(st.lists(rows, max_size=4))
def test_logs(trials) -> None:
    log = log_with(trials)
    for twin in (sent(log), copy.copy(log), copy.deepcopy(log)):
        assert list(twin) == list(log)
        twin.add("Alder 1", bath=600.0, time=60.0, colour="blue")  # a log of its own
        assert len(twin) == len(log) + 1


def test_logs_keep_their_lines(log) -> None:
    assert log[0].line > 2 and list(sent(log)) == list(log)


def test_a_tracker_says_why_it_is_not_sent(steel) -> None:
    for send in (pickle.dumps, copy.copy, copy.deepcopy):
        with pytest.raises(TypeError, match="one dip in one thread"):
            send(oxtint.Tracker(steel, "blue"))


@pytest.mark.parametrize("action", [
    lambda: oxtint.Film(7.0), lambda: oxtint.read_trials("no-such-file.csv"),
    lambda: oxtint.read_trials_text("steel,bath_F,time_s,colour\nAlder 1,6500,-1,mauve\n"),
    lambda: oxtint.TrialLog.from_columns({"steel": [None], "bath_F": [1], "time_s": [1], "colour": [1]}),
])
def test_errors(action) -> None:
    with pytest.raises(oxtint.OxtintError) as caught:
        action()
    error, twin = caught.value, sent(caught.value)
    assert type(twin) is type(error) and str(twin) == str(error)
    assert exact(vars(twin)) == exact(vars(error)) and twin.parameter == error.parameter
    assert getattr(twin, "faults", None) == getattr(error, "faults", None)


@pytest.fixture(scope="module")
def workers() -> Iterator[concurrent.futures.Executor]:
    """Two processes that begin with nothing of this one."""
    spawn = multiprocessing.get_context("spawn")
    with concurrent.futures.ProcessPoolExecutor(2, mp_context=spawn) as executor:
        yield executor


def test_processes_give_what_this_one_gives(workers, log, fitted) -> None:
    names = [("Alder 1", "mirror"), ("Alder 1", "satin"), ("Birch 2", "mirror"), ("Cedar 3", "satin")]
    here = [oxtint.fit(log, *name) for name in names]
    jobs = [workers.submit(oxtint.fit, log, *name) for name in names]
    there = [job.result() for job in jobs]
    assert [seen(fit) for fit in there] == [seen(fit) for fit in here]
    table = oxtint.columns(log)
    of_table = workers.submit(oxtint.fit, table, *names[0]).result()
    assert exact(of_table.to_dict()) == exact(here[0].to_dict())
    for method, arguments in ((fitted.bootstrap, (200,)), (fitted.laws, ()), (fitted.drift, ()),
                              (fitted.steel.dip, ("blue", "600 F")), (fitted.steel.advise, ())):
        assert seen(workers.submit(method, *arguments).result()) == seen(method(*arguments))
    assert seen(workers.submit(oxtint.pool, log).result()) == seen(oxtint.pool(log))
    grid = np.linspace(0.0, 200.0, 51)
    film = oxtint.Film(finish="satin")
    assert workers.submit(film.srgb, grid).result().tobytes() == film.srgb(grid).tobytes()
    job = workers.submit(oxtint.fit, log, "Dogwood 9")
    with pytest.raises(oxtint.OxtintValueError, match="Birch 2"):
        job.result()
