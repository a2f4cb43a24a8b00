# SPDX-License-Identifier: GPL-3.0-or-later
"""Long calls tell how far they are, and stop: fits, pools, laws and profiles. The bootstrap's are in test_interval.py."""
from __future__ import annotations

import _thread
import functools
from typing import Any, Callable

import numpy as np
import oxtint
import pytest


@pytest.fixture(scope="module")
def log() -> oxtint.TrialLog:
    random = np.random.default_rng(5)
    baths, times = np.tile([560.0, 590.0, 620.0], 4), np.repeat([30.0, 60.0, 120.0, 240.0], 3)
    rates = 55.0 * np.exp(-80e3 / 8.314462618 * (1.0 / baths - 1.0 / 588.7))
    film = np.sqrt(rates * times) * np.exp(random.normal(0.0, 0.05, 12))
    return oxtint.TrialLog.from_columns(dict(steel=["Alder 1"] * 12, bath_K=baths, time_s=times,
                                             thickness_nm=film))


@pytest.fixture(params=["fit", "pool", "laws", "profile"])
def run(request: pytest.FixtureRequest, log: oxtint.TrialLog) -> Callable[..., Any]:
    if request.param == "laws":
        return oxtint.fit(log).laws
    if request.param == "profile":
        return functools.partial(oxtint.fit(log).profile, "ln-k")
    return lambda **options: getattr(oxtint, request.param)(log, **options)


def test_a_call_tells_how_far_it_is(run: Callable[..., Any]) -> None:
    seen: list[float] = []
    told = run(progress=seen.append)
    assert seen == sorted(seen) and 0.0 <= seen[0] and seen[-1] == 1.0
    assert repr(told) == repr(run())


def test_what_progress_raises_stops_the_call(run: Callable[..., Any]) -> None:
    def stop(done: float) -> None:
        raise RuntimeError("enough")

    with pytest.raises(RuntimeError, match="enough"):
        run(progress=stop)


def test_an_interrupt_stops_the_call(run: Callable[..., Any]) -> None:
    with pytest.raises(KeyboardInterrupt):
        run(progress=lambda done: _thread.interrupt_main())
    with pytest.raises(KeyboardInterrupt):  # nobody watches
        _thread.interrupt_main()
        run()


def test_progress_is_a_function(run: Callable[..., Any]) -> None:
    with pytest.raises(TypeError, match="progress is int, expected a function"):
        run(progress=3)
