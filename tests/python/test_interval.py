# SPDX-License-Identifier: GPL-3.0-or-later
"""Profiles against lmfit; the manners of the bootstrap."""
import _thread
import math
import threading
from typing import Any

import lmfit
import numpy as np
import oxtint
import pytest
import scipy.optimize
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


# By another law.

def cube_root_log(count: int = 30, scatter: float = 0.05) -> oxtint.TrialLog:
    """Films that grow as time^(1/3), 18 to 70 nm."""
    log, dice = oxtint.TrialLog(), np.random.default_rng(7)
    for i in range(count):
        bath, film = 560.0 + 30.0 * (i % 3), 18.0 * math.exp(math.log(70.0 / 18.0) * i / (count - 1))
        log.add("Alder 1", bath=bath, time=(film / 12.0) ** 3 * math.exp(14.0 * (590.0 / bath - 1.0)),
                thickness_nm=film * math.exp(dice.normal(0.0, scatter)))
    return log


def test_each_replicate_finds_its_own_shape() -> None:
    """Against replicates by NumPy: rows drawn again, the shape by the likelihood of ln x with rate and Q integrated
    out, at the scatter of the fit."""
    log, scatter = cube_root_log(), 0.15
    fit = oxtint.fit(log, law="power", scatter=scatter)
    rows = [(row.bath_K, row.time_s, row.observed_nm) for row in fit.rows]
    bath, time, x = (np.array(column) for column in zip(*rows))
    design = 0.5 * np.stack([np.ones(30), -(fit.T_ref_K / bath - 1.0)], 1)

    def solve(ln_n: float, drawn: Any) -> tuple[float, Any]:
        n = math.exp(ln_n)
        y = 0.5 * (n * np.log(x / fit.law_middle_nm) + 2.0 * math.log(fit.law_middle_nm)) - 0.5 * np.log(time)
        sigma = np.full(30, math.hypot(0.5 * n * 0.02, scatter))
        X, aim = (design / sigma[:, None])[drawn], (y / sigma)[drawn]
        beta = np.linalg.lstsq(X, aim, rcond=None)[0]
        off = aim - X @ beta
        cost = 0.5 * off @ off + np.log(sigma).sum() - 30 * ln_n + 0.5 * np.linalg.slogdet(X.T @ X)[1]
        return float(cost), beta

    dice, found = np.random.default_rng(1), []
    for _ in range(600):
        drawn = dice.integers(0, 30, 30)
        best = scipy.optimize.minimize_scalar(lambda ln_n: solve(ln_n, drawn)[0], method="bounded",
                                              bounds=(math.log(fit.law_shape) - 0.5, math.log(fit.law_shape) + 0.5))
        found.append((best.x, solve(best.x, drawn)[1][0]))
    by_hand = np.array(found)
    boot = fit.bootstrap(2000, random_seed=3)
    ours = np.stack([np.log(boot.law_shape), boot.ln_k])
    for place in (0, 1):
        assert np.std(ours[place]) == pytest.approx(np.std(by_hand[:, place]), rel=0.12)
        assert np.mean(ours[place]) == pytest.approx(np.mean(by_hand[:, place]), abs=0.2 * np.std(by_hand[:, place]))
    assert boot.sd_ln_shape == pytest.approx(np.std(ours[0]), rel=1e-3)
    assert boot.mean_ln_shape == pytest.approx(np.mean(ours[0]), abs=1e-9)


@pytest.mark.parametrize("kind", ["pairs", "residual"])
@pytest.mark.parametrize("law", ["power", "logarithmic"])
def test_limits_of_a_dip_by_a_law_include_the_shape(law, kind) -> None:
    """About those of the dip: rate and shape at its film. With the shape held they are alike for all films."""
    fit = oxtint.fit(cube_root_log(60, 0.04), law=law)
    boot = fit.bootstrap(1000, kind=kind)
    assert boot.law == law and boot.failed == 0 and boot.sd_ln_shape == pytest.approx(fit.ln_shape_stderr, rel=0.3)
    low, high = boot.interval("shape")
    assert low < fit.law_shape < high and high / low == pytest.approx(math.exp(2 * 2.0 * fit.ln_shape_stderr), rel=0.15)
    widths = []
    for film in (20.0, fit.law_middle_nm, 75.0):
        dip = fit.steel.dip(film, 590.0)
        factors = boot.interval("dip-time", 590.0, thickness_nm=film)
        widths.append(math.log(factors[1] / factors[0]))
        assert widths[-1] == pytest.approx(math.log(dip.interval_s[1] / dip.interval_s[0]), rel=0.3)
    assert widths[0] > 1.3 * widths[1] and widths[2] > 1.3 * widths[1]
    middle = boot.interval("dip-time", 590.0, thickness_nm=fit.law_middle_nm)
    assert boot.interval("dip-time", 590.0) == pytest.approx(middle, rel=1e-12)
    assert fit.bootstrap(100, kind=kind, threads=1).law_shape.tolist() == \
        fit.bootstrap(100, kind=kind, threads=2).law_shape.tolist()
    assert f"{law} law: " in boot.report() and "standard error" in boot.report()
    held = oxtint.fit(cube_root_log(60, 0.04), law=law, law_shape=fit.law_shape).bootstrap(200, kind=kind)
    assert held.sd_ln_shape == 0.0 and set(held.law_shape.tolist()) == {fit.law_shape}
    assert held.interval("dip-time", 590.0, thickness_nm=20.0) == pytest.approx(held.interval("dip-time", 590.0), rel=1e-12)
    with pytest.raises(ValueError, match="did not find the shape"):
        held.interval("shape")
    with pytest.raises(ValueError, match="has limits by a bootstrap"):
        fit.profile("shape")
    with pytest.raises(ValueError, match="thickness_nm"):
        boot.interval("dip-time", 590.0, thickness_nm=-1.0)


def test_a_bootstrap_of_the_parabolic_law_has_no_shape() -> None:
    boot = oxtint.fit(cube_root_log()).bootstrap(200)
    assert (boot.law, boot.law_middle_nm, boot.sd_ln_shape, boot.mean_ln_shape) == ("parabolic", 0.0, 0.0, 0.0)
    assert not boot.law_shape.any() and " law" not in boot.report()
    assert boot.interval("dip-time", 590.0, thickness_nm=20.0) == boot.interval("dip-time", 590.0)


def test_a_prior_of_the_shape_is_drawn() -> None:
    fit = oxtint.fit(cube_root_log(), law="power", law_shape=3.0, ln_shape_sd=1e-3)
    assert fit.bootstrap(500).sd_ln_shape == pytest.approx(1e-3, rel=0.15)


def test_named_colours_by_a_law() -> None:
    film, log = oxtint.Film(), oxtint.TrialLog()
    for row in oxtint.fit(cube_root_log(40)).rows:
        log.add("Alder 1", bath=row.bath_K, time=row.time_s, colour=film.tint(row.observed_nm).label)
    fit = oxtint.fit(log, law="power")
    for kind in ("pairs", "residual"):
        boot = fit.bootstrap(300, kind=kind)
        assert boot.sd_ln_shape == pytest.approx(fit.ln_shape_stderr, rel=0.35)
        assert boot.mean_ln_shape == pytest.approx(math.log(fit.law_shape), abs=0.5 * fit.ln_shape_stderr)
