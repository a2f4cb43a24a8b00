# SPDX-License-Identifier: GPL-3.0-or-later
"""Pools against least squares written out with NumPy."""
import math

import numpy as np
import oxtint
import pytest
import scipy.optimize

from conftest import DEMO

R = 8.314462618  # J/(mol K), SI of 2019
SCATTER, UNCERTAINTY = 0.05, 0.02
BATHS = [560.0, 590.0, 620.0]
#: steel, finish, k at 590 K, Q: a satin finish about 4/3 as fast as a mirror
STEELS = [("Alder 1", "mirror", 27.0, 76e3), ("Alder 1", "satin", 36.5, 70e3),
          ("Birch 2", "mirror", 15.0, 82e3), ("Birch 2", "satin", 19.0, 76e3)]


def coupons() -> list[tuple[int, float, float, float]]:
    """Group, bath, time and thickness; the groups are of unlike size."""
    dice = np.random.default_rng(20)
    found = []
    for group, (_, _, k, q) in enumerate(STEELS):
        for i in range(6 + group):
            bath, time = BATHS[i % 3], 30.0 + 15.0 * i
            rate = k * math.exp(-q / R * (1 / bath - 1 / 590.0))
            found.append((group, bath, time,
                          math.sqrt(rate * time) * math.exp(dice.normal(0.0, SCATTER))))
    return found


@pytest.fixture(scope="module")
def made_log() -> oxtint.TrialLog:
    log = oxtint.TrialLog()
    for group, bath, time, thickness in coupons():
        log.add(STEELS[group][0], finish=STEELS[group][1], bath=bath, time=time,
                thickness_nm=thickness)
    return log


def design(model: str) -> tuple[np.ndarray, np.ndarray, float]:
    """Columns of the design, 2 ln x - ln t, and T_ref."""
    rows = coupons()
    group = np.array([row[0] for row in rows])
    bath = np.array([row[1] for row in rows])
    T_ref = 1.0 / np.mean(1.0 / bath)
    late = T_ref / bath - 1.0
    own = np.eye(4)[group]
    steel, satin = np.eye(2)[group // 2], (group % 2)[:, None]
    columns = {"shared-q": [own, -late[:, None]], "separate": [own, -own * late[:, None]],
               "finish-factors": [steel, satin, -late[:, None]]}[model]
    seen = np.array([2.0 * math.log(row[3]) - math.log(row[2]) for row in rows])
    return np.hstack(columns), seen, T_ref


def by_hand(model: str) -> tuple[np.ndarray, np.ndarray, float]:
    """Parameters, covariance and chi-square."""
    X, y, _ = design(model)
    variance = 4.0 * (SCATTER**2 + UNCERTAINTY**2)  # of 2 ln x
    covariance = np.linalg.inv(X.T @ X) * variance
    beta = np.linalg.lstsq(X, y, rcond=None)[0]
    return beta, covariance, float(np.sum((y - X @ beta)**2) / variance)


MODELS = ["finish-factors", "shared-q", "separate"]


@pytest.mark.parametrize("model", MODELS)
def test_constants_are_those_of_least_squares(made_log, model, measured) -> None:
    pool = oxtint.pool(made_log, model=model, scatter=SCATTER)
    beta, covariance, chi_square = by_hand(model)
    T_ref = design(model)[2]
    assert pool.model == model and pool.chi_square == pytest.approx(chi_square, rel=1e-9)
    assert pool.T_ref_K == pytest.approx(T_ref, rel=1e-12)
    for i, group in enumerate(pool.table):
        form = np.zeros(len(beta))
        form[[i // 2, 2] if model == "finish-factors" else [i]] = 1.0
        if model == "finish-factors":
            form[2] = i % 2
        q = 4 + i if model == "separate" else len(beta) - 1
        assert group["growth"]["k_ref_nm2_per_s"] == pytest.approx(math.exp(form @ beta), rel=1e-9)
        measured("lstsq-pool", group["growth"]["Q_J_per_mol"] / (beta[q] * R * T_ref) - 1.0, 1e-9)
        assert group["variance_ln_k"] == pytest.approx(form @ covariance @ form, rel=1e-9)
        assert group["covariance_J_per_mol"] == pytest.approx(
            form @ covariance[:, q] * R * T_ref, rel=1e-7)
        assert group["Q_stderr_J_per_mol"] == pytest.approx(
            math.sqrt(covariance[q, q]) * R * T_ref, rel=1e-9)


def upper_tail(F: float, d1: float, d2: float) -> float:
    """P(F' > F) by integrating the density of the beta variable d2 / (d2 + d1 F')."""
    x = d2 / (d2 + d1 * F)
    s = (np.arange(200_000) + 0.5) / 200_000 * x
    ln_beta = math.lgamma(d1 / 2) + math.lgamma(d2 / 2) - math.lgamma((d1 + d2) / 2)
    return float(np.mean(s**(d2 / 2 - 1) * (1 - s)**(d1 / 2 - 1)) * x / math.exp(ln_beta))


def test_comparison_is_that_of_least_squares(made_log) -> None:
    compared = oxtint.pool(made_log, scatter=SCATTER).comparison
    assert [row["model"] for row in compared] == MODELS
    n, sigma2 = len(coupons()), SCATTER**2 + UNCERTAINTY**2
    for row, count in zip(compared, (4, 5, 8)):
        chi_square = by_hand(row["model"])[2]
        assert row["fitted"] and row["parameter_count"] == count
        assert row["chi_square"] == pytest.approx(chi_square, rel=1e-9)
        # AICc of known errors: C. M. Hurvich and C.-L. Tsai, Biometrika 76 (1989) 297, from memory.
        aicc = (chi_square + n * math.log(2 * math.pi * sigma2) + 2 * count
                + 2 * count * (count + 1) / (n - count - 1))
        assert row["aicc"] == pytest.approx(aicc, rel=1e-9)
    for poor, rich in zip(compared, compared[1:]):
        d1 = rich["parameter_count"] - poor["parameter_count"]
        d2 = n - rich["parameter_count"]
        F = (poor["chi_square"] - rich["chi_square"]) / d1 / (rich["chi_square"] / d2)
        assert (poor["dof1"], poor["dof2"]) == (d1, d2)
        assert poor["F"] == pytest.approx(F, rel=1e-9)
        assert poor["p_value"] == pytest.approx(upper_tail(F, d1, d2), rel=1e-6)
    assert math.isnan(compared[2]["F"]) and math.isnan(compared[2]["p_value"])


def test_width_is_the_mean_over_the_restricted_likelihood(made_log) -> None:
    # The likelihood written out with the covariance of the observations; the points are those at which
    # a half-Cauchy prior of scale 0.5 has equal steps of probability.
    X, y, _ = design("shared-q")
    Z, fixed = X[:, :4], np.column_stack([np.ones(len(y)), X[:, 4]])
    logs, widths = [], 0.5 * np.tan(0.5 * math.pi * (np.arange(100) + 0.5) / 100)
    for width in widths:
        V = 4 * (SCATTER**2 + UNCERTAINTY**2) * np.eye(len(y)) + width**2 * Z @ Z.T
        W = np.linalg.inv(V)
        information = fixed.T @ W @ fixed
        rest = y - fixed @ np.linalg.solve(information, fixed.T @ W @ y)
        logs.append(-0.5 * (np.linalg.slogdet(V)[1] + np.linalg.slogdet(information)[1]
                            + rest @ W @ rest))
    share = np.exp(np.array(logs) - max(logs))
    pool = oxtint.pool(made_log, scatter=SCATTER, shrink=True)
    assert pool.between_sd == pytest.approx(float(share @ widths / share.sum()), rel=1e-7)


def test_shrunk_rates_are_the_predictions_of_the_mixed_model(made_log) -> None:
    # Best linear unbiased prediction: G Z' V^-1 (y - X b), unlike numbers of coupons and all.
    X, y, _ = design("shared-q")
    Z, fixed, width = X[:, :4], np.column_stack([np.ones(len(y)), X[:, 4]]), 0.2
    W = np.linalg.inv(4 * (SCATTER**2 + UNCERTAINTY**2) * np.eye(len(y)) + width**2 * Z @ Z.T)
    b = np.linalg.solve(fixed.T @ W @ fixed, fixed.T @ W @ y)
    expected = b[0] + width**2 * Z.T @ W @ (y - fixed @ b)
    pool = oxtint.pool(made_log, scatter=SCATTER, shrink=True, between_sd=width, between_Q_sd_J_per_mol=0.0)
    assert math.isnan(pool.between_Q_sd_J_per_mol)
    found = [math.log(group["growth"]["k_ref_nm2_per_s"]) for group in pool.table]
    np.testing.assert_allclose(found, expected, rtol=1e-9)
    pulls = [group["shrunk_by"] for group in pool.table]
    assert pulls == sorted(pulls, reverse=True) and 0.0 < pulls[-1] < pulls[0] < 1.0


def test_rates_and_Qs_are_the_predictions_of_the_mixed_model(made_log) -> None:
    # The same with two random effects of each steel, and the errors of their predictions: C. R. Henderson,
    # Biometrics 31 (1975) 423, from memory.
    X, y, _ = design("shared-q")
    width, Q_sd = 0.2, 9e3
    pool = oxtint.pool(made_log, scatter=SCATTER, shrink=True, between_sd=width, between_Q_sd_J_per_mol=Q_sd)
    unit = 8.314462618 * pool.T_ref_K
    Z = np.hstack([X[:, :4], X[:, :4] * X[:, 4:5]])
    fixed = np.column_stack([np.ones(len(y)), X[:, 4]])
    D = np.diag([width**2] * 4 + [(Q_sd / unit) ** 2] * 4)
    W = np.linalg.inv(4 * (SCATTER**2 + UNCERTAINTY**2) * np.eye(len(y)) + Z @ D @ Z.T)
    covariance = np.linalg.inv(fixed.T @ W @ fixed)
    means = covariance @ fixed.T @ W @ y
    effects = D @ Z.T @ W @ (y - fixed @ means)
    K = np.repeat(np.eye(2), 4, axis=0) - D @ Z.T @ W @ fixed
    errors = D - D @ Z.T @ W @ Z @ D + K @ covariance @ K.T
    found = [math.log(group["growth"]["k_ref_nm2_per_s"]) for group in pool.table]
    np.testing.assert_allclose(found, means[0] + effects[:4], rtol=1e-9)
    Qs = np.array([group["growth"]["Q_J_per_mol"] for group in pool.table])
    np.testing.assert_allclose(Qs, unit * (means[1] + effects[4:]), rtol=1e-9)
    for i, group in enumerate(pool.table):
        assert group["variance_ln_k"] == pytest.approx(errors[i, i], rel=1e-9)
        assert group["covariance_J_per_mol"] == pytest.approx(unit * errors[i, i + 4], rel=1e-9)
        assert group["variance_Q_J2_per_mol2"] == pytest.approx(unit**2 * errors[i + 4, i + 4], rel=1e-9)
    assert pool.Q_J_per_mol == pytest.approx(unit * means[1], rel=1e-9)
    assert pool.Q_stderr_J_per_mol == pytest.approx(unit * math.sqrt(covariance[1, 1]), rel=1e-9)
    assert pool.between_Q_sd_J_per_mol == pytest.approx(Q_sd) and "Qs lie apart by 9.0 kJ/mol" in pool.report()


# ---- manners ----

def test_demo_pool() -> None:
    pool = oxtint.pool(oxtint.read_trials(DEMO), model="best")
    assert list(pool.steels) == [("Alder 1", "mirror"), ("Alder 1", "satin"), ("Birch 2", "mirror"),
                                 ("Cedar 3", "satin")]
    steel = pool.steels["Birch 2", "mirror"]
    assert steel.dip("blue", "600 F").interval_s[0] > 0.0 and steel is pool.steels["Birch 2", "mirror"]
    for unit, mark in (("F", " F,"), ("C", " C,"), ("K", " K,")):
        assert mark in pool.report(unit).splitlines()[1]
    assert str(pool) == pool.report().rstrip("\n") and "shared-q" in repr(pool)
    assert pool.to_dict()["used_count"] == pool.used_count == 40


def test_demo_constants_come_back(log) -> None:
    # The truth behind the invented demo log stands in examples/demo/make_trials.py.
    truth = [(27.0, 76e3), (35.0, 76e3), (16.0, 88e3), (44.0, 68e3)]
    pool = oxtint.pool(log, model="separate", confidence=0.999)
    for (k_ref, Q), group in zip(truth, pool.table):
        shift = math.exp(-Q / R * (1 / pool.T_ref_K - 1 / 588.7))
        assert group["k_ref_low_nm2_per_s"] < k_ref * shift < group["k_ref_high_nm2_per_s"]
        assert group["Q_low_J_per_mol"] < Q < group["Q_high_J_per_mol"]


def test_misuse(made_log) -> None:
    with pytest.raises(oxtint.OxtintValueError, match="expected one of 'shared-q', 'finish-factors'"):
        oxtint.pool(made_log, model="nested")
    with pytest.raises(oxtint.OxtintValueError, match="scatter"):
        oxtint.pool(made_log, scatter=11.0)
    for action in (lambda: oxtint.pool(57.0), oxtint.Pool,
                   lambda: oxtint.pool(made_log, prior=71e3),
                   lambda: oxtint.pool(made_log, between_sd="0.2")):
        with pytest.raises(TypeError):
            action()
    usual = oxtint.pool(made_log, prior=oxtint.Prior.mild_steel())
    plain = oxtint.pool(made_log)
    assert usual.Q_stderr_J_per_mol < plain.Q_stderr_J_per_mol and usual.dof > plain.dof


# By another law.

MIDDLE, OWN = 40.0, 0.02
SHAPES = {"power": 2.7, "linear-parabolic": 35.0, "logarithmic": 28.0}


def exposure(law: str, shape: float, x: np.ndarray) -> np.ndarray:
    """Of each law, as it is written down in growth.h."""
    grown = {"power": lambda x: x ** shape, "linear-parabolic": lambda x: x * x + shape * x,
             "logarithmic": lambda x: np.expm1(x / shape)}[law]
    return MIDDLE ** 2 * grown(x) / grown(MIDDLE)


def bent_coupons(noise: float, law: str = "power") -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Group, bath, time and film by a law; the first group has thin films, the last thick ones."""
    dice = np.random.default_rng(15)
    group = np.repeat(np.arange(4), [6, 8, 7, 9])
    bath = np.array([BATHS[i % 3] for i in range(30)])
    film = np.exp(dice.uniform(np.log(12.0 + 8.0 * group), np.log(40.0 + 18.0 * group)))
    k = np.array([k for _, _, k, _ in STEELS])[group] * np.exp(-76e3 / R * (1 / bath - 1 / 590.0))
    return group, bath, exposure(law, SHAPES[law], film) / k, film * np.exp(dice.normal(0.0, noise, 30))


def bent_log(noise: float, law: str = "power") -> oxtint.TrialLog:
    log = oxtint.TrialLog()
    for g, bath, time, film in zip(*bent_coupons(noise, law)):
        log.add(STEELS[g][0], finish=STEELS[g][1], bath=bath, time=time, thickness_nm=film)
    return log


def bent_design(model: str) -> tuple[np.ndarray, float]:
    """Columns for half of ln k of each row, and T_ref."""
    group, bath, _, _ = bent_coupons(0.0)
    T_ref = 1.0 / np.mean(1.0 / bath)
    late, own = T_ref / bath - 1.0, np.eye(4)[group]
    columns = {"shared-q": [own, -late[:, None]], "separate": [own, -own * late[:, None]],
               "finish-factors": [np.eye(2)[group // 2], (group % 2)[:, None], -late[:, None]]}[model]
    return 0.5 * np.hstack(columns), T_ref


def bent_rows(law: str, shape: float) -> tuple[np.ndarray, np.ndarray]:
    """Half of ln of the exposure, and its slope by ln x."""
    x, h = bent_coupons(0.04, law)[3], 1e-5
    steep = 0.5 * (np.log(exposure(law, shape, x * math.exp(h))) -
                   np.log(exposure(law, shape, x * math.exp(-h)))) / (2.0 * h)
    return 0.5 * np.log(exposure(law, shape, x)), steep


@pytest.mark.parametrize("law", SHAPES)
@pytest.mark.parametrize("model", MODELS)
def test_a_pool_by_a_law_agrees_with_curve_fit(law, model, measured) -> None:
    shape = SHAPES[law]
    pool = oxtint.pool(bent_log(0.04, law), model=model, law=law, law_shape=shape, law_middle_nm=MIDDLE, scatter=0.0)
    assert (pool.law, pool.law_shape, pool.law_middle_nm, pool.ln_shape_stderr) == (law, shape, MIDDLE, 0.0)
    time, (y, steep), (X, T_ref) = bent_coupons(0.0, law)[2], bent_rows(law, shape), bent_design(model)
    found, covariance = scipy.optimize.curve_fit(
        lambda _, *beta: X @ np.array(beta) + 0.5 * np.log(time), np.arange(30.0), y, np.full(X.shape[1], 3.0),
        OWN * steep, absolute_sigma=True, xtol=1e-13, ftol=1e-13)
    rates = {"shared-q": np.eye(4), "separate": np.eye(4),
             "finish-factors": np.array([[1, 0, 0], [1, 0, 1], [0, 1, 0], [0, 1, 1]])}[model]
    at = np.hstack([rates, np.zeros((4, X.shape[1] - rates.shape[1]))])
    for index, row in enumerate(pool.table):
        q = found[4 + index] if model == "separate" else found[-1]
        measured("pool-by-law", math.log(row["growth"]["k_ref_nm2_per_s"]) / (at[index] @ found) - 1.0, 1e-6)
        measured("pool-by-law", row["growth"]["Q_J_per_mol"] / (R * T_ref * q) - 1.0, 1e-6)
        assert row["ln_k_stderr"] == pytest.approx(math.sqrt(at[index] @ covariance @ at[index]), rel=1e-5)
        assert row["growth"]["law"] == law and row["growth"]["shape"] == shape
    off = (y - X @ found - 0.5 * np.log(time)) / (OWN * steep)
    likelihood, k = -0.5 * (off ** 2).sum() - 30 * math.log(OWN * math.sqrt(2.0 * math.pi)), X.shape[1]  # of ln x
    assert pool.aicc == pytest.approx(2 * k + 2 * k * (k + 1) / (30 - k - 1) - 2.0 * likelihood, rel=1e-6)


def bent_solution(law: str, ln_shape: float, X: np.ndarray, scatter: float) -> tuple[float, np.ndarray, np.ndarray]:
    """Minus the logarithm of the likelihood of ln x with all constants integrated out, these and their covariance."""
    y, steep = bent_rows(law, math.exp(ln_shape))
    sigma = np.sqrt((OWN * steep) ** 2 + scatter ** 2)
    design, aim = X / sigma[:, None], (y - 0.5 * np.log(bent_coupons(0.0, law)[2])) / sigma
    beta, information = np.linalg.lstsq(design, aim, rcond=None)[0], design.T @ design
    rest = aim - design @ beta
    return (float(0.5 * rest @ rest + np.log(sigma).sum() - np.log(steep).sum()
                  + 0.5 * np.linalg.slogdet(information)[1]), beta, np.linalg.inv(information))


@pytest.mark.parametrize("law", SHAPES)
def test_the_shape_of_a_pool_is_the_likeliest(law, measured) -> None:
    """One for all groups; its error goes into the constants of each, and its card is scaled at its own middle film."""
    scatter, step = 0.04, 0.05
    log, (X, T_ref) = bent_log(0.04, law), bent_design("shared-q")
    pool = oxtint.pool(log, law=law, law_middle_nm=MIDDLE, scatter=scatter)
    place = math.log(pool.law_shape)
    best = scipy.optimize.minimize_scalar(lambda ln_shape: bent_solution(law, ln_shape, X, scatter)[0],
                                          bounds=(place - 0.5, place + 0.5), method="bounded", options={"xatol": 1e-9})
    measured("shape-of-law", place - best.x, 2e-3)
    less, here, more = (bent_solution(law, place + side * step, X, scatter) for side in (-1, 0, 1))
    curvature = (less[0] - 2.0 * here[0] + more[0]) / step ** 2
    assert pool.ln_shape_stderr == pytest.approx(1.0 / math.sqrt(curvature), rel=0.02)
    slope = (more[1] - less[1]) / (2.0 * step)
    whole = here[2] + np.outer(slope, slope) / curvature
    for index, row in enumerate(pool.table):
        assert row["ln_k_stderr"] == pytest.approx(math.sqrt(whole[index, index]), rel=5e-3)
        assert row["Q_stderr_J_per_mol"] == pytest.approx(math.sqrt(whole[4, 4]) * R * T_ref, rel=5e-3)
        assert row["covariance_J_per_mol"] == pytest.approx(
            whole[index, 4] * R * T_ref, rel=5e-3, abs=1e-3 * row["ln_k_stderr"] * row["Q_stderr_J_per_mol"])
    # a card is scaled at the middle film of its own trials: the same times, the error of the rate that of this film
    free = oxtint.pool(log, law=law, scatter=scatter)
    group, films = bent_coupons(0.04, law)[0], bent_coupons(0.04, law)[3]
    for index, (row, steel) in enumerate(zip(free.table, free.steels.values())):
        values, middle = steel.to_dict(), float(np.exp(np.log(films[group == index]).mean()))
        assert steel.law_middle_nm == pytest.approx(middle, rel=1e-9) and steel.law_shape == free.law_shape
        assert values["ln_shape_stderr"] == free.ln_shape_stderr
        common = oxtint.Steel.from_values(**values | {
            "k_ref_nm2_per_s": row["growth"]["k_ref_nm2_per_s"], "law_middle_nm": free.law_middle_nm})
        for film in (15.0, 40.0, 90.0):
            assert steel.time_for(film, 600.0) == pytest.approx(common.time_for(film, 600.0), rel=1e-9)
        slopes = []
        for side in (-1, 1):
            held = oxtint.pool(log, law=law, scatter=scatter, law_shape=free.law_shape * math.exp(side * step),
                               law_middle_nm=free.law_middle_nm)
            held_steel = oxtint.Steel.from_values(**values | {
                "k_ref_nm2_per_s": held.table[index]["growth"]["k_ref_nm2_per_s"],
                "law_middle_nm": free.law_middle_nm, "law_shape": held.law_shape})
            slopes.append(math.log(held_steel.time_for(middle, free.T_ref_K)))
        at = oxtint.pool(log, law=law, scatter=scatter, law_shape=free.law_shape, law_middle_nm=free.law_middle_nm)
        slope = (slopes[1] - slopes[0]) / (2.0 * step)
        assert values["variance_ln_k"] == pytest.approx(
            at.table[index]["variance_ln_k"] + (slope * free.ln_shape_stderr) ** 2, rel=0.01)
    assert f"{law} law, {'n' if law == 'power' else 'A' if law[1] == 'i' else 'L'} = " in free.report("F")


def test_pools_by_a_law_give_the_law_back() -> None:
    log = bent_log(0.0)
    for options in ({}, {"model": "separate"}, {"model": "finish-factors"}, {"shrink": True}, {"model": "best"}):
        pool = oxtint.pool(log, law="power", scatter=0.01, **options)
        assert pool.law_shape == pytest.approx(2.7, rel=5e-3) and pool.table[0]["growth"]["law"] == "power"
        k, q = STEELS[0][2], 76e3
        grown = exposure("power", 2.7, np.array([20.0]))[0] / (k * math.exp(-q / R * (1 / 600.0 - 1 / 590.0)))
        assert pool.steels["Alder 1", "mirror"].time_for(20.0, 600.0) == pytest.approx(grown, rel=0.03)
        assert pool.comparison[1]["parameter_count"] == 6
    held = oxtint.pool(log, law="power", law_shape=2.7)
    assert held.ln_shape_stderr == 0.0 and held.comparison[1]["parameter_count"] == 5
    with pytest.raises(ValueError, match="law_shape|shape"):
        oxtint.pool(log, law="power", law_shape=13.0)
    with pytest.raises(ValueError, match="law is 'cubic'"):
        oxtint.pool(log, law="cubic")
    with pytest.raises(ValueError, match="ln_shape_sd"):
        oxtint.pool(log, law="power", ln_shape_sd=0.1)
    few = oxtint.TrialLog()
    for bath, time, film in ((560.0, 60.0, 30.0), (600.0, 60.0, 50.0), (600.0, 120.0, 65.0), (620.0, 60.0, 60.0)):
        few.add("Alder 1", bath=bath, time=time, thickness_nm=film)
    with pytest.raises(ValueError, match="4 trials cannot determine the shape of a law besides the constants"):
        oxtint.pool(few, law="power")


def test_a_shrunk_pool_by_a_law_carries_the_shape_too() -> None:
    """By differences of pools with the shape held on either side, at the same width between the rates."""
    log, step = bent_log(0.04), 0.05
    common = {"law": "power", "law_middle_nm": MIDDLE, "scatter": 0.04, "shrink": True, "between_sd": 0.3,
              "between_Q_sd_J_per_mol": 4e3}
    pool = oxtint.pool(log, **common)
    less, here, more = (oxtint.pool(log, **common, law_shape=pool.law_shape * math.exp(side * step)).table
                        for side in (-1, 0, 1))
    for a, b, c, row in zip(less, here, more, pool.table):
        for name, of in (("k_ref_nm2_per_s", math.log), ("Q_J_per_mol", float)):
            slope = (of(c["growth"][name]) - of(a["growth"][name])) / (2.0 * step)
            variance = "variance_ln_k" if of is math.log else "variance_Q_J2_per_mol2"
            whole = b[variance] + (slope * pool.ln_shape_stderr) ** 2
            assert row[variance] == pytest.approx(whole, rel=5e-3), name
            assert row["growth"][name] == pytest.approx(b["growth"][name], rel=1e-4)


@pytest.mark.parametrize("law", SHAPES)
def test_the_error_of_a_shape_is_the_curvature_of_the_profile(law) -> None:
    """With the scatter found anew at each shape: AICc of pools with the shape held, less a degree of freedom."""
    log, step = bent_log(0.06, law), 0.1
    pool = oxtint.pool(log, law=law)
    less, here, more = (oxtint.pool(log, law=law, law_shape=pool.law_shape * math.exp(side * step),
                                    law_middle_nm=pool.law_middle_nm).aicc for side in (-1, 0, 1))
    assert less + more > 2.0 * here
    profile = math.sqrt(2.0 * step**2 / (less - 2.0 * here + more))
    assert pool.ln_shape_stderr == pytest.approx(1.09 * profile, rel=0.06)
