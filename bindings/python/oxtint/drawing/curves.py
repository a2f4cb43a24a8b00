# SPDX-License-Identifier: GPL-3.0-or-later
"""Curves: how a film grows in one dip, how the rate rises with temperature, how much each trial counts.

Needs matplotlib (``pip install matplotlib``), which is imported only when a curve is drawn.
"""
from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from .. import _core
from .common import (
    SCREEN_NOTE,
    bath_label,
    cased,
    clock_axis,
    in_unit,
    keep_inside,
    light_grid,
    name_edge,
    new_axes,
    scale,
    set_caption,
    set_title,
    to_kelvin,
)
from ..conditions import film_of
from ..film import Film
from ..tint import Wanted
from ..fit import Fit
from ..heat import Lift, LiftLike, Part, PartLike
from ..dip import Dip
from ..steel import Steel
from ..trials import Logged, log_of
from ..units import format_duration, format_temperature

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_PROBE_nm = 50.0  # any film


class GrowthArtists(NamedTuple):
    """What growth_curve() drew."""

    line: Any  #: thickness against time
    colours: Any  #: the colour of the film below the line
    window: Any  #: times of a lift that shows the target
    lift: Any  #: the moment of the lift
    aim: Any  #: the film aimed for
    quench: Any  #: from the lift to the quench, None without a Lift
    bands: list[Any]  #: trade names on the right
    covered: Any  #: at the left edge, the films that the trials cover; None without any

    @property
    def figure(self) -> Any:
        """The figure that holds it, to save."""
        return self.line.figure


class ArrheniusArtists(NamedTuple):
    """What arrhenius() drew."""

    trials: Any  #: a point for each trial
    line: Any  #: the fit
    mean: Any  #: where the rate lies, by the fit alone
    next_dip: Any  #: where one more trial falls, its scatter too

    @property
    def figure(self) -> Any:
        """The figure that holds it, to save."""
        return self.line.figure


def _films(steel: Steel, part: Part | None, bath: float, times: Any) -> Any:
    if part is None:
        return np.asarray(steel.thickness(bath, times))
    grown = np.array([part.exposure(steel, bath, float(t)) for t in times])
    return np.asarray(steel.thickness(steel.T_ref_K, grown / steel.k_ref_nm2_per_s))


def _paint_below(ax: Axes, film: Film, times: Any, thickness: Any, top: float) -> Any:
    """The colour of each film, as far up as the curve."""
    ramp = film.path_srgb(np.minimum(np.linspace(0.0, top, 512), 400.0))[:, np.newaxis]
    colours = ax.imshow(ramp, zorder=0.2, extent=(0.0, float(times[-1]), 0.0, top), origin="lower", aspect="auto",
                        interpolation="bilinear")
    ax.fill_between(times, thickness, top, color="white", linewidth=0.0, zorder=0.3)
    return colours


def _name_bands(ax: Axes, film: Film, top: float) -> list[Any]:
    """Trade names in a column on the right, every band that is in view."""
    return name_edge(ax, [(tint.label, 0.5 * (tint.low_nm + min(tint.high_nm, top)), True)
                          for tint in film.tints() if tint.low_nm < 0.99 * top])


def _mark_window(ax: Axes, dip: Dip, times: Any, thickness: Any, top: float) -> Any:
    """The window of the lift: grey above the curve, so that the colours below it keep theirs."""
    within = np.concatenate([[dip.earliest_s], times[(times > dip.earliest_s) & (times < dip.latest_s)],
                             [dip.latest_s]])
    window = ax.fill_between(within, np.interp(within, times, thickness), top, color="0.9", linewidth=0.0,
                             zorder=0.4)
    ax.vlines([dip.earliest_s, dip.latest_s], 0.0, top, color="black", linewidth=0.8,
              path_effects=cased(width=2.0))
    return window


def _mark_quench(ax: Axes, dip: Dip, quench_s: float) -> Any:
    """What grows between the lift and the quench."""
    start_nm = dip.target.aim_nm - dip.lift_growth_nm
    (line,) = ax.plot([dip.time_s, quench_s], [start_nm, dip.target.aim_nm], color="black",
                      linewidth=2.0, marker="o", markevery=[1], markersize=6.0, zorder=4,
                      path_effects=cased(width=5.0))
    ax.annotate(f"quench after {format_duration(quench_s)}, +{dip.lift_growth_nm:.1f} nm",
                (0.01, dip.target.aim_nm), (0.0, -4.0), xycoords=("axes fraction", "data"),
                textcoords="offset points", va="top", fontsize=8, zorder=5)
    return line


def _mark_covered(ax: Axes, steel: Steel, top: float) -> Any:
    """A bar at the left edge as long as the films of the trials."""
    values = steel.to_dict()
    low, high = values["thickness_low_nm"], min(values["thickness_high_nm"], top)
    if not values["trial_count"] or low >= top:
        return None
    (bar,) = ax.plot([0.0, 0.0], [low, high], color="black", linewidth=4.0, solid_capstyle="butt",
                     clip_on=False, zorder=5)
    return bar


def _aim_in_words(film: Film, aim_nm: float) -> str:
    beyond = aim_nm >= film.tints()[-1].high_nm  # the second order: no names there
    return f"aim {aim_nm:.1f} nm" + ("" if beyond else f", {film.tint(aim_nm).label}")


def growth_curve(
    steel: Steel,
    target: Wanted,
    bath: float | str,
    *,
    part: PartLike | None = None,
    lift: LiftLike | None = None,
    film: Film | None = None,
    unit: str | None = None,
    ax: Axes | None = None,
) -> GrowthArtists:
    """Draw the film of one dip: thickness against time with the colour below it, the window in which
    a lift shows the target, the lift, and the growth between it and the quench.

    Args:
        steel, target, bath, part, lift, film: as in Steel.dip()
        unit: scale of the bath in the title, "F", "C" or "K"; that of `bath` when None
        ax: axes to draw on; new ones when None
    """
    film, bath_K = film_of(film, steel), _core.kelvin(bath)
    part = steel.coupon if part is None else Part._read(part, "part")
    lift = steel.coupon_lift if lift is None else Lift._read(lift, "lift")
    unit = scale(_core.unit_or(unit, _core.unit_of(bath)))
    dip = steel.dip(target, bath, part=part, lift=lift, film=film)
    ax = new_axes(ax, (8.0, 4.5))
    quench_s = dip.time_s + (lift.delay_s if lift is not None else 0.0)
    end = 1.15 * max(dip.latest_s, quench_s)
    times = np.linspace(0.0, end, 241)
    thickness = _films(steel, part, bath_K, times)
    (line,) = ax.plot(times, thickness, color="black", linewidth=1.5)
    top = 1.25 * float(thickness[-1])
    colours = _paint_below(ax, film, times, thickness, top)
    window = _mark_window(ax, dip, times, thickness, top)
    shows = ax.annotate(f"shows from {format_duration(dip.earliest_s)}\nto {format_duration(dip.latest_s)}",
                        (0.5 * (dip.earliest_s + dip.latest_s), 0.98), (0.0, 0.0),
                        xycoords=("data", "axes fraction"), textcoords="offset points", ha="center",
                        va="top", fontsize=8)
    until_nm = dip.target.aim_nm - dip.lift_growth_nm
    ax.vlines(dip.time_s, 0.0, until_nm, color="white", linewidth=3.0)
    (mark,) = ax.plot([dip.time_s, dip.time_s], [0.0, until_nm], color="black", linestyle="--")
    aim = ax.hlines(dip.target.aim_nm, 0.0, quench_s, color="black", linestyle="-.", linewidth=1.0)
    ax.annotate(_aim_in_words(film, dip.target.aim_nm), (0.01, dip.target.aim_nm), (0.0, 3.0),
                xycoords=("axes fraction", "data"), textcoords="offset points", fontsize=8)
    quench = _mark_quench(ax, dip, quench_s) if lift is not None else None
    ax.set_xlim(0.0, end)
    ax.set_ylim(0.0, top)
    clock_axis(ax.xaxis, 0.0, end)
    light_grid(ax)
    ax.set_xlabel("time in the bath")
    ax.set_ylabel("film (nm)")
    covered = _mark_covered(ax, steel, top)
    set_caption(ax, "Bar at the left edge: films that the trials cover. " * (covered is not None) + SCREEN_NOTE,
                dip.cautions)
    bands = _name_bands(ax, film, top)
    set_title(ax, "", f"{dip.target.text} at {format_temperature(bath_K, unit)}: lift after "
              f"{format_duration(dip.time_s)}")
    keep_inside(ax, [shows])
    return GrowthArtists(line, colours, window, mark, aim, quench, bands, covered)


def _rates(probe_nm: float, times: list[tuple[float, float]]) -> tuple[Any, Any]:
    return probe_nm ** 2 / np.array([high for _, high in times]), probe_nm ** 2 / np.array([low for low, _ in times])


def arrhenius(fit: Fit, log: Logged, *, unit: str = "F",
              ax: Axes | None = None) -> ArrheniusArtists:
    """Draw the rate against temperature: a point for each trial, the fit, and two bands, named.

    Args:
        fit: the fit
        log: the log or table that it was made from
        unit: scale of the temperature axis, "F", "C" or "K"
        ax: axes to draw on; new ones when None
    """
    from matplotlib.ticker import FuncFormatter

    unit, log = scale(unit), log_of(log)
    ax = new_axes(ax, (7.0, 5.0))
    used = [row for row in fit.rows if row.used]
    bath = np.array([log[row.trial].bath_K for row in used])
    steel = fit.steel
    probe_nm = steel.law_middle_nm or _PROBE_nm  # whose exposure is its square by every law
    seen = np.asarray(steel.time_for([row.observed_nm for row in used], steel.T_ref_K)) * steel.k_ref_nm2_per_s
    rate = seen / np.array([row.equivalent_s for row in used])
    grid = np.linspace(bath.min() - 5.0, bath.max() + 5.0, 101)
    # what a dip for one film shows of the rate, for k = exposure / time
    dips = [steel.dip(probe_nm, float(T), part=Part(0), lift=Lift(0)) for T in grid]
    across, confidence = in_unit(grid, unit), 100.0 * dips[0].confidence
    next_dip = ax.fill_between(across, *_rates(probe_nm, [dip.next_interval_s for dip in dips]), color="0.88",
                               label=f"one more trial, {confidence:g} %")
    band = ax.fill_between(across, *_rates(probe_nm, [dip.interval_s for dip in dips]), color="0.7",
                           label=f"the fit, {confidence:g} %")
    (line,) = ax.plot(across, probe_nm ** 2 / np.array([dip.time_s for dip in dips]),
                      color="black", label=f"Q = {fit.Q_J_per_mol / 1e3:.0f} kJ/mol")
    points = ax.scatter(in_unit(bath, unit), rate, c="white", edgecolors="black", zorder=3,
                        label="trials")
    ax.set_xscale("function", functions=(lambda x: -1.0 / to_kelvin(x, unit),
                                         lambda y: in_unit(-1.0 / np.asarray(y), unit)))
    ax.set_yscale("log")
    ax.set_xlim(across[0], across[-1])
    for ticks in (ax.yaxis.set_major_formatter, ax.yaxis.set_minor_formatter):
        ticks(FuncFormatter(lambda k, _: f"{k:g}" if f"{k:e}"[0] in "125" else ""))
    ax.set_xlabel(f"{bath_label(unit)}, evenly in 1/T")
    ax.set_ylabel("growth rate k (nm²/s)")
    ax.legend()
    return ArrheniusArtists(points, line, band, next_dip)


def _area(leverage: float) -> float:
    return 30.0 + 300.0 * leverage


def residuals(fit: Fit, log: Logged, *, ax: Axes | None = None) -> Any:
    """Draw what is left of each trial in the order of the log, in its own errors; the larger the
    circle the more influential the trial, the paler the lower its weight. Returns the circles.

    Args:
        fit: the fit
        log: the log or table that it was made from
        ax: axes to draw on; new ones when None
    """
    from matplotlib.ticker import MaxNLocator

    log = log_of(log)
    ax = new_axes(ax, (8.0, 3.5))
    used = [row for row in fit.rows if row.used]
    number = [row.line or row.trial + 1 for row in used]
    off = [row.residual / row.sigma for row in used]
    ax.axhspan(-2.0, 2.0, color="0.92", zorder=0)
    ax.axhline(0.0, color="0.5", linewidth=0.8)
    circles = ax.scatter(number, off, s=[_area(row.leverage) for row in used],
                         c=[[0.2, 0.2, 0.2, 0.25 + 0.75 * row.weight] for row in used],
                         edgecolors="black")
    for row, x, y in zip(used, number, off):
        if abs(y) > 2.0:
            ax.annotate(log[row.trial].colour or f"{row.observed_nm:.0f} nm", (x, y),
                        textcoords="offset points", xytext=(0.0, math.copysign(8.0, y)), fontsize=8,
                        ha="center", va="bottom" if y > 0.0 else "top")
    for leverage in (0.1, 0.3, 0.6):
        ax.scatter([], [], s=_area(leverage), color="0.2", edgecolors="black", label=f"{leverage:g}")
    ax.legend(title="leverage", loc="center left", bbox_to_anchor=(1.0, 0.5), frameon=False,
              labelspacing=1.2)
    ax.margins(y=0.15)  # room for the names
    ax.xaxis.set_major_locator(MaxNLocator(integer=True))
    ax.set_xlabel("line of the log" if used and used[0].line else "trial")
    ax.set_ylabel("residual over its error")
    return circles


__all__ = ["ArrheniusArtists", "GrowthArtists", "arrhenius", "growth_curve", "residuals"]
