# SPDX-License-Identifier: GPL-3.0-or-later
"""Logged temperatures, against SciPy."""
import math
import pickle

import numpy as np
import oxtint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from conftest import ROOT

GAS_CONSTANT = 8.314462618
TIMES = np.array([-2.0, 0.0, 5.0, 12.5, 20.0, 50.0, 80.0, 81.0, 140.0])
KELVIN = np.array([293.15, 293.15, 480.0, 570.0, 588.0, 590.5, 586.0, 560.0, 310.0])


def by_scipy(steel, times, kelvin, start, end) -> float:
    def rate(time: float) -> float:
        inverse = 1.0 / np.interp(time, times, kelvin) - 1.0 / steel.T_ref_K
        return steel.k_ref_nm2_per_s * math.exp(-steel.Q_J_per_mol / GAS_CONSTANT * inverse)

    cuts = [start, *(time for time in times if start < time < end), end]
    return math.fsum(quad(rate, a, b, epsabs=0.0, epsrel=1e-12)[0] for a, b in zip(cuts, cuts[1:]))


@pytest.mark.parametrize(("start", "end"), [(-2.0, 140.0), (3.0, 60.5), (80.2, 80.7)])
def test_exposure_equals_scipy(steel, start, end, measured) -> None:
    history = oxtint.History(TIMES, KELVIN)
    expected = by_scipy(steel, TIMES, KELVIN, start, end)
    measured("scipy-history", history.exposure(steel, start, end) / expected - 1.0, 1e-10)


@settings(max_examples=50, deadline=None)
@given(st.lists(st.floats(200.0, 1300.0), min_size=2, max_size=8), st.just(0.0) | st.floats(1.0, 4e5))
def test_any_history_equals_scipy(kelvin, Q) -> None:
    steel = oxtint.Steel.from_values(
        steel="T-coupon", k_ref_nm2_per_s=30.0, T_ref_K=1300.0, Q_J_per_mol=Q, scatter=0.05,
        variance_ln_k=1e-3, variance_Q_J2_per_mol2=1e6, dof=5.0, bath_low_K=560.0,
        bath_high_K=640.0, thickness_low_nm=10.0, thickness_high_nm=90.0)
    times = np.arange(len(kelvin)) * 7.0
    expected = by_scipy(steel, times, kelvin, 0.0, times[-1])
    assert oxtint.History(times, kelvin).exposure(steel) == pytest.approx(expected, rel=1e-8)


def test_stays_and_films(steel) -> None:
    stay = oxtint.History(["0 s", "1:30"], "600 F")
    bare = steel.thickness("600 F", 90.0)
    assert stay.thickness(steel) == pytest.approx(bare)
    assert stay.thickness(steel, 30.0) == pytest.approx(math.hypot(30.0, bare))
    assert stay.exposure(steel, "30 s") == pytest.approx(bare**2 * 2 / 3)
    assert stay.exposure(steel, to_time=30.0) == pytest.approx(bare**2 / 3)


def test_what_a_history_is(steel) -> None:
    history = oxtint.History(TIMES, KELVIN)
    assert len(history) == 9 and "9 samples, -2 to 140 s" in repr(history)
    np.testing.assert_array_equal(history.time_s, TIMES)
    np.testing.assert_array_equal(history.temperature_K, KELVIN)
    np.testing.assert_allclose([history.temperature(time) for time in (2.5, 10.0)],
                               np.interp([2.5, 10.0], TIMES, KELVIN))
    with pytest.raises(ValueError):
        history.time_s[0] = 1.0
    again = pickle.loads(pickle.dumps(history))
    assert again.exposure(steel) == history.exposure(steel)


@pytest.mark.parametrize(("action", "words"), [
    (lambda: oxtint.History([0.0, 12.5, 12.0], 600.0), "time 12 s of sample 3 is not after 12.5 s"),
    (lambda: oxtint.History([0.0], 600.0), "2 or more"),
    (lambda: oxtint.History([0.0, 1.0], [600.0]), "shape"),
    (lambda: oxtint.History(1.0, 600.0), "shape"),
    (lambda: oxtint.History([0.0, 1.0], [600.0, 199.0]), "sample 2"),
    (lambda: oxtint.History([0.0, 9.0], 600.0, longest_gap_s=8.0), "more than 8 s"),
    (lambda: oxtint.History([0.0, 9.0], 600.0).temperature(10.0), "time_s"),
])
def test_what_is_no_history(action, words) -> None:
    with pytest.raises(oxtint.OxtintValueError, match=words):
        action()


def test_the_row_of_a_refusal() -> None:
    with pytest.raises(oxtint.OxtintValueError) as caught:
        oxtint.History([0.0, 12.5, 12.0], 600.0)
    assert (caught.value.row, caught.value.parameter, caught.value.value) == (3, "time_s", 12.0)


def test_files(tmp_path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("Temperature_F,time_min,channel\n68,0,1\n600,0.5,1\n", encoding="utf-8")
    history = oxtint.read_history(path, longest_gap_s=30.0)
    np.testing.assert_allclose(history.time_s, [0.0, 30.0])
    np.testing.assert_allclose(history.temperature_K, [293.15, (600.0 + 459.67) / 1.8])
    with pytest.raises(oxtint.HistoryFileError) as caught:
        oxtint.read_history_text("time_s,temperature_C\n0,20\n5,hot\n4,300\n")
    assert [(fault.line, fault.column, fault.found) for fault in caught.value.faults] == [
        (3, "temperature_C", "hot"), (4, "time_s", "4")]
    with pytest.raises(OSError):
        oxtint.read_history(tmp_path / "none.csv")


def test_the_demo_trace_follows_its_bath(steel) -> None:
    # The bath behind the invented trace, 604 F with a swing of 5 F: examples/demo/make_history.py. The
    # coupon has come up to it 45 s after the start, more than six time constants after the dip.
    history = oxtint.read_history(ROOT / "examples/demo/history.csv", longest_gap_s=1.0)
    low, high = oxtint.parse_temperature("599 F"), oxtint.parse_temperature("609 F")
    assert all(low <= history.temperature(time) <= high for time in range(45, 76))
    most = steel.thickness(high, 70.0)
    assert 0.8 * most < history.thickness(steel) < most


def test_a_thermocouple_finds_the_heat_transfer() -> None:
    """Lumped: 316 - (316 - 20) exp(-t/tau), tau = rho c V/(h A), written out; it enters at 5 s."""
    part = oxtint.Part("3 mm", "any", heat_J_per_kgK=560.0, density_kg_per_m3=7850.0)
    tau = 7850.0 * 560.0 * 0.003 / 450.0
    time = np.arange(0.0, 120.0, 1.0)
    celsius = np.where(time < 5.0, 20.0, 316.0 - 296.0 * np.exp(-(time - 5.0) / tau))
    log = oxtint.History(time, celsius + 273.15)
    found = log.find_transfer(part, "316 C")
    assert found.transfer_W_per_m2K == pytest.approx(450.0, rel=1e-3)
    assert found.enter_s == pytest.approx(5.0, abs=0.02) and found.used == 120
    assert found.exponent == found.exponent_stderr == 0.0 and 0.0 < found.transfer_stderr_W_per_m2K < 1.0
    still = oxtint.Part("3 mm", "any", heat_J_per_kgK=560.0, flow="still", transfer_W_per_m2K=200.0)
    assert log.find_transfer(still, "316 C", "surface").exponent == pytest.approx(0.0, abs=1e-2)
    with pytest.raises(oxtint.OxtintValueError, match="thermocouple"):
        log.find_transfer(part, "316 C", "edge")
    with pytest.raises(oxtint.OxtintError, match="first half of the rise"):
        oxtint.History([0.0, 1.0, 2.0], 589.0).find_transfer(part, "316 C")
