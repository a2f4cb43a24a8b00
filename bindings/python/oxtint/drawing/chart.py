# SPDX-License-Identifier: GPL-3.0-or-later
"""Pictures: the colour chart of a steel, the run of colours of a film, its spectra.

Needs matplotlib (``pip install matplotlib``), which is imported only when a chart is drawn.
"""
from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from .. import _core
from ..error import OxtintValueError
from .common import (
    SCREEN_NOTE,
    bath_label,
    cased,
    clock_ticks,
    in_unit,
    ink_on,
    light_grid,
    name_edge,
    new_axes,
    outline_covered,
    place_labels,
    scale,
    set_apart,
    set_caption,
    set_title,
)
from ..chart import Chart, ChartMark, chart_data
from ..conditions import film_of
from ..film import Film
from ..dip import Dip
from ..steel import Steel
from ..trials import Logged
from ..units import format_duration, format_temperature

if TYPE_CHECKING:
    from matplotlib.axes import Axes


class DipArtists(NamedTuple):
    """How colour_chart() marks a dip."""

    window: Any  #: from the earliest lift to the latest
    aim: Any  #: when to lift
    label: Any  #: the two in words


class ChartArtists(NamedTuple):
    """What colour_chart() drew."""

    image: Any  #: the colours
    bands: Any  #: the lines between trade names
    trials: Any  #: the marks of the trials, None without any
    otherwise: list[Any]  #: names beside the trials that were seen as another colour than the chart's
    dip: DipArtists | None  #: the mark of the dip, None without one
    covered: Any  #: round what the trials cover, None without any

    @property
    def figure(self) -> Any:
        """The figure that holds it, to save."""
        return self.image.figure


def name_bands(ax: Axes, steel: Steel, chart: Chart, title: str) -> list[Any]:
    """Each trade name that the chart shows, in a column on the right, beside where its band leaves it; with
    an arrow where that is below. And the title: it takes room above the names, and they beside it."""
    set_title(ax, steel.text, title)
    named = name_edge(ax, [(band.label, band.label_s, not band.leaves_below) for band in chart.bands])
    set_title(ax, steel.text, title)
    return named


def frame(ax: Axes, steel: Steel, chart: Chart, unit: str) -> Any:
    """The axes of a chart, and round what the trials cover a line, which is returned; None without any."""
    ax.set_yscale("log")
    ax.set_xlim(*map(float, in_unit(chart.bath_range_K, unit)))
    ax.set_ylim(*chart.time_range_s)
    clock_ticks(ax.yaxis, chart.ticks_s)
    light_grid(ax, "white")
    ax.set_xlabel(bath_label(unit))
    ax.set_ylabel(chart.time_label)
    return outline_covered(ax, steel, unit)


def _mark_trials(ax: Axes, marks: Sequence[ChartMark], unit: str) -> Any:
    return ax.scatter([in_unit(mark.bath_K, unit) for mark in marks], [mark.equivalent_s for mark in marks],
                      c=[mark.srgb for mark in marks], s=60, edgecolors="white", linewidths=1.5, zorder=3,
                      path_effects=cased("white", 4.0))


def _name_otherwise(ax: Axes, marks: Sequence[ChartMark], unit: str, places: Any) -> list[Any]:
    """The colour in words where it is not that of the chart: what a print in grey would lose. Coupons in
    one place have their names, each once, in one label."""
    named: dict[tuple[float, float], list[str]] = {}
    drawn: dict[tuple[float, float], Any] = {}
    for mark, place in zip(marks, places):
        if mark.label:
            named.setdefault((mark.bath_K, mark.equivalent_s), []).append(mark.label)
            drawn[mark.bath_K, mark.equivalent_s] = place
    names = []
    for (bath_K, time_s), labels in named.items():
        names.append(ax.annotate(
            (f"{len(labels)} coupons: " if len(labels) > 1 else "") + ", ".join(dict.fromkeys(labels)),
            (float(in_unit(bath_K, unit)), time_s) if len(labels) > 1 else tuple(drawn[bath_K, time_s]),
            (9.0, 0.0), textcoords="offset points",
            fontsize=7, zorder=4.5, bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
            arrowprops={"arrowstyle": "-", "color": "white", "linewidth": 1.0, "shrinkA": 0.0,
                        "shrinkB": 6.0}))
    return names


def _mark_dip(ax: Axes, dip: Dip, window_s: tuple[float, float, float], unit: str) -> DipArtists:
    earliest_s, aim_s, latest_s = window_s
    across = float(in_unit(dip.bath_K, unit))
    (window,) = ax.plot([across, across], [earliest_s, latest_s], color="black", linewidth=2.0,
                        marker="_", markersize=14.0, markeredgewidth=2.0, zorder=4,
                        path_effects=cased(width=5.0))
    (aim,) = ax.plot([across], [aim_s], color="black", marker="D", markersize=7.0, zorder=5,
                     markeredgecolor="white", linestyle="none")
    first, lift, last = map(format_duration, (dip.earliest_s, dip.time_s, dip.latest_s))
    label = ax.annotate(
        f"{dip.target.text} at {format_temperature(dip.bath_K, unit)}\nlift after {lift}\n"
        f"shows {first} to {last}", (across, aim_s), (14.0, 0.0),
        textcoords="offset points", fontsize=8, zorder=5,
        bbox={"facecolor": "white", "edgecolor": "black", "boxstyle": "round"},
        arrowprops={"arrowstyle": "-", "linewidth": 0.8, "shrinkA": 0.0, "shrinkB": 4.0})
    return DipArtists(window, aim, label)


def _paint(ax: Axes, film: Film, across: Any, time_s: Any, thickness: Any) -> Any:
    """The colour of each film, without steps: it changes evenly from point to point."""
    from matplotlib.colors import ListedColormap, Normalize

    top = min(float(thickness.max()), 1000.0)
    colours = ListedColormap(film.srgb(np.linspace(0.0, top, 2048)))
    return ax.pcolormesh(across, time_s, np.minimum(thickness, top), cmap=colours, norm=Normalize(0.0, top),
                         shading="gouraud", rasterized=True)


def colour_chart(
    steel: Steel,
    trials: Logged = (),
    *,
    dip: Dip | None = None,
    film: Film | None = None,
    bath_range: tuple[float | str, float | str] | None = None,
    time_range: tuple[float | str, float | str] | None = None,
    unit: str = "F",
    ax: Axes | None = None,
) -> ChartArtists:
    """Draw the colours that a steel takes, and on them the trials and a dip.

    Trials and dip stand at their equivalent times at bath temperature (Steel.equivalent_time()), so that
    each lies on the colour that the steel has by then; the label of the dip has its own times. Coupons that
    would cover one another or the dip stand beside it, each with a line to its place. Below the chart are
    the lead words of the cautions, of the dip or else of the steel's baths.

    Args:
        steel: the steel
        trials: a log, trials or a table of them, to mark in the colour that was seen, named where the
            chart has another; those of other steels or finishes are left out
        dip: a dip of this steel to mark with its window, from Steel.dip() without coupon or initial
        film: film that colours are computed with; as in Steel.dip()
        bath_range: coldest and hottest bath, K or texts; that of trials and dip and 15 K more when None
        time_range: shortest and longest time, s or texts; that of trials and dip when None
        unit: scale of the temperature axis, "F", "C" or "K"
        ax: axes to draw on; new ones when None
    """
    unit = scale(unit)
    film = film_of(film, steel)
    data = chart_data(steel, trials, dip=dip, film=film, bath_range=bath_range, time_range=time_range)
    ax = new_axes(ax, (8.0, 5.5))

    bath_K, time_s = np.linspace(*data.bath_range_K, 241), np.geomspace(*data.time_range_s, 241)
    thickness = np.asarray(steel.thickness(bath_K[np.newaxis, :], time_s[:, np.newaxis]))
    across = in_unit(bath_K, unit)
    image = _paint(ax, film, across, time_s, thickness)
    edges = [tint.high_nm for tint in film.tints()]
    bands = ax.contour(across, time_s, thickness, levels=edges, colors="white", linewidths=0.5,
                       alpha=0.5)
    covered = frame(ax, steel, data, unit)
    points = _mark_trials(ax, data.marks, unit) if data.marks else None
    marked = _mark_dip(ax, dip, data.window_s, unit) if dip is not None and data.window_s is not None else None
    set_caption(ax, ("Dashed: what the trials cover. " if covered is not None else "") + SCREEN_NOTE, data.cautions)
    name_bands(ax, steel, data, "colour of the film" + (
        "; circles: coupons as seen" if data.marks else "; no coupon of it in the log" if trials else ""))
    window: list[tuple[float, float]] = []
    if marked is not None and data.window_s is not None:
        first, aim, last = data.window_s
        window = [(marked.aim.get_xdata()[0], time) for time in (*np.geomspace(first, last, 9), aim)]
    places = list(window)
    otherwise = []
    if points is not None:
        set_apart(ax, points, window)
        drawn = np.asarray(points.get_offsets()).tolist()
        otherwise = _name_otherwise(ax, data.marks, unit, drawn)
        places += drawn
    place_labels(ax, [*([marked.label] if marked is not None else []), *otherwise], places)
    return ChartArtists(image, bands, points, otherwise, marked, covered)


def colour_strip(
    film: Film | None = None, *, thickness_nm: tuple[float, float] = (0.0, 250.0),
    ax: Axes | None = None,
) -> Any:
    """Draw the run of colours against thickness, with the trade names; returns the image.

    Args:
        film: the film; the one as tabulated when None
        thickness_nm: nm, from and to, 0 to 400
        ax: axes to draw on; new ones when None
    """
    film = film_of(film)
    low, high = thickness_nm
    if not 0.0 <= low < high <= 400.0:
        raise OxtintValueError(
            f"thickness_nm is {thickness_nm}, expected from low to high within 0 to 400")
    ax = new_axes(ax, (9.0, 2.4))
    grid = np.linspace(low, high, 1001)
    image = ax.imshow(film.path_srgb(grid)[np.newaxis], extent=(low, high, 0.0, 1.0), aspect="auto",
                      interpolation="nearest")
    for tint in film.tints():
        left, right = max(tint.low_nm, low), min(tint.high_nm, high)
        if right <= left:
            continue
        ax.axvline(left, color="white", linewidth=0.5)
        ink = ink_on(film.path_lab(0.5 * (left + right)))
        ax.annotate(tint.label, (0.5 * (left + right), 0.5), rotation=90, ha="center", va="center",
                    fontsize=8, color=ink, path_effects=cased(ink, 1.5))
    ax.set_yticks([])
    ax.set_xlabel("thickness (nm)")
    return image


def spectrum(
    thickness_nm: float | str | Iterable[float | str], film: Film | None = None, *, ax: Axes | None = None
) -> list[Any]:
    """Draw reflectance against wavelength, a line in its own colour for each thickness.

    Args:
        thickness_nm: nm, 0 to 1000, or a text such as "57 nm"; where there are several, a line each
        film: the film; the one as tabulated when None
        ax: axes to draw on; new ones when None
    """
    film = film_of(film)
    several = not isinstance(thickness_nm, str) and isinstance(thickness_nm, Iterable)
    films: Iterable[Any] = thickness_nm if several else [thickness_nm]  # type: ignore[assignment]
    ax = new_axes(ax, (7.0, 4.5))
    lines = []
    for thickness in (_core.nanometres(one) for one in films):
        lines += ax.plot(*film.reflectance(thickness), color=film.srgb(thickness),
                         label=f"{thickness:g} nm")
    ax.set_xlim(380.0, 780.0)
    ax.set_ylim(0.0, 1.0)
    ax.set_xlabel("wavelength (nm)")
    ax.set_ylabel("reflectance")
    ax.legend()
    return lines


__all__ = ["ChartArtists", "DipArtists", "colour_chart", "colour_strip", "spectrum"]
