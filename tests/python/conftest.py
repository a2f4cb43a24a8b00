# SPDX-License-Identifier: GPL-3.0-or-later
"""What the Python tests share."""
import math
import os
import pathlib
import signal
import sys
from collections.abc import Callable, Iterator

import hypothesis
import numpy as np
import oxtint
import pytest

ROOT = pathlib.Path(__file__).resolve().parents[2]
DEMO = ROOT / "examples/demo/trials.csv"

# tests/run.sh asks for the profile "ci": the same examples in every run. By hand new ones are tried.
hypothesis.settings.register_profile("ci", derandomize=True, database=None)
hypothesis.settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "default"))

# A shell in which the tests run in the background ignores Ctrl-C for them; those that press it need it.
signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture(autouse=True)
def close_figures() -> Iterator[None]:
    """No test finds the figures that another one left open."""
    yield
    if "matplotlib.pyplot" in sys.modules:
        sys.modules["matplotlib.pyplot"].close("all")


@pytest.fixture(scope="session")
def log() -> oxtint.TrialLog:
    return oxtint.read_trials(DEMO)


@pytest.fixture(scope="session")
def fitted(log: oxtint.TrialLog) -> oxtint.Fit:
    return oxtint.fit(log, "Alder 1", "satin")


@pytest.fixture(scope="session")
def steel(fitted: oxtint.Fit) -> oxtint.Steel:
    return fitted.steel


@pytest.fixture
def measured(record_property) -> Callable[..., None]:
    """A figure of docs/understand/accuracy.md: it must not be above its bound, and is noted for tests/accuracy.py
    under its name; of several notes the largest counts. Arrays are reduced to their largest value."""
    def note(name: str, error: object, high: float) -> None:
        worst = float(np.max(np.abs(error)))
        record_property(name, f"{worst:.6g} -inf {high:g}")
        assert math.isfinite(worst) and worst <= high, f"{name} is {worst:g}, expected {high:g} at most"
    return note
