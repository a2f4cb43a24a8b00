# SPDX-License-Identifier: GPL-3.0-or-later
"""Profiles against lmfit; the manners of the bootstrap."""
import _thread
import math
import threading

import lmfit
import numpy as np
import oxtint
import pytest
import scipy.stats
from numpy.typing import NDArray

R = 8.314462618  # J/(mol K), SI of 2019
BATH = 602.0
Numbers = NDArray[np.float64]


@pytest.fixture(scope="module")
def coupons() -> oxtint.TrialLog:
    """A log of an invented steel."""
    dice = np.random.default_rng(2718)
    log = oxtint.TrialLog()
    for bath in (560.0, 585.0, 610.0):
        for time in (25.0, 60.0, 150.0):
            x = math.sqrt(40.0 * math.exp(-80e3 / R * (1.0 / bath - 1.0 / 600.0)) * time)
            log.add(steel="Alder 1", bath=bath, time=time,
                    thickness_nm=x * math.exp(dice.normal(0.0, 0.15)))
    return log


@pytest.fixture(scope="module")
def made(coupons) -> oxtint.Fit:
    return oxtint.fit(coupons)


def lmfit_limits(coupons, made, parameters: lmfit.Parameters, rate, what: str, confidence: float,
                 stated: bool) -> tuple[float, float]:
    """Limits of one parameter by lmfit.conf_interval; `rate` gives k of each bath."""
    bath = np.array([trial.bath_K for trial in coupons])
    time = np.array([trial.time_s for trial in coupons])
    seen = np.log([trial.thickness_nm for trial in coupons])
    sigma = np.array([row.sigma for row in made.rows])

    def residual(values: lmfit.Parameters) -> Numbers:
        return (0.5 * np.log(rate(values, bath) * time) - seen) / sigma

    def by_chi_square(best, new) -> float:
        return float(scipy.stats.f.cdf(new.chisqr - best.chisqr, 1, best.nfree))

    tight = {"xtol": 1e-14, "ftol": 1e-14}
    minimizer = lmfit.Minimizer(residual, parameters)
    result = minimizer.minimize(method="leastsq", **tight)
    found = lmfit.conf_interval(minimizer, result, p_names=[what], sigmas=[confidence],
                                prob_func=by_chi_square if stated else None)
    return found[what][0][1], found[what][-1][1]


# M. Newville and others, lmfit: conf_interval, which fits anew on both sides of the minimum. Given the
# constants themselves its model bends, as exp bends; limits of a profile do not care.

@pytest.mark.parametrize("confidence", [0.6, 0.95])
@pytest.mark.parametrize("scale", ["stated", "reduced"])
@pytest.mark.parametrize("bent", [False, True])
def test_profiles_agree_with_lmfit(coupons, confidence, scale, bent, measured) -> None:
    made = oxtint.fit(coupons, scatter=0.15)  # degrees of freedom are then those of the rows

    def rate(values: lmfit.Parameters, bath: Numbers) -> Numbers:
        k, q = values["k"].value, values["q"].value
        k_here = k if bent else math.exp(k)
        return k_here * np.exp(-1e5 * q / R * (1.0 / bath - 1.0 / T_ref))

    for what, T_ref in (("ln-k", made.T_ref_K), ("Q", made.T_ref_K), ("dip-time", BATH)):
        best = made.k_ref_nm2_per_s * math.exp(-made.Q_J_per_mol / R * (1.0 / T_ref - 1.0 / made.T_ref_K))
        parameters = lmfit.Parameters()
        parameters.add("k", best if bent else math.log(best), min=1e-9 if bent else -np.inf)
        parameters.add("q", made.Q_J_per_mol / 1e5)
        low, high = lmfit_limits(coupons, made, parameters, rate, "q" if what == "Q" else "k",
                                 confidence, scale == "stated")
        if what == "Q":
            low, high = 1e5 * low, 1e5 * high
        elif bent:
            low, high = math.log(low), math.log(high)
        if what == "dip-time":
            low, high = math.log(best) - high, math.log(best) - low
        found = made.profile(what, BATH, confidence=confidence, scale=scale)
        found = (math.log(found[0]), math.log(found[1])) if what == "dip-time" else found
        half = 0.5 * (high - low)
        measured("lmfit", (np.array(found) - (low, high)) / half, 1e-3)


def test_profile_of_a_fit_is_the_interval_by_t(made) -> None:
    assert made.profile("Q") == pytest.approx(made.Q_interval_J_per_mol, rel=1e-6)
    assert np.exp(made.profile("ln-k")) == pytest.approx(made.k_ref_interval_nm2_per_s, rel=1e-6)
    assert made.profile("dip-time", "623.93 F") == pytest.approx(made.profile("dip-time", BATH), 1e-3)


# B. Efron and R. J. Tibshirani, An Introduction to the Bootstrap, 1993 (from memory): the standard error
# is the standard deviation of the replicates, the percentile limits their quantiles.

def test_bootstrap_is_its_replicates(made) -> None:
    seen: list[float] = []
    boot = made.bootstrap(500, kind="residual", random_seed=5, progress=seen.append)
    assert seen == sorted(seen) and seen[-1] == 1.0 and len(set(seen)) == len(seen)
    assert boot.ln_k.shape == boot.Q_J_per_mol.shape == (500,) and boot.failed == 0
    assert boot.sd_Q_J_per_mol == pytest.approx(np.std(boot.Q_J_per_mol, ddof=1))
    assert boot.correlation == pytest.approx(np.corrcoef(boot.ln_k, boot.Q_J_per_mol)[0, 1])
    assert boot.interval("Q", confidence=0.9) == pytest.approx(np.quantile(boot.Q_J_per_mol, [0.05, 0.95]))
    low, high = boot.interval("dip-time", BATH, method="bias-corrected")
    assert low < 1.0 < high
    with pytest.raises(ValueError):
        boot.ln_k[0] = 0.0  # results do not change
    assert boot.to_dict()["replicates"] == 500 and "500 replicates" in repr(boot)
    low, high = (limit / 1e3 for limit in boot.interval("Q"))
    assert f"standard error {boot.sd_Q_J_per_mol / 1e3:.2g} kJ/mol (95 %: {low:.4g} to {high:.4g})" in boot.report("F")
    assert str(boot) == boot.report().rstrip("\n")
    again = made.bootstrap(500, kind="residual", random_seed=5, threads=3)
    np.testing.assert_array_equal(again.Q_J_per_mol, boot.Q_J_per_mol)


def test_what_progress_raises_stops_a_bootstrap(made) -> None:
    calls: list[float] = []

    def stop(done: float) -> None:
        calls.append(done)
        raise RuntimeError("enough")

    with pytest.raises(RuntimeError, match="enough"):
        made.bootstrap(1_000_000, threads=1, progress=stop)
    assert len(calls) == 1 and calls[0] < 0.01


def test_an_interrupt_stops_a_bootstrap(made) -> None:
    with pytest.raises(KeyboardInterrupt):
        made.bootstrap(1_000_000, progress=lambda done: _thread.interrupt_main())
    with pytest.raises(KeyboardInterrupt):  # nobody watches
        _thread.interrupt_main()
        made.bootstrap(1_000_000)


def test_other_threads_run_meanwhile(made) -> None:
    others: list[int] = []
    go, done = threading.Event(), threading.Event()

    def other() -> None:
        go.wait()
        others.append(oxtint.name_of(57.0) == "blue")
        done.set()

    def wait(share: float) -> None:
        go.set()
        done.wait()

    thread = threading.Thread(target=other)
    thread.start()
    made.bootstrap(100, threads=2, progress=wait)
    thread.join()
    assert others == [True]


def test_what_cannot_be_asked_is_refused(made, coupons) -> None:
    with pytest.raises(oxtint.OxtintValueError, match="expected one of 'ln-k', 'Q', 'dip-time'"):
        made.profile("k")
    with pytest.raises(TypeError, match="bath is missing"):
        made.profile("dip-time")
    with pytest.raises(oxtint.OxtintValueError, match="expected one of 'pairs', 'residual'"):
        made.bootstrap(kind="rows")
    with pytest.raises(oxtint.OxtintValueError) as caught:
        made.bootstrap(99)
    assert caught.value.parameter == "replicates" and caught.value.low == 100.0
    with pytest.raises(TypeError, match="progress"):
        made.bootstrap(progress=3)
    with pytest.raises(TypeError, match="Fit.bootstrap"):
        oxtint.Bootstrap()
    with pytest.raises(oxtint.OxtintValueError, match="Q was held"):
        oxtint.fit(coupons, Q=71e3).profile("Q")
