# SPDX-License-Identifier: GPL-3.0-or-later
"""The fit against SciPy and NumPy, and the manners of what can be asked of it."""
import math
import pickle
import re
import warnings

import numpy as np
import oxtint
import pytest
import scipy.optimize
import scipy.stats
from numpy.typing import NDArray

from conftest import DEMO

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # scipy.odr goes in SciPy 1.19
    import scipy.odr

R = 8.314462618  # J/(mol K), SI of 2019
OWN = 0.02  # the usual error of a measured thickness
Numbers = NDArray[np.float64]


def curve(bath: Numbers, time: Numbers, ln_k: float, Q: float, T_ref: float) -> Numbers:
    """ln of the thickness."""
    return 0.5 * (ln_k - Q / R * (1.0 / bath - 1.0 / T_ref) + np.log(time))


@pytest.fixture(scope="module")
def made() -> tuple[Numbers, Numbers, Numbers]:
    """Baths, times and thicknesses of a log of an invented steel, written down with errors."""
    dice = np.random.default_rng(1976)
    bath = np.repeat([560.0, 585.0, 610.0, 635.0], 4)
    time = np.tile([25.0, 50.0, 90.0, 160.0], 4)
    ln_x = curve(bath, time, math.log(40.0), 80e3, 600.0) + dice.normal(0.0, 0.05, 16)
    return bath + dice.normal(0.0, 2.0, 16), time + dice.normal(0.0, 1.0, 16), np.exp(ln_x)


@pytest.fixture(scope="module")
def log_made(made) -> oxtint.TrialLog:
    log = oxtint.TrialLog()
    for bath, time, x in zip(*made):
        log.add(steel="Alder 1", bath=float(bath), time=float(time), thickness_nm=float(x))
    return log


# P. T. Boggs and others' ODRPACK, through SciPy; curve_fit is MINPACK.

def test_weighted_rows_agree_with_scipy(made, log_made, measured) -> None:
    bath, time, x = made
    for options in ({}, {"scatter": 0.03}, {"bath_sd_K": 2.0, "time_sd_s": 1.0}):
        fit = oxtint.fit(log_made, **options)
        sigma = np.array([row.sigma for row in fit.rows])

        def model(_, ln_k: float, q: float, T_ref: float = fit.T_ref_K) -> Numbers:
            return curve(bath, time, ln_k, 1e5 * q, T_ref)

        found, covariance = scipy.optimize.curve_fit(
            model, np.arange(16.0), np.log(x), (4.0, 0.7), sigma, absolute_sigma=True, xtol=1e-13,
            ftol=1e-13)
        measured("curve-fit", math.log(fit.k_ref_nm2_per_s) / found[0] - 1.0, 1e-6)
        measured("curve-fit", fit.Q_J_per_mol / (1e5 * found[1]) - 1.0, 1e-6)
        measured("curve-fit-variance",
                 np.diag(fit.covariance) / (np.diag(covariance) * [1.0, 1e10]) - 1.0, 1e-5)


@pytest.mark.parametrize(("bath_sd", "time_sd"), [(2.0, 1.0), (6.0, 3.0), (0.0, 5.0), (3.0, 0.0)])
def test_orthogonal_fit_agrees_with_scipy(made, log_made, bath_sd, time_sd, measured) -> None:
    bath, time, x = made
    fit = oxtint.fit(log_made, scatter=0.0, bath_sd_K=bath_sd, time_sd_s=time_sd,
                     errors_in_variables="orthogonal")
    tiny = 1e-9  # ODRPACK takes no error of 0
    data = scipy.odr.RealData(np.array([bath, time]), np.log(x), sy=OWN, sx=[
        np.full(16, max(bath_sd, tiny)), np.full(16, max(time_sd, tiny))])
    model = scipy.odr.Model(lambda b, at: curve(at[0], at[1], b[0], 1e5 * b[1], fit.T_ref_K))
    found = scipy.odr.ODR(data, model, [4.0, 0.7], sstol=1e-15, partol=1e-15, maxit=500).run()
    measured("odrpack", math.log(fit.k_ref_nm2_per_s) / found.beta[0] - 1.0, 1e-6)
    measured("odrpack", fit.Q_J_per_mol / (1e5 * found.beta[1]) - 1.0, 1e-6)
    assert fit.chi_square == pytest.approx(found.sum_square, rel=1e-6)
    assert fit.stderr.ln_k_ref == pytest.approx(math.sqrt(found.cov_beta[0, 0]), rel=1e-3)
    assert fit.stderr.Q_J_per_mol == pytest.approx(1e5 * math.sqrt(found.cov_beta[1, 1]), rel=1e-3)


def test_orthogonal_fit_agrees_with_all_unknowns_at_once(made, log_made) -> None:
    bath, time, x = made
    fit = oxtint.fit(log_made, scatter=0.04, bath_sd_K=5.0, time_sd_s=3.0,
                     errors_in_variables="orthogonal")

    def residuals(unknown: Numbers) -> Numbers:
        true_bath, true_time = bath + 5.0 * unknown[2:18], time + 3.0 * unknown[18:]
        off = curve(true_bath, true_time, unknown[0], 1e5 * unknown[1], fit.T_ref_K) - np.log(x)
        return np.concatenate([off / math.hypot(OWN, 0.04), unknown[2:]])

    found = scipy.optimize.least_squares(residuals, np.r_[4.0, 0.7, np.zeros(32)], xtol=1e-15,
                                         ftol=1e-15, gtol=1e-15)
    assert math.log(fit.k_ref_nm2_per_s) == pytest.approx(found.x[0], rel=1e-6)
    assert fit.Q_J_per_mol == pytest.approx(1e5 * found.x[1], rel=1e-6)
    assert fit.chi_square == pytest.approx(2.0 * found.cost, rel=1e-6)


@pytest.mark.parametrize("robust", ["huber", "tukey"])
def test_robust_fit_is_the_minimum_of_its_loss(made, robust) -> None:
    bath, time, x = made
    log = oxtint.TrialLog()
    spoilt = x * np.where(np.arange(16) % 7 == 3, 1.6, 1.0)
    for row in zip(bath, time, spoilt):
        log.add(steel="Alder 1", bath=float(row[0]), time=float(row[1]), thickness_nm=float(row[2]))
    fit = oxtint.fit(log, scatter=0.05, robust=robust)
    sigma, k = math.hypot(OWN, 0.05), 1.345 if robust == "huber" else 4.685

    # P. J. Huber's loss; A. E. Beaton and J. W. Tukey's (both from memory)
    def loss(b: Numbers) -> float:
        u = np.abs(np.log(spoilt) - curve(bath, time, b[0], 1e5 * b[1], fit.T_ref_K)) / sigma
        if robust == "huber":
            return float(np.where(u < k, u * u / 2.0, k * u - k * k / 2.0).sum())
        return float((1.0 - (1.0 - np.minimum(u / k, 1.0) ** 2) ** 3).sum() * k * k / 6.0)

    here = np.array([math.log(fit.k_ref_nm2_per_s), fit.Q_J_per_mol / 1e5])
    found = scipy.optimize.minimize(loss, here, method="Nelder-Mead",
                                    options={"xatol": 1e-10, "fatol": 1e-14})
    np.testing.assert_allclose(here, found.x, rtol=1e-6)
    assert sum(row.weight < 0.5 for row in fit.rows) == 3
    assert sum("has little weight" in text for text in fit.warnings) == 3


# Hat matrix, Cook's distance and R^2 by their textbook formulas (R. D. Cook and S. Weisberg, 1982;
# from memory), with the standard deviations of the rows taken as known.
def test_influence_agrees_with_numpy(made, log_made) -> None:
    bath, _, x = made
    fit = oxtint.fit(log_made, bath_sd_K=2.0)
    sigma = np.array([row.sigma for row in fit.rows])
    design = 0.5 * np.column_stack([np.ones(16), -(1.0 / bath - 1.0 / fit.T_ref_K) / R])
    design = design / sigma[:, None]
    inverse = np.linalg.inv(design.T @ design)
    leverage = np.einsum("ij,jk,ik->i", design, inverse, design)
    u = fit.residuals / sigma
    np.testing.assert_allclose([row.leverage for row in fit.rows], leverage, rtol=1e-8)
    np.testing.assert_allclose([row.cooks_distance for row in fit.rows],
                               u ** 2 * leverage / (1.0 - leverage) ** 2 / 2.0, rtol=1e-7)
    for i, row in enumerate(fit.rows):  # the constants without the row, at the same weights
        moved = inverse @ design[i] * u[i] / (1.0 - leverage[i])
        ln_k_there = moved[0] - moved[1] / R * (1.0 / bath[i] - 1.0 / fit.T_ref_K)
        assert row.dip_change == pytest.approx(ln_k_there, rel=1e-7)
    mean = np.average(np.log(x), weights=sigma ** -2)
    total = (((np.log(x) - mean) / sigma) ** 2).sum()
    assert fit.r_squared == pytest.approx(1.0 - (u ** 2).sum() / total, rel=1e-9)


def test_prior() -> None:
    prior = oxtint.Prior.mild_steel()
    assert prior.Q_J_per_mol == 71e3 and prior.ln_k_stderr == pytest.approx(math.log(2.0))
    log = oxtint.TrialLog()
    log.add(steel="Alder 1", bath="620 F", time="1:30", colour="purple")
    with pytest.raises(oxtint.OxtintValueError, match="or give a prior"):
        oxtint.fit(log)
    fit = oxtint.fit(log, prior=prior)
    assert fit.prior_share_Q > 0.99 and fit.prior_share_ln_k < 0.2 and not fit.Q_held
    assert "100 % of the information on Q and" in fit.report()
    assert "with a prior" in fit.steel.to_dict()["origin"]
    of_Q = oxtint.Prior(Q_J_per_mol=71e3, Q_stderr_J_per_mol=20e3)
    log.add(steel="Alder 1", bath="620 F", time="2:00", colour="dark blue")
    assert oxtint.fit(log, prior=of_Q).Q_J_per_mol == pytest.approx(71e3)
    assert oxtint.Prior.mild_steel(oxtint.Film(absorption_scale=2.0)) != prior


def test_starting_steel() -> None:
    steel = oxtint.starting_steel("Dogwood 4", "satin")
    assert (steel.name, steel.finish) == ("Dogwood 4", "satin")
    assert steel.to_dict()["trial_count"] == 0
    dip = steel.dip("blue", "650 F")  # common practice, no source: about a minute
    assert dip.time_s == pytest.approx(60.0)
    assert dip.interval_s[1] > 3.8 * dip.time_s
    names = {caution.name for caution in dip.cautions}
    assert {"EXTRAPOLATED_BATH", "EXTRAPOLATED_FILM", "LOOSE_FIT"} <= names


@pytest.mark.parametrize(("options", "words"), [
    ({"robust": "hubert"}, "robust is 'hubert', expected one of None, 'huber', 'tukey'"),
    ({"errors_in_variables": []}, "errors_in_variables is \\[\\]"),
    ({"bath_sd_K": -1.0}, "bath_sd_K"),
    ({"time_sd_s": math.nan}, "time_sd_s"),
    ({"prior": oxtint.Prior()}, "the prior is empty"),
    ({"prior": oxtint.Prior(Q_J_per_mol=7e4, Q_stderr_J_per_mol=1e4), "Q": 7e4}, "has a prior"),
])
def test_what_is_refused(log_made, options, words) -> None:
    with pytest.raises(oxtint.OxtintValueError, match=words):
        oxtint.fit(log_made, **options)


def test_misuse(log_made) -> None:
    with pytest.raises(TypeError, match="prior is dict, expected Prior"):
        oxtint.fit(log_made, prior={"Q_J_per_mol": 71e3})
    with pytest.raises(TypeError, match="ln_k is str"):
        oxtint.fit(log_made, prior=oxtint.Prior(ln_k="4"))
    with pytest.raises(TypeError, match="bath_sd_K is list, expected a number in K, or a text such as '5 F'"):
        oxtint.fit(log_made, bath_sd_K=["5 F"])


def test_own_road_of_each_coupon_agrees_with_scipy() -> None:
    """All of it at once: the film of each coupon by its part and lift, fitted by MINPACK."""
    T_ref, dice = 590.0, np.random.default_rng(11)
    bath = np.repeat([560.0, 590.0, 620.0], 4)
    time = np.tile([50.0, 80.0, 120.0, 190.0], 3)
    parts = [oxtint.Part(size) for size in np.tile([0.002, 0.006, 0.011, 0.004], 3)]
    lift = oxtint.Lift(4.0)

    def ln_x(_: Numbers, ln_k: float, Q: float) -> Numbers:
        steel = oxtint.Steel.from_values(
            steel="Alder 1", k_ref_nm2_per_s=math.exp(ln_k), T_ref_K=T_ref, Q_J_per_mol=Q, dof=9.0,
            bath_low_K=560.0, bath_high_K=620.0, thickness_low_nm=10.0, thickness_high_nm=200.0)
        grown = [part.exposure(steel, K, s)
                 + part.lift_exposure(steel, part.surface_temperature(K, s), lift).exposure_nm2
                 for part, K, s in zip(parts, bath, time)]
        return 0.5 * np.log(grown)

    seen = ln_x(bath, math.log(45.0), 80e3) + dice.normal(0.0, 0.05, 12)
    log = oxtint.TrialLog()
    for part, K, s, y in zip((0.002, 0.006, 0.011, 0.004) * 3, bath, time, seen):
        log.add(steel="Alder 1", bath=float(K), time=float(s), thickness_nm=math.exp(y), part=part,
                lift="4 s")
    fit = oxtint.fit(log, scatter=0.05)
    sigma = np.array([row.sigma for row in fit.rows])
    best, covariance = scipy.optimize.curve_fit(ln_x, bath, seen, [4.0, 7e4], sigma, True,
                                                xtol=1e-12, ftol=1e-12)
    ln_k = math.log(fit.k_ref_nm2_per_s) - fit.Q_J_per_mol / R * (1.0 / T_ref - 1.0 / fit.T_ref_K)
    # the lift here is of a part that is one temperature throughout, that of its surface: 0.02 % of Q
    assert fit.Q_J_per_mol == pytest.approx(best[1], rel=5e-4)
    assert ln_k == pytest.approx(best[0], rel=1e-4)
    assert fit.stderr.Q_J_per_mol == pytest.approx(covariance[1, 1] ** 0.5, rel=1e-3)


def test_names_as_bands(log_made) -> None:
    log = oxtint.read_trials(DEMO)
    middles = oxtint.fit(log, "Birch 2", names="as-middles")
    bands = oxtint.fit(log, "Birch 2")
    assert bands.Q_J_per_mol != middles.Q_J_per_mol and abs(bands.Q_J_per_mol - middles.Q_J_per_mol) < middles.stderr.Q_J_per_mol
    assert oxtint.fit(log, "Birch 2", names="as-bands").Q_J_per_mol == bands.Q_J_per_mol
    assert oxtint.fit(log_made, names="as-middles").Q_J_per_mol == oxtint.fit(log_made).Q_J_per_mol  # thicknesses
    assert oxtint.pool(log).Q_J_per_mol != oxtint.pool(log, names="as-middles").Q_J_per_mol


# Who read the names.

def test_a_readers_offset_is_that_of_the_dense_posterior(measured) -> None:
    """Names in bands and measured films on a grid of rate, Q and offset, by NumPy and SciPy's normal distribution."""
    film, dice = oxtint.Film(), np.random.default_rng(2026)
    baths, scatter, reader_sd, offset = (560.0, 590.0, 620.0), 0.07, 0.1, -0.12
    log, low, high, seen, u, ln_time = oxtint.TrialLog(), [], [], [], [], []
    for i in range(16):
        bath, aim = baths[i % 3], math.exp(dice.uniform(math.log(20.0), math.log(70.0)))
        time = round(float(np.exp(2.0 * (math.log(aim) - curve(np.array(bath), np.array(1.0), 4.0, 75e3, 590.0)))))
        x = math.exp(float(curve(np.array(bath), np.array(float(time)), 4.0, 75e3, 590.0)) + dice.normal(0.0, scatter))
        row = {"steel": "Alder 1", "bath": bath, "time": float(time)}
        if i % 4 == 0:
            log.add(**row, thickness_nm=x)
            seen.append(math.log(x))
        else:
            tint = film.tint(x * math.exp(-offset))
            log.add(**row, colour=tint.label)
            low.append(math.log(tint.low_nm))
            high.append(math.log(tint.high_nm))
            seen.append(math.nan)
        u.append(bath)
        ln_time.append(time)
    fit = oxtint.fit(log, scatter=scatter, reader_sd=reader_sd)
    plain = oxtint.fit(log, scatter=scatter)
    assert plain.reader_offset == 0.0 and plain.reader_offset_stderr == 0.0

    ln_k, Q, r = (np.linspace(middle - 6 * sd, middle + 6 * sd, count) for middle, sd, count in (
        (math.log(fit.k_ref_nm2_per_s), fit.stderr.ln_k_ref, 61), (fit.Q_J_per_mol, fit.stderr.Q_J_per_mol, 61),
        (fit.reader_offset, fit.reader_offset_stderr, 61)))
    grid = np.meshgrid(ln_k, Q, r, indexing="ij")
    logs, place = -0.5 * (grid[2] / reader_sd) ** 2, 0
    for bath, time, x in zip(u, ln_time, seen):
        mean = curve(np.array(bath), np.array(float(time)), grid[0], grid[1], fit.T_ref_K)
        if math.isnan(x):
            ends = [(end + grid[2] - mean) / scatter for end in (low[place], high[place])]
            logs += np.log(scipy.stats.norm.cdf(ends[1]) - scipy.stats.norm.cdf(ends[0]) + 1e-300)
            place += 1
        else:
            logs -= 0.5 * (x - mean) ** 2 / (scatter ** 2 + OWN ** 2)
    share = np.exp(logs - logs.max())
    share /= share.sum()
    mean, square = (float((share * grid[2] ** power).sum()) for power in (1, 2))
    sd = math.sqrt(square - mean ** 2)
    measured("reader-offset", (fit.reader_offset - mean) / sd, 0.2)
    measured("reader-stderr", fit.reader_offset_stderr / sd - 1.0, 0.15)
    k_mean = float((share * grid[0]).sum())
    k_sd = math.sqrt(float((share * grid[0] ** 2).sum()) - k_mean ** 2)
    assert abs(math.log(fit.k_ref_nm2_per_s) - k_mean) < 0.2 * k_sd
    assert fit.stderr.ln_k_ref == pytest.approx(k_sd, rel=0.15)
    assert abs(fit.reader_offset - offset) < 3.0 * fit.reader_offset_stderr


def test_the_card_has_the_readers_bands_as_words() -> None:
    film, offset = oxtint.Film(), 0.1
    log = oxtint.TrialLog()
    for i, (bath, x) in enumerate([(560.0, 25.0), (590.0, 35.0), (620.0, 45.0), (560.0, 60.0), (590.0, 28.0),
                                   (620.0, 38.0), (560.0, 50.0), (590.0, 66.0)] * 3):
        time = float(np.exp(2.0 * (math.log(x) - curve(np.array(bath), np.array(1.0), 4.0, 75e3, 590.0))))
        seen = {"thickness_nm": x} if i % 2 else {"colour": film.tint(x * math.exp(-offset)).label}
        log.add(steel="Alder 1", bath=bath, time=time, **seen)
    fit = oxtint.fit(log, reader_sd=0.2)
    words, band = fit.steel.words, film.find_tint("blue")
    assert words is not None and abs(fit.reader_offset - offset) < 0.03
    times = math.exp(fit.reader_offset)
    own = fit.steel.film.find_tint("blue")
    assert (own.low_nm, own.high_nm) == pytest.approx((times * band.low_nm, times * band.high_nm), rel=1e-12)
    dip, theirs = fit.steel.dip("blue", 590.0), fit.steel.dip("blue", 590.0, film=film)
    assert dip.time_s / theirs.time_s == pytest.approx(times ** 2, rel=1e-9)
    assert "at films" in fit.report() and "thicker than by the optics" in fit.report()
    assert "thicker than by" not in oxtint.fit(log).report()
    rows = [row for row in fit.rows if row.high_nm > 1.1 * row.low_nm]
    assert len(rows) == 12
    assert any(row.low_nm == pytest.approx(times * film.find_tint("purple").low_nm) for row in rows)
    seen = fit.steel.film  # charts, ladders and the tracker name whole bands: they are the reader's too
    assert [tint.high_nm for tint in seen.tints()] == pytest.approx([times * tint.high_nm for tint in film.tints()])
    assert seen.tint(times * band.low_nm * 1.001).label == "blue" != seen.tint(times * band.low_nm * 0.999).label
    assert oxtint.Steel.from_card(fit.steel.to_card()).film.find_tint("blue") == own
    kept = oxtint.Steel.from_card(oxtint.fit(log, film=seen).steel.to_card()).film.find_tint("blue")
    assert (kept.low_nm, kept.high_nm) == (own.low_nm, own.high_nm)
    assert fit.cross_validate().hit_count > 18
    shop = oxtint.Words({"lamp blue": "blue", "clock blue": (47.0, 55.0)})
    named = oxtint.fit(log, reader_sd=0.2, film=oxtint.Film(words=shop)).steel.film
    assert named.find_tint("lamp blue").low_nm == pytest.approx(times * band.low_nm, rel=1e-9)
    assert named.find_tint("clock blue").high_nm == pytest.approx(times * 55.0, rel=1e-9)
    assert named.tints()[7].label == "lamp blue"
    assert named.find_tint("straw").low_nm == pytest.approx(times * film.find_tint("straw").low_nm, rel=1e-9)


def test_without_measured_films_the_readers_offset_stays_open() -> None:
    log = oxtint.read_trials(DEMO)
    fit, plain = (oxtint.fit(log, "Alder 1", "satin", reader_sd=sd) for sd in (0.1, 0.0))
    assert (fit.reader_offset, fit.reader_offset_stderr) == (0.0, 0.1)
    assert fit.k_ref_nm2_per_s == plain.k_ref_nm2_per_s and fit.steel.words is None
    for wrong in (-0.1, 1.5, math.nan):
        with pytest.raises(ValueError, match="reader_sd"):
            oxtint.fit(log, "Alder 1", "satin", reader_sd=wrong)


# By another law.

SHAPES = {"power": 2.7, "linear-parabolic": 35.0, "logarithmic": 28.0}


def exposure(law: str, shape: float, x: Numbers, middle: float) -> Numbers:
    """Of each law, as it is written down in growth.h."""
    grown = {"power": lambda x: x ** shape, "linear-parabolic": lambda x: x * x + shape * x,
             "logarithmic": lambda x: np.expm1(x / shape)}[law]
    return middle ** 2 * grown(x) / grown(middle)


@pytest.mark.parametrize("law", SHAPES)
def test_a_fit_by_a_law_agrees_with_curve_fit(made, log_made, law, measured) -> None:
    bath, time, x = made
    shape, middle = SHAPES[law], 45.0
    fit = oxtint.fit(log_made, law=law, law_shape=shape, law_middle_nm=middle, scatter=0.0)
    assert (fit.law, fit.law_shape, fit.law_middle_nm, fit.ln_shape_stderr) == (law, shape, middle, 0.0)
    h = 1e-5
    y = 0.5 * np.log(exposure(law, shape, x, middle))
    steep = 0.5 * (np.log(exposure(law, shape, x * math.exp(h), middle)) -
                   np.log(exposure(law, shape, x * math.exp(-h), middle))) / (2.0 * h)
    found, covariance = scipy.optimize.curve_fit(
        lambda _, ln_k, q: curve(bath, time, ln_k, 1e5 * q, fit.T_ref_K), np.arange(16.0), y, (4.0, 0.7),
        OWN * steep, absolute_sigma=True, xtol=1e-13, ftol=1e-13)
    measured("curve-fit-by-law", math.log(fit.k_ref_nm2_per_s) / found[0] - 1.0, 1e-6)
    measured("curve-fit-by-law", fit.Q_J_per_mol / (1e5 * found[1]) - 1.0, 1e-6)
    assert fit.stderr.ln_k_ref == pytest.approx(math.sqrt(covariance[0, 0]), rel=1e-5)
    off = (y - curve(bath, time, found[0], 1e5 * found[1], fit.T_ref_K)) / (OWN * steep)
    likelihood = -0.5 * (off ** 2).sum() - 16 * math.log(OWN * math.sqrt(2.0 * math.pi))  # of ln x
    assert fit.aicc == pytest.approx(2 * 2 + 2 * 2 * 3 / (16 - 3) - 2.0 * likelihood, rel=1e-6)
    for row, seen in zip(fit.rows, x):
        assert row.observed_nm == pytest.approx(seen, rel=1e-12)
        grown = fit.steel.thickness(row.bath_K, row.time_s)
        assert row.predicted_nm == pytest.approx(grown, rel=1e-9)


@pytest.mark.parametrize("law", SHAPES)
def test_the_shape_of_a_law_is_the_likeliest(made, log_made, law, measured) -> None:
    """By the likelihood of ln x with rate and Q integrated out, written out in NumPy."""
    bath, time, x = made
    middle, scatter = 45.0, 0.04
    fit = oxtint.fit(log_made, law=law, law_middle_nm=middle, scatter=scatter)

    def steepness(shape: float, x: Numbers) -> Numbers:
        up, down = (np.log(exposure(law, shape, x * math.exp(h), middle)) for h in (1e-5, -1e-5))
        return 0.5 * (up - down) / 2e-5

    def cost(ln_shape: float, scatter: float = scatter) -> float:
        shape = math.exp(ln_shape)
        y = 0.5 * np.log(exposure(law, shape, x, middle))
        steep = steepness(shape, x)
        sigma = np.sqrt((OWN * steep) ** 2 + scatter ** 2)
        design = 0.5 * np.stack([np.ones(16), -(1.0 / bath - 1.0 / fit.T_ref_K) * 600.0], 1) / sigma[:, None]
        aim = (y - 0.5 * np.log(time)) / sigma
        rest = aim - design @ np.linalg.lstsq(design, aim, rcond=None)[0]
        return float(0.5 * rest @ rest + np.log(sigma).sum() - np.log(steep).sum()
                     + 0.5 * np.linalg.slogdet(design.T @ design)[1])

    place = math.log(fit.law_shape)
    low, high = (math.log(limit) for limit in {
        "power": (1.0, 12.0), "linear-parabolic": (0.02 * middle, 50.0 * middle),
        "logarithmic": (0.05 * middle, 50.0 * middle)}[law])  # docs/reference/growth.md
    found = scipy.optimize.minimize_scalar(cost, bounds=(max(low, place - 0.5), min(high, place + 0.5)),
                                           method="bounded", options={"xatol": 1e-9})
    if low + 0.01 < found.x < high - 0.01:
        measured("shape-of-law", place - found.x, 2e-3)
        curvature = (cost(place - 0.05) - 2.0 * cost(place) + cost(place + 0.05)) / 0.05 ** 2
        assert fit.ln_shape_stderr == pytest.approx(1.0 / math.sqrt(curvature), rel=0.02)
        same = oxtint.fit(log_made, law=law, law_middle_nm=middle, law_shape=fit.law_shape, scatter=scatter)
        assert fit.aicc - same.aicc == pytest.approx(2 + 2 * 3 * 4 / (16 - 4) - 2 * 2 * 3 / (16 - 3), abs=1e-3)
        free = oxtint.fit(log_made, law=law, law_middle_nm=middle)  # the scatter too: one degree of freedom less
        held = oxtint.fit(log_made, law=law, law_middle_nm=middle, law_shape=free.law_shape)
        assert free.scatter == pytest.approx(held.scatter * math.sqrt(14 / 13), rel=1e-3)
        at_middle = lambda ln_shape: steepness(math.exp(ln_shape), np.array(middle))
        place = math.log(free.law_shape)
        found = scipy.optimize.minimize_scalar(  # the scatter of ln x at the middle film stays while the shape moves
            lambda ln_shape: cost(ln_shape, held.scatter * at_middle(ln_shape) / at_middle(place)),
            bounds=(max(low, place - 0.5), min(high, place + 0.5)), method="bounded", options={"xatol": 1e-9})
        measured("shape-of-law", place - found.x, 1e-5)
    else:
        assert place in (pytest.approx(low, abs=0.02), pytest.approx(high, abs=0.02))


def test_a_card_by_a_law_goes_on(tmp_path, log_made) -> None:
    fit = oxtint.fit(log_made, law="power")
    assert "power law, n = " in fit.report() and "is that of the middle film" in fit.report()
    fit.steel.save(tmp_path / "card.json")
    steel = oxtint.load_steel(tmp_path / "card.json")
    assert steel == fit.steel and (steel.law, steel.law_shape) == ("power", fit.law_shape)
    assert oxtint.Steel.from_values(**steel.to_dict()).to_dict() == steel.to_dict()
    assert steel.thickness([560.0, 600.0], 60.0).tolist() == [steel.thickness(560.0, 60.0), steel.thickness(600.0, 60.0)]
    assert steel.time_for([30.0, 60.0], 600.0).tolist() == [steel.time_for(30.0, 600.0), steel.time_for(60.0, 600.0)]
    dip = steel.dip("blue", 600.0)
    assert steel.dip_for_time("blue", dip.time_s).bath_K == pytest.approx(600.0, abs=1e-6)
    assert steel.advise("blue", "600 F").coupons[0].half_width > 0.0
    assert fit.cross_validate().hit_count >= 8
    part = oxtint.Part("6 mm")
    hot = part.time_for(steel, 60.0, 600.0)
    grown = part.exposure(steel, 600.0, hot.time_s) / steel.k_ref_nm2_per_s
    assert steel.thickness(steel.T_ref_K, grown) == pytest.approx(60.0, rel=1e-6)
    more = oxtint.TrialLog()
    more.add(steel="Alder 1", bath=600.0, time=dip.time_s, colour="blue")
    again = steel.anchor(more)
    assert (again.law, again.law_shape) == ("power", steel.law_shape)
    assert again.k_ref_nm2_per_s == pytest.approx(steel.k_ref_nm2_per_s, rel=0.1)
    assert oxtint.fit(log_made, law="best").law == "parabolic"
    with pytest.raises(ValueError, match="expected one by the parabolic law"):
        fit.laws()
    with pytest.raises(ValueError, match="law"):
        oxtint.fit(log_made, law="cubic")


# A film before the dip.

def initial_log(initial: float, noise: float, count: int = 24) -> tuple[oxtint.TrialLog, Numbers, Numbers, Numbers]:
    dice, log = np.random.default_rng(16), oxtint.TrialLog()
    bath = np.array([560.0, 590.0, 620.0])[np.arange(count) % 3]
    film = np.exp(dice.uniform(np.log(22.0), np.log(70.0), count))
    grown = (film ** 2 - initial ** 2) * np.exp(2.0 * dice.normal(0.0, noise, count))
    time = (film ** 2 - initial ** 2) / (30.0 * np.exp(-80e3 / R * (1.0 / bath - 1.0 / 590.0)))
    seen = np.sqrt(initial ** 2 + grown)
    for row in zip(bath, time, seen):
        log.add("Alder 1", bath=row[0], time=row[1], thickness_nm=row[2])
    return log, bath, time, seen


@pytest.mark.parametrize("initial", [0.0, 9.0, 16.0])
def test_a_film_before_the_dip_is_the_likeliest(initial, measured) -> None:
    """By the likelihood of ln x with rate and Q integrated out, written out in NumPy."""
    scatter, middle = 0.05, 40.0
    log, bath, time, x = initial_log(initial, scatter)
    fit = oxtint.fit(log, with_initial=True, scatter=scatter, law_middle_nm=middle)
    late = fit.T_ref_K / bath - 1.0
    design = 0.5 * np.stack([np.ones(24), -late], 1)

    def solve(initial_nm2: float) -> tuple[float, Numbers, Numbers]:
        share = 1.0 / (1.0 - initial_nm2 / x ** 2)  # d ln of what grows/d ln x^2
        y = 0.5 * np.log((x ** 2 - initial_nm2) * middle ** 2 / (middle ** 2 - initial_nm2)) - 0.5 * np.log(time)
        sigma = np.hypot(0.02 * share, scatter)
        X, aim = design / sigma[:, None], y / sigma
        beta = np.linalg.lstsq(X, aim, rcond=None)[0]
        off = aim - X @ beta
        cost = 0.5 * off @ off + np.log(sigma / share).sum() + 0.5 * np.linalg.slogdet(X.T @ X)[1]
        return float(cost), beta, np.linalg.inv(X.T @ X)

    place = fit.initial_nm ** 2
    best = scipy.optimize.minimize_scalar(lambda nm2: solve(nm2)[0], bounds=(0.0, 0.9 * x.min() ** 2), method="bounded",
                                          options={"xatol": 1e-9})
    measured("initial-film", (place - best.x) / middle ** 2, 1e-6)
    step = min(0.01 * middle ** 2, 0.05 * 0.9 * x.min() ** 2)
    less, here, more = (solve(place + side * step) for side in (-1, 0, 1))
    curvature = (less[0] - 2.0 * here[0] + more[0]) / step ** 2
    assert fit.initial_stderr_nm2 == pytest.approx(1.0 / math.sqrt(curvature), rel=1e-3)
    slope = (more[1] - less[1]) / (2.0 * step)
    whole = here[2] + np.outer(slope, slope) / curvature
    assert math.log(fit.k_ref_nm2_per_s) == pytest.approx(here[1][0], rel=1e-6)
    assert fit.stderr.ln_k_ref == pytest.approx(math.sqrt(whole[0, 0]), rel=1e-4)
    assert fit.stderr.Q_J_per_mol == pytest.approx(R * fit.T_ref_K * math.sqrt(whole[1, 1]), rel=1e-4)
    for row, film in zip(fit.rows, x):
        assert row.observed_nm == pytest.approx(film, rel=1e-9)
        assert row.predicted_nm == pytest.approx(fit.steel.thickness(row.bath_K, row.time_s), rel=1e-9)


def test_a_film_before_the_dip_agrees_with_curve_fit(measured) -> None:
    """Films that follow x^2 = x0^2 + k t: the answer of SciPy. The likelihood with rate and Q integrated out differs from
    least squares by the square of the films' error, so what two errors give is extrapolated to none."""
    log, bath, time, x = initial_log(14.0, 1e-7)
    fits = [oxtint.fit(log, with_initial=True, scatter=0.0, thickness_uncertainty=error) for error in (1e-3, 2e-3)]

    def square(_: Numbers, ln_k: float, q: float, initial_nm2: float) -> Numbers:
        return initial_nm2 + np.exp(ln_k - q * (fits[0].T_ref_K / bath - 1.0)) * time

    def numbers(fit: oxtint.Fit) -> Numbers:
        k = fit.k_ref_nm2_per_s * (1.0 - fit.initial_nm ** 2 / fit.law_middle_nm ** 2)  # x^2 grows by it
        return np.array([math.log(k), fit.Q_J_per_mol / (R * fit.T_ref_K), fit.initial_nm])

    best, _ = scipy.optimize.curve_fit(square, bath, x ** 2, (3.0, 16.0, 100.0), x ** 2, xtol=1e-14, ftol=1e-14)
    best[2] = math.sqrt(best[2])
    assert fits[0].T_ref_K == fits[1].T_ref_K
    small, large = map(numbers, fits)
    assert np.abs(small / best - 1.0).max() < 3e-6
    for found, wanted in zip((4.0 * small - large) / 3.0, best):
        measured("curve-fit-initial", found / wanted - 1.0, 1e-6)


def test_what_goes_on_from_a_film_before_the_dip(tmp_path) -> None:
    log, *_ = initial_log(15.0, 0.05)
    fit = oxtint.fit(log, with_initial=True)
    assert "film before the dips: 1" in fit.report() and abs(fit.initial_nm - 15.0) < 4.0
    fit.steel.save(tmp_path / "card.json")
    steel = oxtint.load_steel(tmp_path / "card.json")
    assert steel == fit.steel and steel.initial_nm == fit.initial_nm
    assert oxtint.Steel.from_values(**steel.to_dict()).to_dict() == steel.to_dict()
    dip = steel.dip("blue", 600.0)
    assert f"{steel.initial_nm:.1f} nm" in dip.report() and dip.initial_nm == steel.initial_nm
    assert steel.dip("blue", 600.0, initial=steel.initial_nm).time_s == pytest.approx(dip.time_s, rel=1e-9)
    assert steel.dip("blue", 600.0, initial=30.0).time_s < dip.time_s
    assert steel.thickness(600.0, 0.0) == pytest.approx(steel.initial_nm)
    assert steel.time_for([10.0, 40.0], 600.0).tolist() == [0.0, steel.time_for(40.0, 600.0)]
    assert steel.advise("blue", "600 F").coupons[0].half_width > 0.0
    assert fit.cross_validate().hit_count >= 18
    again = steel.anchor(initial_log(15.0, 0.05, 3)[0])
    assert again.initial_nm == steel.initial_nm
    text = oxtint.chart_svg(steel)
    assert "inf" not in text.replace("information", "") and "nan" not in text
    each = oxtint.fit_each(log, with_initial=True)
    assert oxtint.columns(each)["initial_nm"].tolist() == [fit.initial_nm]
    with pytest.raises(ValueError, match="expected law_shape as well, held"):
        oxtint.fit(log, law="power", with_initial=True)
    with pytest.raises(ValueError, match="where the trials choose the law"):
        oxtint.fit(log, law="best", with_initial=True)


@pytest.mark.parametrize(("unit", "bath", "others"), [("F", "620 F", " [CK] "), ("C", "326.7 C", " [FK] "), ("K", "599.8 K", " [CF] ")])
def test_a_report_speaks_one_scale(unit, bath, others) -> None:
    log = oxtint.TrialLog()
    log.add(steel="Dogwood 4", finish="satin", bath="620 F", time="1:28", colour="purple")
    fit = oxtint.fit(log, prior=oxtint.Prior.mild_steel())
    said = " ".join(fit.report(unit).split())
    assert f"Log next a coupon at {bath} for about" in said
    assert not re.search(r"\d" + others, said)
    assert any("326.7 C (620 F)" in str(warning) for warning in fit.warnings)  # read without its report


def test_a_usual_dip_is_read_without_scrolling() -> None:
    steel = oxtint.fit(oxtint.read_trials(DEMO), "Alder 1", "satin").steel
    assert len(str(steel.dip("blue", "600 F")).splitlines()) <= 22  # of the 24 lines of a usual terminal


def test_a_table_marks_what_is_less_certain_than_its_colour_lasts() -> None:
    table = oxtint.dip_table(oxtint.fit(oxtint.read_trials(DEMO), "Alder 1", "satin").steel)
    lines = str(table).splitlines()
    assert lines[0].startswith("Lift after (colour visible from - to; ?: less certain than the colour lasts)")
    loose = sum(any(caution.name == "LOOSE_FIT" for caution in dip.cautions) for dip in table)
    assert 0 < loose < len(table) and "\n".join(lines[2:2 + len(table) // 3]).count("?") == loose


def test_a_colour_is_named_as_it_was_typed() -> None:
    assert oxtint.Film().target("#33447a").text == "#33447a"


@pytest.mark.parametrize("bath", ["600 F", "620 F", "587.3 K", "315 C"])
def test_coupons_of_one_bath_say_more_the_more_they_are(bath) -> None:
    shares = []
    for count in range(1, 8):
        log = oxtint.TrialLog()
        for _ in range(count):
            log.add(steel="s", finish="satin", bath=bath, time="1:40", colour="purple")
        shares.append(oxtint.fit(log, prior=oxtint.Prior.mild_steel()).prior_share_ln_k)
    assert shares == sorted(shares, reverse=True) and shares[2] < 0.1


# docs/reference/columns.md: reports of what is made from a log are in its scale, unless another is named; C for numbers.
@pytest.mark.parametrize("unit", ["F", "C", "K", None])
def test_reports_are_in_the_scale_of_the_log(log, unit) -> None:
    shop = oxtint.TrialLog()
    for one in log:
        if one.steel == "Alder 1":
            shop.add(one.steel, finish=one.finish, bath=one.bath_K, time=one.time_s, colour=one.colour)
    if unit:
        shop.unit = unit
    fit, said = oxtint.fit(shop, "Alder 1", "satin"), unit or "C"
    for one in (fit, fit.bootstrap(100), fit.laws(), oxtint.pool(shop), oxtint.fit_each(shop)):
        assert one.report() == one.report(said), type(one)
        assert str(one) == one.report(said).rstrip("\n") and "unit" not in one.to_dict()
    assert f" {said}: k_ref" in fit.report() and f" {said} " in oxtint.fit_each(shop).report()
    assert fit.cross_validate().report() == fit.cross_validate().report(said)
    assert pickle.loads(pickle.dumps(fit)).report() == fit.report(said)
