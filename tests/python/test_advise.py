# SPDX-License-Identifier: GPL-3.0-or-later
"""The next coupons, and drift."""
import math

import oxtint
import pytest


def test_advice(steel) -> None:
    advice = steel.advise("blue", "640 F", low="560 F", high="660 F", shortest="20 s", longest="5:00",
                          count=4)
    dip = steel.dip("blue", "640 F")
    now = math.log(dip.interval_s[1] / dip.time_s)
    ratio = 1.0
    assert len(advice.coupons) == 4
    for coupon in advice.coupons:
        assert oxtint.parse_temperature("560 F") <= coupon.bath_K <= oxtint.parse_temperature("660 F")
        assert 20.0 <= coupon.time_s <= 300.0 and coupon.time_s == round(coupon.time_s)
        assert oxtint.name_of(coupon.thickness_nm) == coupon.label
        assert steel.thickness(coupon.bath_K, coupon.time_s) == pytest.approx(coupon.thickness_nm)
        assert 0.0 < coupon.chance <= 1.0 and coupon.interval_ratio < ratio
        assert coupon.interval_ratio * now < coupon.half_width < now
        ratio = coupon.interval_ratio
    assert any(caution.name == "MOLTEN_SALT" for caution in advice.coupons[0].cautions)
    assert "blue at 640 F" in str(advice) and " K" in advice.report("K")


def test_target_changes_nothing_in_the_choice(steel) -> None:
    for one, other in zip(steel.advise("straw", 600.0).coupons, steel.advise(None, 600.0).coupons,
                          strict=True):
        assert (one.bath_K, one.time_s, one.label) == (other.bath_K, other.time_s, other.label)
        assert one.interval_ratio == pytest.approx(other.interval_ratio, rel=1e-12)
    assert steel.advise(count=1).coupons[0].bath_K > 0.0


def test_advice_for_the_law(steel) -> None:
    advice = steel.advise(criterion="law", highest_order=2, count=2)
    first, last = advice.coupons
    assert 0.0 < last.exponent_stderr < first.exponent_stderr
    assert steel.advise(count=1).coupons[0].exponent_stderr == 0.0
    assert "for the law of growth" in advice.report() and f"{last.exponent_stderr:.3f}" in advice.report()


def test_a_prior_is_enough() -> None:
    # Common practice, no source: constants known within a factor and 20 %, and no coupon yet.
    prior = oxtint.Steel.from_values(
        steel="Elm 5", k_ref_nm2_per_s=40.0, T_ref_K=588.7, Q_J_per_mol=80e3, variance_ln_k=0.25,
        variance_Q_J2_per_mol2=16e3 ** 2, scatter=0.06, dof=5.0, bath_low_K=533.15,
        bath_high_K=644.26, thickness_low_nm=10.0, thickness_high_nm=90.0)
    first = prior.advise("blue", "600 F").coupons[0]
    assert first.interval_ratio < 0.5 and first.chance < 1.0


@pytest.mark.parametrize(("arguments", "words"), [
    ({"count": 5}, "count"), ({"count": -1}, "count"), ({"criterion": "all"}, "criterion is 'all'"),
    ({"highest_order": 3}, "highest_order is 3"), ({"low": "700 F", "high": "600 F"},
     r"low \(700 F\) must be below high \(600 F\)"),
    ({"shortest": 1.0, "longest": 1.0, "high": "500 F"}, "no bath"), ({"target": "mauve"}, "mauve"),
])
def test_advice_at_fault(steel, arguments, words) -> None:
    with pytest.raises(oxtint.OxtintValueError, match=words):
        steel.advise(**arguments)


def test_wrong_types(steel) -> None:
    with pytest.raises(TypeError, match="count is float"):
        steel.advise(count=2.0)
    with pytest.raises(TypeError, match="false_alarm is str"):
        exact_fit(1.0).drift(false_alarm="0.01")


def exact_fit(factor: float) -> oxtint.Fit:
    """24 films, the last 10 at another rate, that alternate about the law by 1 %."""
    log = oxtint.read_trials_text("steel,bath_K,time_s,thickness_nm\n" + "".join(
        f"T-coupon,{bath},60,{math.sqrt(rate * 60.0 * share) * (1.01 if i // 2 % 2 else 0.99)}\n"
        for i in range(24)
        for bath, rate in [((570.0, 30.0), (610.0, 90.0))[i % 2]]
        for share in [factor if i >= 14 else 1.0]))
    return oxtint.fit(log)


@pytest.mark.parametrize("factor", [0.8, 1.25])
def test_drift(factor) -> None:
    fit = exact_fit(factor)
    drift = fit.drift()
    assert drift.called and drift.since == 14 and drift.line == 16 and drift.after_count == 10
    assert drift.rate_factor == pytest.approx(factor, rel=0.03)
    low, high = drift.rate_factor_interval
    assert low < factor < high and (high < 1.0 or low > 1.0)
    # Arrhenius: k at T_ref lies on the straight line of ln k between the two baths.
    share = (1 / fit.T_ref_K - 1 / 570.0) / (1 / 610.0 - 1 / 570.0)
    true = factor * 30.0 * 3.0 ** share
    assert drift.anchor_factor * fit.k_ref_nm2_per_s == pytest.approx(true, rel=0.02)
    assert str(drift).startswith("since coupon 15 (line 16) the film grows ")
    assert ("slow" in str(drift)) == (factor < 1.0)


def test_drift_from_day_to_day() -> None:
    """Films without scatter, on eight days of a rate that falls by 5 % each: the factor is exact."""
    log = oxtint.read_trials_text("steel,bath_K,time_s,day,thickness_nm\n" + "".join(
        f"T-coupon,{bath},60,{day},{math.sqrt(rate * 60.0 * 0.95 ** day)}\n"
        for day in range(8) for bath, rate in ((570.0, 30.0), (610.0, 90.0))))
    fit = oxtint.fit(log)
    drift = fit.drift()
    assert drift.called and drift.trend is True and drift.day_count == 8 and drift.since == 0
    assert drift.rate_factor_per_day == pytest.approx(0.95, rel=1e-6)
    assert drift.rate_factor == pytest.approx(0.95 ** 7, rel=1e-6)
    assert drift.trend_statistic > drift.trend_limit
    assert repr(drift) == "<Drift over 16 coupons: rate times 0.95 a day>"
    assert "5 % slower" in str(drift) and "from each day to the next" in str(drift)
    assert [line for line in fit.warnings if line.startswith("The rate changed in the course of these days: ")]
    assert exact_fit(1.25).drift().trend is False and exact_fit(1.25).drift().day_count == 0
    assert math.isnan(exact_fit(1.25).drift().trend_limit)


def test_no_drift() -> None:
    drift = exact_fit(1.0).drift(false_alarm=0.1, confidence=0.5)
    assert not drift.called and drift.since is None and drift.coupon_count == 24
    assert drift.rate_factor == drift.anchor_factor == 1.0
    assert all(math.isnan(limit) for limit in drift.rate_factor_interval)
    assert drift.statistic < drift.limit and "no drift in 24 coupons" in drift.report()
    with pytest.raises(oxtint.OxtintValueError, match="false_alarm"):
        exact_fit(1.0).drift(false_alarm=0.5)
