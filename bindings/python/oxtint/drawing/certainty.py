# SPDX-License-Identifier: GPL-3.0-or-later
"""Pictures of how sure a time is: its spread by the bootstrap, and what one more coupon would add.

Needs matplotlib (``pip install matplotlib``), which is imported only when a picture is drawn.
"""
from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

import numpy as np

from .. import _core
from .._core import Array
from ..advise import Advice
from .chart import frame, name_bands
from ..chart import chart_data, chart_map, chart_spread
from ..conditions import film_of
from .common import (
    cased,
    clock_axis,
    in_unit,
    keep_inside,
    light_grid,
    new_axes,
    place_labels,
    scale,
    set_apart,
    set_caption,
    set_title,
)
from ..film import Film
from ..tint import Wanted
from ..fit import Fit
from ..heat import LiftLike, PartLike
from ..dip import Dip
from ..steel import Steel
from ..trials import Logged
from ..units import format_duration, format_temperature

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_COLUMNS = 36  # baths of a map
_ROW_LN_TIME = 0.105  # least height of its rows; advice tries films a little closer than that
_PLAIN = {"facecolor": "white", "edgecolor": "none", "pad": 1.0}


class SpreadArtists(NamedTuple):
    """What time_spread() drew."""

    histogram: Any  #: lifts by the replicates of the bootstrap
    window: Any  #: lifts that show the target
    aim: Any  #: the lift by the fit
    mean: Any  #: interval of the mean, by Student's t
    replicates: Any  #: interval of the mean, by the bootstrap
    next_dip: Any  #: interval of the next dip

    @property
    def figure(self) -> Any:
        """The figure that holds it, to save."""
        return self.aim.figure


class MapArtists(NamedTuple):
    """What coupon_map() drew."""

    cells: Any  #: what is left of the interval, as greys
    hatched: Any  #: where a coupon gives no information
    coupons: Any  #: marks of the advised coupons, in the order of their numbers
    trials: Any  #: marks of the trials, None without any
    advice: Advice  #: the advice that is numbered
    ratios: Any  #: what is left of the interval by the best coupon of each cell, masked where it gives no information
    bath_edges_K: Array  #: K, between the columns of ratios
    time_edges_s: Array  #: s, between its rows

    @property
    def figure(self) -> Any:
        """The figure that holds it, to save."""
        return self.cells.figure


def _bar(ax: Axes, place: float, ends: tuple[float, float], name: str, style: str,
         high: float) -> tuple[Any, Any]:
    """One interval below the histogram, and its name and its ends in words; it leaves the picture where it
    ends beyond `high`."""
    (line,) = ax.plot((ends[0], min(ends[1], 2.0 * high)), (place, place), color="black", linestyle=style,
                      linewidth=1.5, marker="|", markersize=8.0)
    first, last = map(format_duration, ends)
    return line, ax.annotate(f"{name}: {first} to {last}", (0.5 * (ends[0] + min(ends[1], high)), place),
                             (0.0, 4.0), textcoords="offset points", ha="center", fontsize=8, bbox=_PLAIN)


def _shade_window(ax: Axes, dip: Dip) -> tuple[Any, Any]:
    window = ax.axvspan(dip.earliest_s, dip.latest_s, facecolor="0.9", edgecolor="0.5", zorder=0.0)
    label = ax.annotate(f"{dip.target.text} shows, {format_duration(dip.earliest_s)} to "
                        f"{format_duration(dip.latest_s)}", (0.5 * (dip.earliest_s + dip.latest_s), 0.98),
                        (0.0, 0.0), xycoords=("data", "axes fraction"), textcoords="offset points",
                        ha="center", va="top", fontsize=8, bbox=_PLAIN)
    return window, label


def time_spread(
    fit: Fit,
    target: Wanted,
    bath: float | str,
    *,
    part: PartLike | None = None,
    lift: LiftLike | None = None,
    film: Film | None = None,
    confidence: float = 0.95,
    replicates: int = 2000,
    kind: Literal["pairs", "residual"] = "pairs",
    random_seed: int = 1,
    unit: str | None = None,
    ax: Axes | None = None,
) -> SpreadArtists:
    """Draw how far the time of a dip may be off: the lift by each fit of a bootstrap, the interval of the
    mean by Student's t and by the bootstrap, that of the next dip, and the window to be hit.

    Args:
        fit: the fit
        target, bath, part, lift, film, confidence: as in Steel.dip()
        replicates, kind, random_seed: as in Fit.bootstrap()
        unit: scale of the bath in the title, "F", "C" or "K"; that of `bath` when None
        ax: axes to draw on; new ones when None
    """
    unit = scale(_core.unit_or(unit, _core.unit_of(bath)))
    choices: dict[str, Any] = {"part": part, "lift": lift, "film": film, "confidence": confidence}
    dip = fit.steel.dip(target, bath, **choices)
    lifts_s = chart_spread(fit.steel, fit.bootstrap(replicates, kind=kind, random_seed=random_seed), target, bath,
                           part=part, lift=lift, film=film)
    lifts_s = lifts_s[~np.isnan(lifts_s)]
    tail = 0.5 * (1.0 - confidence)
    drawn = tuple(map(float, np.quantile(lifts_s, (tail, 1.0 - tail))))
    ends = (dip.earliest_s, dip.latest_s, *dip.interval_s, *dip.next_interval_s, *drawn)
    # The upper limit of few coupons may have no end: what is to be compared stays in sight.
    low, high = min(ends) / 1.05, min(max(ends) * 1.05, 4.0 * max(dip.latest_s, drawn[1]))

    ax = new_axes(ax, (8.0, 4.5))
    counts, _, histogram = ax.hist(lifts_s, bins=np.linspace(low, high, 61).tolist(), color="0.6",
                                   edgecolor="0.3", linewidth=0.5)
    most = float(np.max(counts))
    window, shows = _shade_window(ax, dip)
    aim = ax.axvline(dip.time_s, color="black", linestyle="--", linewidth=1.0)
    share = f"{100.0 * confidence:g} %"
    bars = [_bar(ax, -0.16 * row * most, *bar, high) for row, bar in enumerate((
        (dip.interval_s, f"{share} of the mean, Student's t", "-"),
        ((drawn[0], drawn[1]), f"{share} of the mean, bootstrap", "--"),
        (dip.next_interval_s, f"{share} of the next dip", "-.")), 1)]
    lines, names = zip(*bars)
    ax.set_xlim(low, high)
    ax.set_ylim(-0.55 * most, 1.2 * most)
    ax.set_yticks([tick for tick in ax.get_yticks() if 0.0 <= tick <= most])
    clock_axis(ax.xaxis, low, high)
    light_grid(ax)
    ax.set_xlabel("lift after")
    ax.set_ylabel(f"replicates, {int(np.sum(counts))} of {replicates}")
    set_caption(ax, "", dip.cautions)
    set_title(ax, fit.steel.text, f"{dip.target.text} at {format_temperature(dip.bath_K, unit)}: lift after "
              f"{format_duration(dip.time_s)}")
    keep_inside(ax, [shows, *names])
    return SpreadArtists(histogram, window, aim, *lines)


def _rows_s(shortest: float, longest: float) -> Array:
    """Edges of the rows, in whole seconds as the times of the advice are."""
    count = max(int(math.log(longest / shortest) / _ROW_LN_TIME), 1)
    edges = np.round(np.geomspace(shortest, longest, count + 1))
    edges[0], edges[-1] = shortest, longest
    return np.unique(edges)


def _number_coupons(ax: Axes, steel: Steel, advice: Advice, unit: str) -> tuple[Any, list[Any]]:
    """The marks of the advised coupons, and their numbers."""
    times_s = [float(steel.time_for(coupon.thickness_nm, coupon.bath_K)) for coupon in advice.coupons]
    places = [(float(in_unit(coupon.bath_K, unit)), time_s) for coupon, time_s in zip(advice.coupons, times_s)]
    labels = [ax.annotate(f"{number}", place, (9.0, 0.0), textcoords="offset points", fontsize=9,
                          fontweight="bold", zorder=6, path_effects=cased())
              for number, place in enumerate(places, 1)]
    across, up = zip(*places)
    marks = ax.scatter(across, up, s=60.0, color="white",
                       edgecolors="black", linewidths=1.5, zorder=5, path_effects=cased(width=4.0),
                       label="advised, the best first")
    return marks, labels


def _softened(masked: Array) -> Array:
    """0 to 1 where cells are masked, each weighed with its neighbours: no speck of one cell, no stairs at 0.5."""
    found = masked.astype(float)
    for _ in range(2):
        around = np.pad(found, 1, mode="edge")
        rows = (around[:-2] + 2.0 * around[1:-1] + around[2:]) / 4.0
        found = (rows[:, :-2] + 2.0 * rows[:, 1:-1] + rows[:, 2:]) / 4.0
    return found


def _smooth(ratios: Any, baths: Array, times: Array) -> tuple[Array, Array, Array, Array]:
    """Cells as points of an even picture that reaches the edges: baths, times, ratios, and above 0.5 where masked."""
    across = np.concatenate([baths[:1], 0.5 * (baths[1:] + baths[:-1]), baths[-1:]])
    up = np.concatenate([times[:1], np.sqrt(times[1:] * times[:-1]), times[-1:]])
    masked, filled, rows = np.ma.getmaskarray(ratios), np.ma.filled(ratios, 1.0), np.arange(len(ratios))
    for column in range(filled.shape[1]):  # under the hatching, the nearest that gives information
        there = ~masked[:, column]
        if there.any():
            filled[:, column] = np.interp(rows, rows[there], filled[there, column])
    return across, up, np.pad(filled, 1, mode="edge"), np.pad(_softened(masked), 1, mode="edge")


def coupon_map(
    steel: Steel,
    target: Wanted | None = None,
    bath: float | str | None = None,
    *,
    trials: Logged = (),
    low: float | str = "500 F",
    high: float | str = "700 F",
    shortest: float | str = 15.0,
    longest: float | str = 3600.0,
    count: int = 3,
    highest_order: int = 1,
    film: Film | None = None,
    unit: str = "F",
    ax: Axes | None = None,
) -> MapArtists:
    """Draw what one more coupon would leave of the interval of a dip, for every bath and time; the next
    coupons that help most, numbered; and the trials.

    A cell shows the best coupon within it. It is hatched where the colour would tell nothing. All
    coupons stand at their equivalent times at bath temperature (Steel.equivalent_time()); those that would
    cover one another stand side by side, each with a line to its place.

    Args:
        steel, target, bath, low, high, shortest, longest, count, highest_order, film: as in
            Steel.advise()
        trials: a log, trials or a table of them, to mark; those of other steels or finishes are left out
        unit: scale of the temperature axis, "F", "C" or "K"
        ax: axes to draw on; new ones when None
    """
    from matplotlib.patches import Patch

    unit, film = scale(unit), film_of(film, steel)
    baths = _core.kelvin(low, "low"), _core.kelvin(high, "high")
    times = _core.seconds(shortest, "shortest"), _core.seconds(longest, "longest")
    asked: dict[str, Any] = {"target": target, "highest_order": highest_order, "film": film,
                             "bath": 2.0 / (1.0 / baths[0] + 1.0 / baths[1]) if bath is None else bath}
    advice = steel.advise(low=low, high=high, shortest=shortest, longest=longest, count=count, **asked)
    columns_K, rows_s = np.linspace(*baths, _COLUMNS + 1), _rows_s(*times)
    left = np.ma.masked_invalid(chart_map(steel, 0.5 * (columns_K[1:] + columns_K[:-1]), rows_s, **asked))
    data = chart_data(steel, trials, film=film, bath_range=baths, time_range=times)

    ax = new_axes(ax, (8.5, 6.0))
    across, up, greys, nothing = _smooth(left, columns_K, rows_s)
    cells = ax.pcolormesh(in_unit(across, unit), up, greys, cmap="Greys_r", shading="gouraud",
                          rasterized=True)
    hatched = ax.contourf(in_unit(across, unit), up, nothing, levels=[0.5, 1.5], colors=["white"],
                          hatches=["///"], zorder=1.2)
    covered = frame(ax, steel, data, unit)
    points = None
    if data.marks:
        points = ax.scatter([in_unit(mark.bath_K, unit) for mark in data.marks],
                            [mark.equivalent_s for mark in data.marks], marker="x", s=50.0, color="black",
                            linewidths=2.0, zorder=4, path_effects=cased(width=4.5), label="in the log")
    coupons, numbers = _number_coupons(ax, steel, advice, unit)
    key = [Patch(facecolor="white", edgecolor="0.3", hatch="///", label="no information"), coupons]
    ax.legend(handles=[*key, *(one for one in (points, covered) if one is not None)], loc="upper left",
              bbox_to_anchor=(0.0, -0.1), ncols=4, frameon=False, fontsize=8, borderaxespad=0.0)
    ax.figure.colorbar(cells, ax=ax, label="interval of the dip after one more coupon, over the one now")
    wanted = film.target(target).text if target is not None else "any colour"
    set_caption(ax, "", steel.cautions, 60.0)
    name_bands(ax, steel, data, f"where one more coupon helps {wanted} at "
               f"{format_temperature(_core.kelvin(asked['bath']), unit)}")
    set_apart(ax, coupons)
    for label, place in zip(numbers, coupons.get_offsets()):
        label.xy = tuple(place)
    if points is not None:
        set_apart(ax, points, coupons.get_offsets())
    place_labels(ax, numbers, [*np.asarray(coupons.get_offsets()).tolist(),
                               *([] if points is None else np.asarray(points.get_offsets()).tolist())])
    return MapArtists(cells, hatched, coupons, points, advice, left, columns_K, rows_s)


__all__ = ["MapArtists", "SpreadArtists", "coupon_map", "time_spread"]
