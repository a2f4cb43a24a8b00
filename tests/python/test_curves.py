# SPDX-License-Identifier: GPL-3.0-or-later
"""The curves show what the numbers say."""
import matplotlib
import numpy as np
import oxtint
import pytest
from oxtint.drawing import curves

from conftest import DEMO

matplotlib.use("Agg")
from matplotlib import pyplot  # noqa: E402


@pytest.fixture(autouse=True)
def _close_figures():
    yield
    pyplot.close("all")


@pytest.fixture(scope="module")
def fitted() -> tuple[oxtint.Fit, oxtint.TrialLog]:
    log = oxtint.read_trials(DEMO)
    return oxtint.fit(log, "Birch 2"), log


def test_growth_curve_passes_through_the_dip(fitted) -> None:
    steel, part, lift = fitted[0].steel, oxtint.Part("6 mm"), oxtint.Lift("8 s")
    drawn = curves.growth_curve(steel, "blue", "600 F", part=part, lift=lift)
    dip = steel.dip("blue", "600 F", part=part, lift=lift)
    times, film = drawn.line.get_data()
    assert np.interp(dip.time_s, times, film) == pytest.approx(
        dip.target.aim_nm - dip.lift_growth_nm, rel=1e-3)
    assert drawn.lift.get_xdata()[0] == dip.time_s
    corners = drawn.window.get_paths()[0].vertices
    assert (corners[:, 0].min(), corners[:, 0].max()) == pytest.approx((dip.earliest_s, dip.latest_s))
    # It is above the curve only: what it marks keeps its colours.
    assert (corners[:, 1] >= np.interp(corners[:, 0], times, film) - 1e-9).all()
    axes = drawn.line.axes
    assert axes.get_xlabel() == "time in the bath" and "(nm)" in axes.get_ylabel()
    ticks = axes.get_xticks()
    assert [label.get_text() for label in axes.get_xticklabels()][1:] == [
        oxtint.format_duration(tick) for tick in ticks[1:]] and np.ptp(np.diff(ticks)) == 0.0
    assert list(drawn.covered.get_ydata()) == [
        steel.to_dict()["thickness_low_nm"], min(steel.to_dict()["thickness_high_nm"], axes.get_ylim()[1])]
    assert axes.get_title() == f"blue at 600 F: lift after {oxtint.format_duration(dip.time_s)}"
    drawn.line.figure.canvas.draw()


def test_growth_curve_says_aim_bands_and_quench(fitted) -> None:
    steel, part, lift = fitted[0].steel, oxtint.Part("6 mm"), oxtint.Lift("8 s")
    drawn = curves.growth_curve(steel, "blue", "600 F", part=part, lift=lift, unit="C")
    dip = steel.dip("blue", "600 F", part=part, lift=lift)
    np.testing.assert_allclose(drawn.quench.get_xydata(),
                               [(dip.time_s, dip.target.aim_nm - dip.lift_growth_nm),
                                (dip.time_s + 8.0, dip.target.aim_nm)])
    written = " ".join(text.get_text() for text in drawn.line.axes.texts)
    for words in (f"aim {dip.target.aim_nm:.1f} nm, blue", f"+{dip.lift_growth_nm:.1f} nm",
                  oxtint.format_duration(dip.earliest_s), oxtint.format_duration(dip.time_s + 8.0)):
        assert words in written
    assert "315.6 C" in drawn.line.axes.get_title()
    film, top = oxtint.Film(), drawn.line.axes.get_ylim()[1]
    for name in drawn.bands:
        assert film.tint(name.xy[1]).label == name.get_text() and name.xy[1] < top
    ramp = np.asarray(drawn.colours.get_array())[:, 0]
    np.testing.assert_allclose(ramp[256], film.path_srgb(256 / 511 * top), atol=1e-9)
    without = curves.growth_curve(steel, "240 nm", "700 F")  # beyond the last name
    assert without.quench is None
    assert any(text.get_text() == "aim 240.0 nm" for text in without.line.axes.texts)


def test_arrhenius_bands_lie_round_the_fit(fitted) -> None:
    fit, log = fitted
    drawn = curves.arrhenius(fit, log, unit="C")
    x, rate = drawn.line.get_data()
    k = [fit.steel.thickness(T + 273.15, 1.0) ** 2 for T in x]
    assert rate == pytest.approx(k, rel=1e-9)
    mean = drawn.mean.get_paths()[0].get_extents()
    dip = drawn.next_dip.get_paths()[0].get_extents()
    assert dip.y0 < mean.y0 < rate.min() and rate.max() < mean.y1 < dip.y1
    # the greys of paper, the one band and the other can be told apart
    assert drawn.next_dip.get_facecolor()[0][0] - drawn.mean.get_facecolor()[0][0] > 0.1
    assert len(drawn.trials.get_offsets()) == 10
    axes = drawn.line.axes
    labels = [text.get_text() for text in axes.get_legend().get_texts()]
    assert "one more trial, 95 %" in labels and "the fit, 95 %" in labels
    assert "°C" in axes.get_xlabel()
    drawn.line.figure.canvas.draw()


def test_residuals_are_those_of_the_rows(fitted) -> None:
    fit, log = fitted
    circles = curves.residuals(fit, log)
    assert list(circles.get_offsets()[:, 1]) == pytest.approx(
        [row.residual / row.sigma for row in fit.rows])
    sizes = circles.get_sizes()
    legend = circles.axes.get_legend()
    named = {float(text.get_text()): handle.get_sizes()[0]
             for text, handle in zip(legend.get_texts(), legend.legend_handles)}
    assert sorted(named) == [0.1, 0.3, 0.6] and legend.get_title().get_text() == "leverage"
    line = np.polynomial.Polynomial.fit(list(named), list(named.values()), 1)
    assert sizes == pytest.approx(line(np.array([row.leverage for row in fit.rows])))


def test_given_axes_are_drawn_on(fitted) -> None:
    figure, axes = pyplot.subplots(1, 3)
    curves.growth_curve(fitted[0].steel, "brown", "600 F", ax=axes[0])
    curves.arrhenius(*fitted, ax=axes[1])
    curves.residuals(*fitted, ax=axes[2])
    assert all(ax.has_data() for ax in axes) and len(pyplot.get_fignums()) == 1
    with pytest.raises(oxtint.OxtintValueError, match="unit"):
        curves.arrhenius(*fitted, unit="R")
