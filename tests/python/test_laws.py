# SPDX-License-Identifier: GPL-3.0-or-later
"""Laws of growth against SciPy and NumPy, and the manners of the comparison."""
import math
import pathlib
import subprocess
import sys
from collections.abc import Callable

import numpy as np
import oxtint
import pytest
import scipy.optimize
import scipy.stats
from numpy.typing import NDArray

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
R = 8.314462618  # J/(mol K), SI of 2019
Numbers = NDArray[np.float64]
BATH = np.repeat([560.0, 590.0, 620.0], 12)
TIME = np.tile(np.repeat([15.0, 30.0, 60.0, 120.0, 240.0, 480.0], 2), 3)  # two coupons of each


def G(law: str, shape: float, x: Numbers) -> Numbers:
    """As the books write it."""
    if law == "power":
        return x ** shape
    if law == "linear-parabolic":
        return x * x + shape * x
    if law == "logarithmic":
        return shape * np.expm1(x / shape)
    return x * x


def inverse_G(law: str, shape: float, E: Numbers) -> Numbers:
    if law == "power":
        return E ** (1.0 / shape)
    if law == "linear-parabolic":
        return 0.5 * (np.sqrt(shape * shape + 4.0 * E) - shape)
    if law == "logarithmic":
        return shape * np.log1p(E / shape)
    return np.sqrt(E)


def films(law: str, shape: float, ln_k: float, Q: float, T_ref: float, x0: float = 0.0) -> Numbers:
    before = G(law, shape, np.array(x0))
    rate = np.exp(ln_k - Q / R * (1.0 / BATH - 1.0 / T_ref))
    return inverse_G(law, shape, before + rate * TIME)


def log_of(x: Numbers) -> oxtint.TrialLog:
    log = oxtint.TrialLog()
    for bath, time, film in zip(BATH, TIME, x):
        log.add(steel="Alder 1", bath=float(bath), time=float(time), thickness_nm=float(film))
    return log


CASES = [("parabolic", 0.0, 0.0), ("power", 3.1, 0.0), ("linear-parabolic", 30.0, 0.0),
         ("logarithmic", 15.0, 0.0), ("parabolic", 0.0, 12.0), ("power", 1.6, 10.0),
         ("linear-parabolic", 60.0, 10.0)]


def scattered(law: str, shape: float, x0: float) -> Numbers:
    """50 nm after 60 s at 590 K, with 3 % scatter."""
    dice = np.random.default_rng(7)
    grown = G(law, shape, np.array(50.0)) - G(law, shape, np.array(x0))
    exact = films(law, shape, math.log(float(grown) / 60.0), 80e3, 590.0, x0)
    return exact * np.exp(dice.normal(0.0, 0.03, exact.size))


# curve_fit is MINPACK; its errors are scaled by the reduced chi-square unless it is told otherwise.
@pytest.mark.parametrize("law, shape, x0", CASES)
def test_each_law_agrees_with_scipy(law, shape, x0, measured) -> None:
    x = scattered(law, shape, x0)
    fit = oxtint.fit(log_of(x))
    found = fit.laws(with_initial=x0 > 0.0)[law]
    sigma = np.array([row.sigma for row in fit.rows])
    shaped = law != "parabolic"

    # ln of the time to 50 nm in the place of ln k, for MINPACK's sake
    def model(_: Numbers, ln_time: float, q: float, *more: float) -> Numbers:
        size = math.exp(more[0]) if shaped else 0.0
        ln_k = float(np.log(G(law, size, np.array(50.0)))) - ln_time
        before = math.exp(more[-1]) if x0 > 0.0 else 0.0
        return np.log(films(law, size, ln_k, 1e4 * q, fit.T_ref_K, before))

    start = [4.0, 8.0] + ([math.log(shape)] if shaped else []) + ([math.log(x0)] if x0 else [])
    best, covariance = scipy.optimize.curve_fit(model, BATH, np.log(x), start, sigma, xtol=1e-14,
                                                ftol=1e-14, gtol=1e-14, maxfev=20000)
    assert found.converged and found.parameters == len(start)
    measured("curve-fit-laws", found.Q_J_per_mol / (1e4 * best[1]) - 1.0, 1e-6)
    assert found.Q_stderr_J_per_mol == pytest.approx(1e4 * math.sqrt(covariance[1, 1]), rel=1e-4)
    size = math.exp(best[2]) if shaped else 0.0
    ln_k = float(np.log(G(law, size, np.array(50.0)))) - best[0]
    assert math.log(found.k_ref) == pytest.approx(ln_k, rel=1e-6)
    if shaped:
        error = math.sqrt(covariance[2, 2])
        t = scipy.stats.t.ppf(0.975, found.dof)
        assert found.shape == pytest.approx(size, rel=1e-6)
        assert found.shape_stderr == pytest.approx(size * error, rel=1e-4)
        expected = ((1.0 / (1.0 / size + t * error / size), 1.0 / (1.0 / size - t * error / size))
                    if law == "power" else (size * math.exp(-t * error), size * math.exp(t * error)))
        assert found.shape_interval == pytest.approx(expected, rel=1e-4)
    if x0 > 0.0:
        assert found.initial_nm == pytest.approx(math.exp(best[-1]), rel=1e-6)
    off = (model(BATH, *best) - np.log(x)) / sigma
    assert found.chi_square == pytest.approx(float(off @ off), rel=1e-9)


# N. R. Draper and H. Smith, Applied Regression Analysis (from memory), in NumPy: pure error of the
# pairs, lack of fit, and F of the power law; AICc of least squares after K. P. Burnham and D. R.
# Anderson (from memory).
@pytest.mark.parametrize("law, shape, x0", CASES)
def test_criteria_agree_with_numpy(law, shape, x0) -> None:
    x = scattered(law, shape, x0)
    fit = oxtint.fit(log_of(x))
    laws = fit.laws()
    sigma = np.array([row.sigma for row in fit.rows])
    pairs = (np.log(x) / sigma).reshape(-1, 2)
    pure = float(np.sum((pairs - pairs.mean(axis=1, keepdims=True)) ** 2))
    n, extra = x.size, pairs.shape[0]
    aicc = {}
    for name, found in laws.items():
        p = 2 if name == "parabolic" else 3
        assert found.parameters == p and found.dof == n - p
        F = (found.chi_square - pure) / (n - p - extra) / (pure / extra)
        assert found.lack_of_fit_F == pytest.approx(F, rel=1e-9)
        assert found.lack_of_fit_p == pytest.approx(scipy.stats.f.sf(F, n - p - extra, extra),
                                                    rel=1e-9)
        k = p + 1  # the scale of the errors
        likelihood = -0.5 * n * (math.log(2.0 * math.pi * found.chi_square / n) + 1.0) - np.sum(
            np.log(sigma))
        aicc[name] = -2.0 * likelihood + 2 * k + 2 * k * (k + 1) / (n - k - 1)
        assert found.aicc == pytest.approx(aicc[name], rel=1e-12)
    least = min(aicc.values())
    shares = {name: math.exp(-0.5 * (value - least)) for name, value in aicc.items()}
    for name, found in laws.items():
        assert found.aicc_difference == pytest.approx(aicc[name] - least, abs=1e-9)
        assert found.weight == pytest.approx(shares[name] / sum(shares.values()), rel=1e-9)
    assert laws.best == min(aicc, key=lambda name: aicc[name])
    assert laws.replicate_count == extra
    power = laws["power"]
    F = (laws["parabolic"].chi_square - power.chi_square) / (power.chi_square / power.dof)
    assert laws.F == pytest.approx(F, rel=1e-9, abs=1e-12)
    assert laws.p == pytest.approx(scipy.stats.f.sf(laws.F, 1, power.dof), rel=1e-9)


# Physics: the right law shows no lack of fit, the parabolic one does.
def test_lack_of_fit_tells_the_wrong_law() -> None:
    laws = oxtint.fit(log_of(scattered("power", 3.1, 0.0))).laws()
    assert laws["power"].lack_of_fit_p > 0.05 and laws["parabolic"].lack_of_fit_p < 1e-6
    assert "lack of fit p" in laws.report()


# Contract of the header.
def test_the_verdict_in_words() -> None:
    laws = oxtint.fit(log_of(scattered("power", 3.1, 0.0))).laws()
    assert laws.verdict == "contradicted"
    assert laws.sentence.startswith("the trials contradict the parabolic law: "
                                    f"x grows as time^(1/{laws.exponent:.2f}) (95 %: n from ")
    assert laws.time_ratio_twice > 2.0 > 1.0 > 0.5 > laws.time_ratio_half
    assert f" nm is {laws.time_ratio_twice:.1f} times as long" in laws.sentence
    assert f" nm is {1 / laws.time_ratio_half:.1f} times as short" in laws.sentence
    words = " ".join(laws.report("F").split())
    assert laws.sentence in words and " F two of " in words and "one bath" in words
    held = oxtint.fit(log_of(scattered("parabolic", 0.0, 0.0))).laws(confidence=0.9)
    assert held.verdict == "holds" and held.sentence.startswith("the parabolic law holds: ")
    assert "(90 %: " in held.sentence and "Nothing: dips" in held.report()


# A film that is thicker than half the middle one before the dip leaves nothing to compare there.
def test_a_film_already_thicker_is_not_compared() -> None:
    laws = oxtint.fit(log_of(films("power", 4.0, 11.5, 80e3, 590.0))).laws(with_initial=True)
    assert laws["parabolic"].initial_nm > 0.5 * laws.middle_nm
    assert math.isnan(laws.time_ratio_half) and laws.time_ratio_twice > 1.0
    assert f"time for {0.5 * laws.middle_nm:.0f} nm" not in laws.sentence


# Eight coupons of coarse colours within a factor of 2 in time.
def test_few_coupons_leave_it_open() -> None:
    log = oxtint.TrialLog()
    for bath, time, colour in (("560 F", 90, "straw"), ("560 F", 180, "dark straw"),
                               ("600 F", 60, "dark straw"), ("600 F", 110, "purple"),
                               ("640 F", 40, "purple"), ("640 F", 70, "blue"),
                               ("620 F", 60, "brown"), ("580 F", 150, "purple")):
        log.add(steel="Birch 2", bath=bath, time=time, colour=colour)
    laws = oxtint.fit(log).laws()
    assert laws.verdict == "open"
    assert "cannot show whether growth is parabolic" in laws.sentence
    assert "no two coupons are alike" in laws.report()


def test_manners() -> None:
    fit = oxtint.fit(log_of(scattered("parabolic", 0.0, 0.0)))
    laws = fit.laws()
    assert list(laws) == ["parabolic", "power", "linear-parabolic", "logarithmic"] and len(laws) == 4
    assert laws["power"].kind == "power" and math.isnan(laws["parabolic"].shape)
    assert str(laws) == laws.report().rstrip("\n") and repr(laws).startswith("<Laws on 36 trials")
    assert laws.Q_held is False and laws["power"].converged is True
    with pytest.raises(KeyError):
        laws["cubic"]  # type: ignore[index]
    with pytest.raises(AttributeError):
        laws["power"].shape = 2.0  # type: ignore[misc]
    with pytest.raises(TypeError, match="Fit.laws"):
        oxtint.Laws()


BAD: list[tuple[Callable[[oxtint.Fit], object], type[Exception], str]] = [
    (lambda fit: fit.laws(confidence=1.0), oxtint.OxtintValueError, "confidence is 1"),
    (lambda fit: fit.laws(confidence="95 %"), TypeError, "confidence is str"),  # type: ignore[arg-type]
    (lambda fit: fit.laws(with_initial="no"), TypeError, "with_initial is str"),  # type: ignore[arg-type]
    (lambda fit: fit.laws().report("R"), oxtint.OxtintValueError, "unit is 'R'"),
]


@pytest.mark.parametrize("call, kind, words", BAD)
def test_misuse(call, kind, words) -> None:
    fit = oxtint.fit(log_of(scattered("parabolic", 0.0, 0.0)))
    with pytest.raises(kind, match=words):
        call(fit)


def test_two_colours_are_too_few() -> None:
    log = oxtint.TrialLog()
    for bath in (560.0, 580.0, 600.0, 620.0):
        log.add(steel="Birch 2", bath=bath, time=30.0 * 600.0 / bath, colour="straw")
        log.add(steel="Birch 2", bath=bath, time=120.0 * 600.0 / bath, colour="blue")
    with pytest.raises(oxtint.OxtintValueError, match="add coupons that show a third colour") as caught:
        oxtint.fit(log).laws()
    assert caught.value.code == "EFEW" and caught.value.value == 2.0 and caught.value.low == 3.0


# SciPy: the quantiles of a mixture of normal distributions of ln time, one for each law, by the weights of NumPy's own AICc
# (test_criteria_agree_with_numpy).
def test_dips_of_all_laws_are_averaged() -> None:
    films_nm = scattered("power", 2.3, 0.0)
    log = log_of(films_nm * np.exp(np.random.default_rng(8).normal(0.0, 0.2, films_nm.size)))  # too rough to tell
    laws = oxtint.fit(log).laws()
    dips = [oxtint.fit(log, law=law).steel.dip("light blue", "600 F") for law in laws]
    weights = [law.weight for law in laws.values()]
    average = oxtint.dip_average(dips, weights)
    assert sum(weight > 0.01 for weight in weights) >= 2, "one law alone is no average"
    z = scipy.stats.norm.ppf(0.975)
    for found, limits in ((average.interval_s, [dip.interval_s for dip in dips]),
                          (average.next_interval_s, [dip.next_interval_s for dip in dips])):
        def below(ln_s: float) -> float:
            sides = [(math.log(dip.time_s), math.log(dip.time_s / low) / z, math.log(high / dip.time_s) / z)
                     for dip, (low, high) in zip(dips, limits)]
            return sum(weight * scipy.stats.norm.cdf((ln_s - aim) / (down if ln_s < aim else up))
                       for weight, (aim, down, up) in zip(weights, sides))
        assert below(math.log(found[0])) == pytest.approx(0.025, abs=1e-6)
        assert below(math.log(found[1])) == pytest.approx(0.975, abs=1e-6)
    assert math.log(average.time_s) == pytest.approx(
        sum(weight * math.log(dip.time_s) for weight, dip in zip(weights, dips)), abs=1e-9)
    widest = max(dip.interval_s[1] for dip in dips) / min(dip.interval_s[0] for dip in dips)
    heaviest = dips[weights.index(max(weights))].interval_s
    assert heaviest[1] / heaviest[0] < average.interval_s[1] / average.interval_s[0] < widest
    assert "600 F" in average.report() and average.cautions


@pytest.mark.parametrize("change, words", [
    (lambda dips, weights: (dips, weights[:1]), r"weights has shape \(1,\), expected 2 numbers"),
    (lambda dips, weights: ([], []), "count is 0"),
    (lambda dips, weights: (dips, [0.0, 0.0]), "the weights are all 0"),
    (lambda dips, weights: (dips, [1.0, float("nan")]), "weights is nan"),
    (lambda dips, weights: ([dips[0], dips[1].__class__(**{**vars(dips[1]), "bath_K": 600.0})], weights),
     "only dips in one bath"),
    (lambda dips, weights: ([dips[0], dips[1].__class__(**{**vars(dips[1]), "part_text": "4 mm plate"})], weights),
     "dip 2 is of a part 4 mm plate, the first like the coupons"),
])
def test_dips_that_cannot_be_averaged(change, words) -> None:
    steel = oxtint.fit(log_of(scattered("parabolic", 0.0, 0.0))).steel
    dips, weights = change([steel.dip("blue", "600 F"), steel.dip("blue", "600 F", time_wander_s=2.0)], [0.5, 0.5])
    with pytest.raises(oxtint.OxtintError, match=words):
        oxtint.dip_average(dips, weights)


# Contract of the example: the demo's data are parabolic, Elm's are not.
def test_example_runs() -> None:
    result = subprocess.run([sys.executable, ROOT / "examples/growth_laws.py"], capture_output=True,
                            text=True, check=True)
    demo, elm = result.stdout.split("\n\n", 1)
    assert "Alder 1, satin: the parabolic law holds" in demo and "contradict" not in demo
    assert "contradict the parabolic law: x grows as time^(1/2.9" in " ".join(elm.split())
    assert "lack of fit p" in elm
    single, averaged = [line.split("mean time ")[1] for line in elm.splitlines() if "silver at 600 F" in line]
    low, high, wider_low, wider_high = (oxtint.parse_duration(word) for word in f"{single} to {averaged}".split(" to "))
    assert wider_low < low < high < wider_high
    assert "Fir 6" in elm and "power law, n = 2.9" in elm and "4 of 4" in elm
