# SPDX-License-Identifier: GPL-3.0-or-later
"""What the Python tests share."""
import pathlib

import oxtint
import pytest

ROOT = pathlib.Path(__file__).resolve().parents[2]
DEMO = ROOT / "examples/demo/trials.csv"


@pytest.fixture(scope="session")
def log() -> oxtint.TrialLog:
    return oxtint.read_trials(DEMO)


@pytest.fixture(scope="session")
def fitted(log: oxtint.TrialLog) -> oxtint.Fit:
    return oxtint.fit(log, "Alder 1", "satin")


@pytest.fixture(scope="session")
def steel(fitted: oxtint.Fit) -> oxtint.Steel:
    return fitted.steel
