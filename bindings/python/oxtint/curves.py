# SPDX-License-Identifier: GPL-3.0-or-later
"""Curves: how a film grows in one dip, how the rate rises with temperature, what each trial pulls.

Needs matplotlib (``pip install 'oxtint[plot]'``), which is imported only when a curve is drawn.
"""
from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from . import _core
from .chart import in_unit
from .film import Film, default_film
from .fitting import Fit
from .heat import Lift, Part
from .steel import Steel, Wanted
from .tables import Columns
from .trials import TrialLog, log_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_PROBE_nm = 50.0  # any film


class GrowthArtists(NamedTuple):
    """What growth_curve() drew."""

    line: Any  #: thickness against time
    colours: Any  #: the colour of the film below the line
    window: Any  #: times of a lift that shows the target
    lift: Any  #: the moment of the lift


class ArrheniusArtists(NamedTuple):
    """What arrhenius() drew."""

    trials: Any  #: a point for each trial
    line: Any  #: the fit
    mean: Any  #: where the rate lies, by the fit alone
    next_dip: Any  #: where one more trial falls, its scatter too


def _axes(ax: Axes | None, size: tuple[float, float]) -> Axes:
    from matplotlib import pyplot

    return pyplot.subplots(figsize=size, layout="constrained")[1] if ax is None else ax


def _grown(steel: Steel, part: Part | None, bath: float, times: Any) -> Any:
    if part is None:
        return np.asarray(steel.thickness(bath, times)) ** 2
    return np.array([part.exposure(steel, bath, float(t)) for t in times])


def growth_curve(
    steel: Steel,
    target: Wanted,
    bath: float | str,
    *,
    part: Part | None = None,
    lift: Lift | None = None,
    film: Film | None = None,
    ax: Axes | None = None,
) -> GrowthArtists:
    """Draw the film of one dip: thickness against time with the colour below it, the window in which
    a lift shows the target, the lift, and the growth between it and the quench.

    Args:
        steel, target, bath, part, lift, film: as in Steel.dip()
        ax: axes to draw on; new ones when None
    """
    film = film or default_film()
    bath_K = _core.kelvin(bath)
    dip = steel.dip(target, bath, part=part, lift=lift, film=film)
    ax = _axes(ax, (8.0, 4.5))
    end = 1.15 * dip.latest_s
    times = np.linspace(0.0, end, 241)
    thickness = np.sqrt(_grown(steel, part, bath_K, times))
    (line,) = ax.plot(times, thickness, color="black", linewidth=1.5)
    top = 1.1 * float(thickness[-1])
    rows = np.linspace(0.0, top, 256)
    ramp = film.path_srgb(np.minimum(rows, 400.0))[:, np.newaxis]
    colours = ax.imshow(ramp, extent=(0.0, end, 0.0, top), origin="lower", aspect="auto",
                        interpolation="bilinear")
    below = ax.fill_between(times, thickness, top, color="white", linewidth=0.0)
    below.set_zorder(1.0)
    window = ax.axvspan(dip.earliest_s, dip.latest_s, color="black", alpha=0.12)
    mark = ax.axvline(dip.time_s, color="black", linestyle="--")
    if lift is not None:
        at_lift = dip.target.aim_nm - dip.lift_growth_nm
        ax.annotate("", (dip.time_s, dip.target.aim_nm), (dip.time_s, at_lift),
                    arrowprops={"arrowstyle": "->"})
    ax.set_xlim(0.0, end)
    ax.set_ylim(0.0, top)
    ax.set_xlabel("time in the bath (s)")
    ax.set_ylabel("film (nm)")
    ax.set_title(f"{dip.target.text}: lift after {dip.time_s:.0f} s")
    return GrowthArtists(line, colours, window, mark)


def _rates(times: list[tuple[float, float]]) -> tuple[Any, Any]:
    return _PROBE_nm ** 2 / np.array([high for _, high in times]), _PROBE_nm ** 2 / np.array(
        [low for low, _ in times])


def arrhenius(fit: Fit, log: TrialLog | Columns, *, unit: str = "F",
              ax: Axes | None = None) -> ArrheniusArtists:
    """Draw the rate against temperature: a point for each trial, the fit, and two bands, named.

    Args:
        fit: the fit
        log: the log or table that it was made from
        unit: scale of the temperature axis, "F", "C" or "K"
        ax: axes to draw on; new ones when None
    """
    _core.unit_number(unit)
    log = log_of(log)
    ax = _axes(ax, (7.0, 5.0))
    used = [row for row in fit.rows if row.used]
    bath = np.array([log[row.trial].bath_K for row in used])
    rate = np.array([row.observed_nm ** 2 / row.worth_s for row in used])
    grid = np.linspace(bath.min() - 5.0, bath.max() + 5.0, 101)
    # what a dip for any one film tells of the rate, for k = thickness^2 / time
    dips = [fit.steel.dip(_PROBE_nm, float(T)) for T in grid]
    across, confidence = in_unit(grid, unit), 100.0 * dips[0].confidence
    next_dip = ax.fill_between(across, *_rates([dip.next_interval_s for dip in dips]), color="0.88",
                               label=f"one more trial, {confidence:g} %")
    band = ax.fill_between(across, *_rates([dip.interval_s for dip in dips]), color="0.7",
                           label=f"the fit, {confidence:g} %")
    (line,) = ax.plot(across, _PROBE_nm ** 2 / np.array([dip.time_s for dip in dips]),
                      color="black", label=f"Q = {fit.Q / 1e3:.0f} kJ/mol")
    points = ax.scatter(in_unit(bath, unit), rate, c="white", edgecolors="black", zorder=3,
                        label="trials")
    ax.set_xscale("function", functions=(lambda x: -1.0 / _kelvin(x, unit),
                                         lambda y: in_unit(-1.0 / np.asarray(y), unit)))
    ax.set_yscale("log")
    ax.set_xlim(across[0], across[-1])
    ax.set_xlabel(f"bath temperature ({unit if unit == 'K' else '°' + unit}), evenly in 1/T")
    ax.set_ylabel("growth rate k (nm²/s)")
    ax.legend()
    return ArrheniusArtists(points, line, band, next_dip)


def _kelvin(value: Any, unit: str) -> Any:
    """The inverse of in_unit()."""
    zero, one = float(in_unit(0.0, unit)), float(in_unit(1.0, unit))
    return (np.asarray(value) - zero) / (one - zero)


def residuals(fit: Fit, log: TrialLog | Columns, *, ax: Axes | None = None) -> Any:
    """Draw what is left of each trial in the order of the log, in its own errors; the larger the
    circle the more the trial pulls, the paler the less it was trusted. Returns the circles.

    Args:
        fit: the fit
        log: the log or table that it was made from
        ax: axes to draw on; new ones when None
    """
    log = log_of(log)
    ax = _axes(ax, (8.0, 3.5))
    used = [row for row in fit.rows if row.used]
    number = [row.line or row.trial + 1 for row in used]
    off = [row.residual / row.sigma for row in used]
    ax.axhspan(-2.0, 2.0, color="0.92", zorder=0)
    ax.axhline(0.0, color="0.5", linewidth=0.8)
    circles = ax.scatter(number, off, s=[30.0 + 300.0 * row.leverage for row in used],
                         c=[[0.2, 0.2, 0.2, 0.25 + 0.75 * row.weight] for row in used],
                         edgecolors="black")
    for row, x, y in zip(used, number, off):
        if abs(y) > 2.0:
            ax.annotate(log[row.trial].colour or f"{row.observed_nm:.0f} nm", (x, y),
                        textcoords="offset points", xytext=(6, 4), fontsize=8)
    ax.set_xlabel("line of the log" if used and used[0].line else "trial")
    ax.set_ylabel("residual over its error")
    return circles


__all__ = ["ArrheniusArtists", "GrowthArtists", "arrhenius", "growth_curve", "residuals"]
