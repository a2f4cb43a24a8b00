# SPDX-License-Identifier: GPL-3.0-or-later
"""Pictures: the colour chart of a steel, the run of colours of a film, its spectra.

Needs matplotlib (``pip install 'oxtint[plot]'``), which is imported only when a chart is drawn.
"""
from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from . import _core, errors
from .film import Film, default_film
from .steel import Steel
from .tables import Columns, is_table
from .trials import Trial, log_of
from .units import format_duration

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_SCALES = {"K": (1.0, 0.0), "C": (1.0, -273.15), "F": (1.8, -459.67)}
_TIME_TICKS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14400)


class ChartArtists(NamedTuple):
    """What colour_chart() drew."""

    image: Any  #: the colours
    bands: Any  #: the lines between trade names
    trials: Any  #: the marks of the trials, None without any


def in_unit(temperature_K: Any, unit: str) -> Any:
    """Temperatures in a scale."""
    factor, offset = _SCALES[unit]
    return factor * np.asarray(temperature_K) + offset


def _colour_of(trial: Trial, film: Film) -> Any:
    """What was seen, as a colour to paint."""
    if trial.srgb is not None:
        return trial.srgb
    if trial.lab is not None:
        return film.srgb(film.target(trial.lab, tolerance=1e3).aim_nm)
    if trial.thickness_nm is not None:
        return film.srgb(trial.thickness_nm)
    return film.srgb(film.find_tint(trial.colour or "").centre_nm)


def _ranges(
    steel: Steel, trials: list[Trial], bath_range: tuple[Any, Any] | None,
    time_range: tuple[Any, Any] | None,
) -> tuple[tuple[float, float], tuple[float, float]]:
    if bath_range is None:
        low, high = steel.bath_range_K
        baths = (low - 15.0, high + 15.0)
    else:
        baths = (_core.kelvin(bath_range[0]), _core.kelvin(bath_range[1]))
    if time_range is None:
        seen = [trial.time_s for trial in trials] or [10.0, 600.0]
        times = (0.6 * min(seen), 1.7 * max(seen))
    else:
        times = (_core.seconds(time_range[0]), _core.seconds(time_range[1]))
    if not (0.0 < baths[0] < baths[1] and 0.0 < times[0] < times[1]):
        raise errors.OxtintValueError(
            f"ranges are {baths} K and {times} s, expected each from low to high, above 0")
    return baths, times


def _band_labels(ax: Axes, steel: Steel, film: Film, baths: Any, times: Any, unit: str) -> None:
    """Each trade name where its band leaves the chart: beside it on the right, else on the left."""
    for tint in film.tints()[1:]:
        left, right = np.asarray(steel.time_for(tint.centre_nm, np.array(baths)))
        light = film.lab(tint.centre_nm)[0] > 50.0
        if times[0] < right < times[1]:
            ax.annotate(tint.label, (1.01, right), xycoords=("axes fraction", "data"), va="center",
                        fontsize=8, annotation_clip=False)
        elif times[0] < left < times[1]:
            ax.annotate(tint.label, (0.01, left), xycoords=("axes fraction", "data"), va="center",
                        fontsize=8, color="black" if light else "white")


def colour_chart(
    steel: Steel,
    trials: Iterable[Trial] | Columns = (),
    *,
    film: Film | None = None,
    bath_range: tuple[float | str, float | str] | None = None,
    time_range: tuple[float | str, float | str] | None = None,
    unit: str = "F",
    ax: Axes | None = None,
) -> ChartArtists:
    """Draw the colours that a steel takes, and the trials on them.

    Args:
        steel: the steel
        trials: a log, trials or a table of them, to mark in the colour that was seen; those of other
            steels or finishes are left out
        film: film that colours are computed with; the one as tabulated when None
        bath_range: coldest and hottest bath, K or texts; the trials' range and 15 K more when None
        time_range: shortest and longest time, s or texts; that of the trials when None
        unit: scale of the temperature axis, "F", "C" or "K"
        ax: axes to draw on; new ones when None
    """
    from matplotlib import pyplot
    from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

    if unit not in _SCALES:
        raise errors.OxtintValueError(f"unit is {unit!r}, expected 'F', 'C' or 'K'")
    film = film or default_film()
    given: Any = log_of(trials) if is_table(trials) else trials
    marks = [trial for trial in given
             if trial.steel == steel.name and steel.finish in ("", trial.finish)]
    baths, times = _ranges(steel, marks, bath_range, time_range)
    if ax is None:
        _, ax = pyplot.subplots(figsize=(8.0, 5.5), layout="constrained")

    bath_K = np.linspace(*baths, 241)
    time_s = np.geomspace(*times, 241)
    thickness = steel.thickness(bath_K[np.newaxis, :], time_s[:, np.newaxis])
    colours = film.srgb(np.minimum(thickness, 1000.0))
    across = in_unit(bath_K, unit)
    image = ax.pcolormesh(across, time_s, colours, shading="nearest",
                          rasterized=True)
    edges = [tint.high_nm for tint in film.tints()]
    bands = ax.contour(across, time_s, thickness, levels=edges, colors="white", linewidths=0.5,
                       alpha=0.5)
    _band_labels(ax, steel, film, baths, times, unit)
    points = None
    if marks:
        points = ax.scatter([in_unit(trial.bath_K, unit) for trial in marks],
                            [trial.time_s for trial in marks],
                            c=[_colour_of(trial, film) for trial in marks], s=60,
                            edgecolors="white", linewidths=1.5, zorder=3)

    ax.set_yscale("log")
    ax.set_xlim(across[0], across[-1])
    ax.set_ylim(*times)
    ax.yaxis.set_major_locator(FixedLocator([t for t in _TIME_TICKS if times[0] <= t <= times[1]]))
    ax.yaxis.set_minor_locator(NullLocator())
    ax.yaxis.set_major_formatter(FuncFormatter(lambda t, _: format_duration(float(t))))
    ax.set_xlabel(f"bath temperature ({unit if unit == 'K' else '°' + unit})")
    ax.set_ylabel("time at temperature")
    finish = f", {steel.finish}" if steel.finish else ""
    ax.set_title(f"{steel.name}{finish}: colour of the film"
                 + ("; circles: coupons as seen" if marks else ""))
    return ChartArtists(image, bands, points)


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
    from matplotlib import pyplot

    film = film or default_film()
    low, high = thickness_nm
    if not 0.0 <= low < high <= 400.0:
        raise errors.OxtintValueError(
            f"thickness_nm is {thickness_nm}, expected from low to high within 0 to 400")
    if ax is None:
        _, ax = pyplot.subplots(figsize=(9.0, 2.4), layout="constrained")
    grid = np.linspace(low, high, 1001)
    image = ax.imshow(film.path_srgb(grid)[np.newaxis], extent=(low, high, 0.0, 1.0), aspect="auto",
                      interpolation="nearest")
    for tint in film.tints():
        left, right = max(tint.low_nm, low), min(tint.high_nm, high)
        if right <= left:
            continue
        ax.axvline(left, color="white", linewidth=0.5)
        light = film.path_lab(0.5 * (left + right))[0] > 50.0
        ax.annotate(tint.label, (0.5 * (left + right), 0.5), rotation=90, ha="center", va="center",
                    fontsize=8, color="black" if light else "white")
    ax.set_yticks([])
    ax.set_xlabel("thickness (nm)")
    return image


def spectrum(
    thickness_nm: Iterable[float], film: Film | None = None, *, ax: Axes | None = None
) -> list[Any]:
    """Draw reflectance against wavelength, a line in its own colour for each thickness.

    Args:
        thickness_nm: nm, 0 to 1000, one line each
        film: the film; the one as tabulated when None
        ax: axes to draw on; new ones when None
    """
    from matplotlib import pyplot

    film = film or default_film()
    if ax is None:
        _, ax = pyplot.subplots(figsize=(7.0, 4.5), layout="constrained")
    lines = []
    for thickness in thickness_nm:
        lines += ax.plot(*film.reflectance(thickness), color=film.srgb(thickness),
                         label=f"{thickness:g} nm")
    ax.set_xlim(380.0, 780.0)
    ax.set_ylim(0.0, 1.0)
    ax.set_xlabel("wavelength (nm)")
    ax.set_ylabel("reflectance")
    ax.legend()
    return lines


__all__ = ["ChartArtists", "colour_chart", "colour_strip", "spectrum"]
