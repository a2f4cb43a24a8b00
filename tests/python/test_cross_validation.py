# SPDX-License-Identifier: GPL-3.0-or-later
"""Each coupon of a fit predicted from the others."""
from __future__ import annotations

import math
import pickle
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

import oxtint


def log_of(seed: int, count: int = 16, scatter: float = 0.05) -> oxtint.TrialLog:
    random = np.random.default_rng(seed)
    bath = 560.0 + 20.0 * (np.arange(count) % 4)
    time = 60.0 * (1 + np.arange(count) % 6)
    k = 40.0 * np.exp(-80e3 / 8.314462618 * (1 / bath - 1 / 590.0))
    film = np.sqrt(k * time) * np.exp(random.normal(0.0, scatter, count))
    return oxtint.TrialLog.from_columns({"steel": ["Lamp 1"] * count, "bath_K": bath, "time_s": time, "thickness_nm": film})


def test_each_coupon_is_predicted_as_by_a_fit_of_the_others() -> None:
    log = log_of(1)
    trials = list(log)
    found = oxtint.fit(log).cross_validate()
    for place, row in enumerate(found.rows):
        others = trials[:place] + trials[place + 1:]
        steel = oxtint.fit(oxtint.TrialLog.from_columns({
            "steel": [one.steel for one in others], "bath_K": [one.bath_K for one in others],
            "time_s": [one.time_s for one in others],
            "thickness_nm": [one.thickness_nm for one in others]})).steel
        assert row.predicted_nm == pytest.approx(steel.thickness(row.bath_K, row.time_s), rel=1e-4)
        assert row.trial == place and row.predicted and row.reason == ""


# Clopper and Pearson's limits by SciPy's binomtest.
def test_limits_of_the_hits_are_those_of_scipy() -> None:
    for seed in range(6):
        found = oxtint.fit(log_of(seed, scatter=0.15)).cross_validate(confidence=0.9)
        limits = stats.binomtest(found.hit_count, found.predicted_count).proportion_ci(0.9)
        expected = [found.predicted_count * limit for limit in (limits.low, limits.high)]
        assert found.hits_interval == pytest.approx(expected, abs=1e-8)


def test_the_numbers_are_those_of_the_rows() -> None:
    fit = oxtint.fit(log_of(3))
    found = fit.cross_validate(threads=2)
    assert found.coupon_count == len(found.rows) == fit.used_count
    assert found.hit_count == sum(row.hit for row in found.rows)
    assert found.expected_hits == pytest.approx(sum(row.chance for row in found.rows), abs=1e-9)
    for row in found.rows:
        assert row.low_nm < row.predicted_nm < row.high_nm
        assert row.colour == oxtint.name_of(row.predicted_nm)
        assert row.hit == (oxtint.name_of(row.observed_nm) == row.colour)
    line = (f"{found.hit_count} of {found.predicted_count} coupons show the colour predicted from the others "
            f"({found.expected_hits:.1f} expected)\n")
    assert line in found.report() and line in fit.report()
    assert str(found) == found.report().rstrip("\n")
    assert repr(found).startswith(f"<CrossValidation: {found.hit_count} of {found.predicted_count} coupons")


def test_baths_are_left_out_whole() -> None:
    fit = oxtint.fit(log_of(4), scatter=0.05)
    alone, together = fit.cross_validate(), fit.cross_validate(by_bath=True)
    assert together.by_bath and not alone.by_bath
    widths = [[math.log(row.high_nm / row.low_nm) for row in found.rows] for found in (alone, together)]
    assert all(wide > narrow for narrow, wide in zip(*widths))
    assert "predicted from those of other baths" in together.report()


def test_what_cannot_be_predicted_is_said() -> None:
    log = oxtint.TrialLog()
    for time, film in ((60, 40), (120, 57), (180, 70)):
        log.add(steel="Lamp 1", bath=590.0, time=time, thickness_nm=film)
    log.add(steel="Lamp 1", bath=620.0, time=60, thickness_nm=60)
    found = oxtint.fit(log).cross_validate()
    last = found.rows[-1]
    assert not last.predicted and math.isnan(last.chance) and "do not determine Q" in last.reason
    none = oxtint.fit(log).cross_validate(by_bath=True)
    assert none.predicted_count == 0 and all(math.isnan(limit) for limit in none.hits_interval)


def test_a_report_of_more_than_a_hundred_coupons_leaves_it_out() -> None:
    line = "show the colour predicted from the others"
    assert line in oxtint.fit(log_of(5, 100)).report()
    assert line not in oxtint.fit(log_of(5, 101)).report()


def test_bad_options_are_refused() -> None:
    fit = oxtint.fit(log_of(6))
    with pytest.raises(oxtint.OxtintValueError, match="confidence is 1, expected"):
        fit.cross_validate(confidence=1)
    with pytest.raises(oxtint.OxtintValueError, match="threads"):
        fit.cross_validate(threads=257)
    with pytest.raises(TypeError, match="by_bath"):
        fit.cross_validate(by_bath="yes")  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="Fit.cross_validate"):
        oxtint.CrossValidation()


def test_it_can_be_pickled() -> None:
    found = oxtint.fit(log_of(7)).cross_validate(by_bath=True)
    again = pickle.loads(pickle.dumps(found))
    assert again.rows == found.rows and again.by_bath


def test_the_command_prints_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from oxtint.command import main
    path = tmp_path / "trials.csv"
    log_of(8).save(path)
    main(["fit", str(path), "--proof"])
    said = capsys.readouterr().out
    assert "Lamp 1: each coupon predicted from all others\n" in said
    main(["fit", str(path), "--proof", "--json"])
    assert '"expected_hits"' in capsys.readouterr().out


def test_a_report_does_not_take_minutes() -> None:
    log = oxtint.TrialLog()
    for i, colour in enumerate(["straw", "brown", "purple", "dark blue", "blue", "light blue"]):
        log.add(steel="Alder 1", bath=560.0 + 20.0 * (i % 3), time=60.0 + 45.0 * i, colour=colour, part="3 mm", lift="4 s")
    line = "coupons show the colour predicted from the others"
    noise = {"bath_sd_K": 2.0, "time_sd_s": 1.0}
    assert line in oxtint.fit(log, **noise).report()
    assert line not in oxtint.fit(log, errors_in_variables="orthogonal", **noise).report()
