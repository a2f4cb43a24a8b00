# SPDX-License-Identifier: GPL-3.0-or-later
"""The pictures of how sure a time is show what the numbers say."""
import matplotlib

matplotlib.use("Agg")

import numpy as np
import oxtint
import pytest
from matplotlib import pyplot
from oxtint.drawing.certainty import _softened, coupon_map, time_spread


@pytest.fixture(autouse=True)
def _close_figures():
    yield
    pyplot.close("all")


def test_spread_has_three_intervals_and_the_window(fitted) -> None:
    drawn = time_spread(fitted, "blue", "600 F", replicates=500, confidence=0.9)
    dip = fitted.steel.dip("blue", "600 F", confidence=0.9)
    assert drawn.aim.get_xdata()[0] == dip.time_s
    assert tuple(drawn.mean.get_xdata()) == dip.interval_s
    assert tuple(drawn.next_dip.get_xdata()) == dip.next_interval_s
    # The bootstrap itself gives its limits as factors of the mean time, by its own rule for a quantile.
    factors = fitted.bootstrap(500).interval("dip-time", "600 F", confidence=0.9)
    assert drawn.replicates.get_xdata() / dip.time_s == pytest.approx(factors, rel=5e-3)
    left, right = drawn.window.get_extents().transformed(
        drawn.aim.axes.transData.inverted()).intervalx
    assert (left, right) == pytest.approx((dip.earliest_s, dip.latest_s))
    styles = {line.get_linestyle() for line in (drawn.mean, drawn.replicates, drawn.next_dip)}
    assert len(styles) == 3
    written = [text.get_text() for text in drawn.aim.axes.texts]
    for name, ends in (("90 % of the mean, Student's t", dip.interval_s),
                       ("90 % of the next dip", dip.next_interval_s)):
        first, last = map(oxtint.format_duration, ends)
        assert f"{name}: {first} to {last}" in written


def test_spread_counts_the_replicates(fitted) -> None:
    part, lift = oxtint.Part("6 mm"), oxtint.Lift("4 s")
    drawn = time_spread(fitted, "purple", "575 F", part=part, lift=lift, replicates=200, random_seed=7,
                        kind="residual", unit="C")
    counts = [bar.get_height() for bar in drawn.histogram]
    shown = int(sum(counts))
    assert 150 <= shown <= 200
    assert drawn.aim.axes.get_ylabel() == f"replicates, {shown} of 200"
    assert "301.7 C" in drawn.aim.axes.get_title()
    # Half of them lie to either side of the dip by the fit: four standard errors, and a tenth for skew.
    middles = np.array([bar.get_x() + 0.5 * bar.get_width() for bar in drawn.histogram])
    before = sum(np.array(counts)[middles < drawn.aim.get_xdata()[0]])
    assert abs(before / shown - 0.5) < 4.0 * 0.5 / np.sqrt(shown) + 0.1


def test_a_limit_without_end_leaves_the_picture() -> None:
    """Three coupons of a stated scatter and 99.9 % leave no upper limit (Student's t with one degree of freedom is
    Cauchy's): what
    is to be compared with one another stays in sight, and the words say that it is over 11 days."""
    # A rate that grows by half from 550 F to 650 F; the middle film is a fifth too thick.
    coupons = [{"steel": "Alder 1", "bath": bath, "time_s": 100.0, "thickness_nm": film_nm}
               for bath, film_nm in (("550 F", 22.9), ("600 F", 42.9), ("650 F", 44.2))]
    few = oxtint.fit(coupons, scatter=0.2)
    dip = few.steel.dip("blue", "600 F", confidence=0.999)
    assert dip.next_interval_s[1] > 1e20 and "to over 11 days" in dip.report()
    drawn = time_spread(few, "blue", "600 F", replicates=200, confidence=0.999)
    low, high = drawn.aim.axes.get_xlim()
    assert low <= dip.earliest_s and dip.latest_s < high < 1e6
    assert drawn.next_dip.get_xdata()[1] > high
    assert any(text.get_text() == "99.9 % of the next dip: 0 s to over 11 days"
               for text in drawn.aim.axes.texts)
    drawn.aim.axes.figure.draw_without_rendering()


@pytest.fixture(scope="module")
def drawn_map(steel, log):
    made = coupon_map(steel, "blue", "600 F", trials=log, unit="K")
    yield made
    pyplot.close("all")


def ratios_of(drawn) -> np.ma.MaskedArray:
    """The cells in rows and columns."""
    return drawn.ratios


def cell_of(drawn, row: int, column: int) -> tuple[tuple[float, float], tuple[float, float]]:
    """Baths (K) and times (s) of a cell."""
    return tuple(drawn.bath_edges_K[column:column + 2]), tuple(drawn.time_edges_s[row:row + 2])


def test_cells_are_what_a_coupon_leaves(drawn_map, steel) -> None:
    left = ratios_of(drawn_map)
    checked = 0
    for row, column in ((3, 20), (10, 25), (14, 12), (20, 8)):
        (cold, hot), (first, last) = cell_of(drawn_map, row, column)
        middle = 0.5 * (cold + hot)
        if left.mask[row, column]:
            continue
        best = steel.advise("blue", "600 F", low=middle, high=middle, shortest=float(first),
                            longest=float(last), count=1).coupons[0]
        assert left[row, column] == pytest.approx(best.interval_ratio, rel=1e-12)
        checked += 1
    assert checked >= 3


def test_darkest_cell_is_the_advice(drawn_map, steel) -> None:
    best = steel.advise("blue", "600 F", count=1).coupons[0]
    left = ratios_of(drawn_map)
    assert left.min() == pytest.approx(best.interval_ratio, abs=2e-3)
    row, column = np.unravel_index(np.ma.argmin(left), left.shape)
    (cold, hot), (first, last) = cell_of(drawn_map, row, column)
    film = steel.thickness(0.5 * (cold + hot), np.sqrt(first * last))
    assert oxtint.name_of(film) == best.label


def test_hatched_is_what_tells_nothing(drawn_map, steel) -> None:
    left = ratios_of(drawn_map)
    seen = set()
    for (row, column), masked in np.ndenumerate(np.ma.getmaskarray(left)):
        (cold, hot), times = cell_of(drawn_map, row, column)
        thin, thick = steel.thickness(0.5 * (cold + hot), np.array(times))
        if thick > 230.0:  # past the second order
            assert masked
        elif oxtint.name_of(thin) == oxtint.name_of(thick):
            name = oxtint.name_of(thin)
            seen.add(name)
            if name in ("silver", "bright") or name.startswith("second"):
                assert masked, (row, column)  # and the second order, which is not asked for
            elif name in ("dark straw", "dark blue"):
                assert not masked, (row, column)
    assert {"silver", "dark blue", "second-order yellow"} <= seen
    assert drawn_map.hatched.hatches == ["///"]
    assert drawn_map.hatched.get_zorder() > drawn_map.cells.get_zorder()


def test_the_map_has_the_cells_as_greys(drawn_map) -> None:
    """In the middle of each cell that is not hatched the picture has its ratio, as far as the edge."""
    points, grey = np.asarray(drawn_map.cells.get_coordinates()), drawn_map.cells.get_array()
    left = ratios_of(drawn_map)
    grey = np.asarray(grey).reshape(left.shape[0] + 2, left.shape[1] + 2)
    there = ~np.ma.getmaskarray(left)
    np.testing.assert_array_equal(grey[1:-1, 1:-1][there], left[there])
    assert points[0, 0].tolist() == [drawn_map.bath_edges_K[0], drawn_map.time_edges_s[0]]
    assert points[-1, -1].tolist() == [drawn_map.bath_edges_K[-1], drawn_map.time_edges_s[-1]]


def test_marks_are_the_advice_and_the_trials(drawn_map, steel, log) -> None:
    coupons = steel.advise("blue", "600 F").coupons
    marks = drawn_map.coupons.get_offsets()
    np.testing.assert_allclose(marks[:, 1], [coupon.time_s for coupon in coupons])
    np.testing.assert_allclose(marks[:, 0], [coupon.bath_K for coupon in coupons], atol=3.0)  # beside one another
    assert drawn_map.advice.coupons == coupons
    mine = [trial for trial in log if (trial.steel, trial.finish) == ("Alder 1", "satin")]
    np.testing.assert_allclose(drawn_map.trials.get_offsets(),
                               [(trial.bath_K, trial.time_s) for trial in mine])
    numbers = {text.get_text(): text.xy for text in drawn_map.cells.axes.texts}
    for number, coupon in enumerate(coupons, 1):
        assert numbers[str(number)] == pytest.approx(tuple(marks[number - 1]))
    ax = drawn_map.cells.axes
    assert ax.get_xlabel() == "bath temperature (K)" and "588.7 K" in ax.get_title()


def test_a_map_that_cannot_be_says_why(steel) -> None:
    with pytest.raises(oxtint.OxtintValueError, match="no bath from"):
        coupon_map(steel, shortest="50 min", longest="1 h", low="690 F")
    with pytest.raises(oxtint.OxtintValueError, match="unit"):
        coupon_map(steel, unit="R")
    with pytest.raises(oxtint.OxtintValueError, match="count"):
        coupon_map(steel, count=5)


def test_marks_on_the_map_stand_side_by_side_and_the_cautions_below(steel, fitted) -> None:
    log = oxtint.TrialLog()
    for time_s in (90.0, 90.0, 91.0):
        log.add("Alder 1", finish="satin", bath="600 F", time=time_s, colour="purple")
    drawn = coupon_map(steel, "blue", "600 F", trials=log)
    ax = drawn.cells.axes
    ax.figure.canvas.draw()
    at = ax.transData.transform([*drawn.trials.get_offsets(), *drawn.coupons.get_offsets()]) * 72.0 / ax.figure.dpi
    gaps = np.hypot(*(at[:, np.newaxis] - at).T)[np.triu_indices(len(at), 1)]
    assert gaps.min() > 11.5
    assert [time for _, time in drawn.trials.get_offsets()] == [90.0, 90.0, 91.0]
    for axes, cautions in ((ax, steel.cautions),
                           (time_spread(fitted, "blue", "600 F", replicates=100).aim.axes,
                            fitted.steel.dip("blue", "600 F").cautions)):
        told = " ".join(" ".join(text.get_text() for text in axes.texts if "Cautions: " in text.get_text()).split())
        assert told == "Cautions: " + ", ".join(caution.brief.split(":")[0] for caution in cautions)


def test_hatching_has_no_speck_and_no_stairs() -> None:
    """A cell alone is no region; the border of a region that steps one cell at a time is a straight line."""
    speck, stairs = np.zeros((9, 9), dtype=bool), np.tri(12, dtype=bool)
    speck[4, 4] = True
    assert _softened(speck).max() < 0.5
    soft = _softened(stairs)
    inner = soft[3:-3, 3:-3]
    assert np.allclose(np.diag(inner), inner[0, 0]) and np.allclose(np.diag(inner, 1), 1.0 - inner[0, 0])
    assert soft[-1, 0] == 1.0 and soft[0, -1] == 0.0
