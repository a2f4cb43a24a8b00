# SPDX-License-Identifier: GPL-3.0-or-later
"""What the pictures share: scales, inks that can be read, files written whole or not at all.

matplotlib is imported only when something is drawn.
"""
from __future__ import annotations

import io
import os
import pathlib
import textwrap
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from .. import _core
from .._core import Array
from .._oxtint import lib
from ..error import OxtintValueError
from ..caution import Caution
from ..chart import log_or_none
from ..steel import Steel
from ..trials import Logged, Trial
from ..units import format_duration

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SUFFIXES = (".png", ".svg", ".pdf")

_SCALES = {"K": (1.0, 0.0), "C": (1.0, -273.15), "F": (1.8, -459.67)}
_STEPS_s = (1, 2, 5, 10, 15, 20, 30, 45, 60, 90, 120, 180, 300, 450, 600, 900, 1200, 1800, 3600, 5400,
            7200, 14400, 28800, 86400)
_BESIDE = tuple((x * far, y * far) for far in (9.0, 20.0, 34.0, 50.0, 70.0, 95.0) for x, y in (
    (1.0, 0.0), (-1.0, 0.0), (0.8, 0.8), (-0.8, -0.8), (-0.8, 0.8), (0.8, -0.8), (0.0, 1.0), (0.0, -1.0)))
_MARK_px = 9.0  # half of a mark with its casing
_APART_pt = 12.0  # between the middles of two marks, each with its casing
_MOST_APART = 400  # marks; more of them are a cloud
_SIDEWAYS = tuple(0.5 * sign * step for step in range(1, 17) for sign in (1.0, -1.0))  # in _APART_pt

#: Why the colours of films look dull on a screen; docs/reference/pictures.md.
SCREEN_NOTE = ("On a screen, beside white paper, bare steel is a mid grey: straw looks greyer and purple darker "
               "than on a part, which the eye judges beside other steel.")


def new_axes(ax: Axes | None, size_in: tuple[float, float]) -> Axes:
    """The axes given, or new ones."""
    if ax is not None:
        return ax
    from matplotlib import pyplot

    return pyplot.subplots(figsize=size_in, layout="constrained")[1]


def scale(unit: str) -> str:
    """A unit of temperature as it is written: "F", "C" or "K"."""
    _core.unit_number(unit)
    return unit.upper()


def in_unit(temperature_K: Any, unit: str) -> Any:
    """Temperatures in a scale."""
    factor, offset = _SCALES[scale(unit)]
    return factor * np.asarray(temperature_K) + offset


def to_kelvin(value: Any, unit: str) -> Any:
    """The inverse of in_unit()."""
    factor, offset = _SCALES[scale(unit)]
    return (np.asarray(value) - offset) / factor


def bath_label(unit: str) -> str:
    """Label of an axis of bath temperatures."""
    unit = scale(unit)
    return f"bath temperature ({unit if unit == 'K' else '°' + unit})"


def clock_ticks(axis: Any, ticks_s: Iterable[float]) -> None:
    """Ticks of an axis of times, as read off a clock."""
    from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

    axis.set_major_locator(FixedLocator(list(ticks_s)))
    axis.set_minor_locator(NullLocator())
    axis.set_major_formatter(FuncFormatter(lambda time, _: format_duration(float(time)) if time else "0"))


def clock_axis(axis: Any, low_s: float, high_s: float) -> None:
    """The same, evenly, from one end to the other."""
    step = next((step for step in _STEPS_s if (high_s - low_s) / step <= 8.0), (high_s - low_s) / 8.0)
    clock_ticks(axis, (step * number for number in range(int(np.ceil(low_s / step)), int(high_s / step) + 1)))


def light_grid(ax: Axes, color: str = "0.85") -> None:
    """Thin lines at the ticks, behind what is drawn; white ones on colours."""
    ax.grid(True, color=color, linewidth=0.5, alpha=0.45 if color == "white" else 1.0)
    ax.set_axisbelow("line" if color == "white" else True)


def set_title(ax: Axes, name: str, text: str) -> None:
    """A name and what is drawn of it, set smaller and in several lines where they would be cut off."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    figure: Any = ax.figure
    figure.draw_without_rendering()
    box = ax.get_window_extent()
    middle = 0.5 * (box.x0 + box.x1)
    room = 2.0 * min(middle - figure.bbox.x0, figure.bbox.x1 - middle) * 72.0 / figure.dpi - 12.0

    def fitting(line: str) -> float:
        wide, _, _ = text_to_path.get_text_width_height_descent(line, FontProperties(size=100.0), False)
        return float(95.0 * room / max(wide, 1.0))

    lines = [f"{name}: {text}" if name else text]
    size = min(12.0, fitting(lines[0]))
    if size < 9.5:
        size = 9.0
        lines = [line for part in (name, text) if part for line in textwrap.wrap(
            part, max(int(len(part) * fitting(part) / size), 12))]
    ax.set_title("\n".join(lines), fontsize=min(size, *map(fitting, lines)), parse_math=False)


def set_caption(ax: Axes, text: str, cautions: Iterable[Caution] = (), down_pt: float = 36.0) -> None:
    """Small words below the axis, and below them the lead words of cautions."""
    figure: Any = ax.figure
    points = 72.0 * ax.get_position().width * float(figure.bbox_inches.width)
    letters = min(112, max(40, int(points / 3.8)))  # 7 points, of DejaVu Sans
    leads = ", ".join(caution.brief.split(":")[0] for caution in cautions)
    lines = [textwrap.fill(one, letters) for one in (text, f"Cautions: {leads}" if leads else "") if one]
    ax.annotate("\n".join(lines), (0.0, 0.0), (0.0, -down_pt), xycoords="axes fraction",
                textcoords="offset points", va="top", fontsize=7, annotation_clip=False)


def _spread_out(places: Array, gap: float, low: float, high: float) -> Array:
    """Rising places moved as little as can be so that none is nearer to the next than the gap, from low
    on, and up to high where there is room."""
    blocks: list[list[float]] = []  # of places less their number of gaps, which must not fall
    for number, place in enumerate(places.tolist()):
        blocks.append([place - number * gap])
        while len(blocks) > 1 and np.mean(blocks[-2]) > np.mean(blocks[-1]):
            last = blocks.pop()
            blocks[-1] += last
    level = np.concatenate([np.full(len(block), np.mean(block)) for block in blocks])
    steps = gap * np.arange(level.size)
    return np.asarray(np.maximum(np.minimum(level, high - steps[-1]), low) + steps)


def name_edge(ax: Axes, names: Sequence[tuple[str, float, bool]]) -> list[Any]:
    """Names in one column on the right, each with a line to its place on the edge (data); none on another.

    A name whose place is not there, but further on beyond the lower end, is drawn at that end with an arrow.
    """
    if not names:
        return []
    figure: Any = ax.figure
    low = ax.get_ylim()[0]
    made = [ax.annotate(label if there else f"{label} \u2199", (1.0, place if there else low), (9.0, 0.0),
                        xycoords=("axes fraction", "data"), textcoords="offset points", va="center",
                        fontsize=8, annotation_clip=False,
                        arrowprops={"arrowstyle": "-", "linewidth": 0.6, "shrinkA": 0.0, "shrinkB": 0.0,
                                    "relpos": (0.0, 0.5)}
                        if there else None)
            for label, place, there in names]
    figure.draw_without_rendering()
    points = 72.0 / figure.dpi
    ends = [points * ax.transData.transform((1.0, note.xy[1]))[1] for note in made]
    missing = sum(not there for _, _, there in names)
    ends[:missing] = [ends[0]] * missing
    bottom, top = (points * edge for edge in ax.get_window_extent().intervaly)
    for note, place in zip(made, _spread_out(np.array(ends), 10.5, bottom + 4.0, top - 2.0)):
        true = points * ax.transData.transform((1.0, note.xy[1]))[1]
        note.xyann = (9.0, float(place) - true)
    return made


def place_labels(ax: Axes, labels: Sequence[Any], marks: Any) -> None:
    """Move labels (annotations in points from their marks) off the marks (data) and off one another, and
    keep them within the axes; the nearest free place counts."""
    from matplotlib.text import Text
    from matplotlib.transforms import Bbox

    figure: Any = ax.figure
    figure.draw_without_rendering()
    frame = ax.get_window_extent()
    pixels = ax.transData.transform(np.reshape(marks, (-1, 2))) if len(marks) else np.empty((0, 2))
    taken = [Bbox.from_extents(x - _MARK_px, y - _MARK_px, x + _MARK_px, y + _MARK_px) for x, y in pixels]

    def hidden(box: Any) -> float:
        outside = max(frame.x0 - box.x0, box.x1 - frame.x1, frame.y0 - box.y0, box.y1 - frame.y1, 0.0)
        return 1e3 * float(outside) + sum(_shared(box, other) for other in taken)

    for label in labels:
        found = []
        for x, y in _BESIDE:
            label.xyann = (x, y)
            label.set_ha("left" if x > 1.0 else "right" if x < -1.0 else "center")
            label.set_va("bottom" if y > 1.0 else "top" if y < -1.0 else "center")
            pad = 4.0 if label.get_bbox_patch() is not None else 0.0
            box = Text.get_window_extent(label).padded(pad)
            found.append((hidden(box), (x, y), box))
            if not found[-1][0]:
                break
        _, (x, y), box = min(found, key=lambda one: one[0])
        label.xyann = (x, y)
        label.set_ha("left" if x > 1.0 else "right" if x < -1.0 else "center")
        label.set_va("bottom" if y > 1.0 else "top" if y < -1.0 else "center")
        taken.append(box)


def set_apart(ax: Axes, marks: Any, fixed: Any = ()) -> Any:
    """Move marks (a scatter) sideways, to the nearest free place, where they would cover one another or the
    fixed places (data); a line leads from each to its own place. Up and down they stay. Returns the lines,
    None without any."""
    from matplotlib.collections import LineCollection

    places = np.asarray(marks.get_offsets(), dtype=float)
    if len(places) > _MOST_APART:
        return None
    figure: Any = ax.figure
    figure.draw_without_rendering()
    apart, frame = _APART_pt * figure.dpi / 72.0, ax.get_window_extent()
    pixels = ax.transData.transform(places)
    taken = [] if len(fixed) == 0 else list(ax.transData.transform(np.reshape(fixed, (-1, 2))))

    def free(place: Any) -> bool:
        return not taken or bool(np.min(np.hypot(*(np.array(taken) - place).T)) >= 0.99 * apart)

    for index in np.lexsort((pixels[:, 1], pixels[:, 0])):
        true = pixels[index].copy()
        beside = (true + (share * apart, 0.0) for share in (0.0, *_SIDEWAYS))
        pixels[index] = next((place for place in beside if free(place) and (
            place[0] == true[0] or frame.x0 + 0.5 * apart <= place[0] <= frame.x1 - 0.5 * apart)), true)
        taken.append(pixels[index])
    moved = ax.transData.inverted().transform(pixels)
    changed = np.abs(pixels - ax.transData.transform(places))[:, 0] > 1e-6
    if not changed.any():
        return None
    moved[~changed] = places[~changed]
    moved[:, 1] = places[:, 1]
    marks.set_offsets(moved)
    return ax.add_collection(LineCollection(
        [np.array(ends) for ends in zip(places[changed], moved[changed])], colors="black", linewidths=0.8,
        zorder=marks.get_zorder() - 0.1, path_effects=cased(width=2.4)), autolim=False)


def _shared(box: Any, other: Any) -> float:
    """Pixels that two boxes share."""
    across = min(box.x1, other.x1) - max(box.x0, other.x0)
    up = min(box.y1, other.y1) - max(box.y0, other.y0)
    return float(max(across, 0.0) * max(up, 0.0))


def keep_inside(ax: Axes, labels: Sequence[Any]) -> None:
    """Move annotations sideways until they are within the axes."""
    from matplotlib.text import Text

    figure: Any = ax.figure
    figure.draw_without_rendering()
    frame = ax.get_window_extent().padded(-3.0)
    for label in labels:
        box = Text.get_window_extent(label)
        over = max(frame.x0 - box.x0, 0.0) - max(box.x1 - frame.x1, 0.0)
        x, y = label.xyann
        label.xyann = (x + over * 72.0 / figure.dpi, y)


def outline_covered(ax: Axes, steel: Steel, unit: str) -> Any:
    """A dashed line round the baths and the films that the trials cover; None without any."""
    values = steel.to_dict()
    if not values["trial_count"]:
        return None
    baths = np.linspace(*steel.bath_range_K, 61)
    thin, thick = (steel.time_for(values[name], baths) for name in ("thickness_low_nm", "thickness_high_nm"))
    across = in_unit(baths, unit)
    from matplotlib.patches import Polygon

    outline = np.column_stack([np.concatenate([across, across[::-1]]), np.concatenate([thin, thick[::-1]])])
    return ax.add_patch(Polygon(outline, fill=False, edgecolor="black", linestyle=(0.0, (5.0, 3.0)),
                                linewidth=1.2, zorder=2.5, path_effects=cased(width=2.6),
                                label="covered by the trials"))


def ink_on(lab: Any) -> str:
    """Black or white, whichever is read better on a colour L*, a*, b*."""
    return "black" if lab[0] > 50.0 else "white"


def coupons_of(steel: Steel, trials: Logged | Iterable[Trial]) -> list[Trial]:
    """Those of a log, or of what is taken for one, that belong to a steel and its finish."""
    return [trial for trial in log_or_none(steel, trials) or ()
            if trial.steel == steel.name and steel.finish in ("", trial.finish)]


def cased(ink: str = "black", width: float = 3.0) -> list[Any]:
    """Path effects that put a line of the opposite ink round a mark, so that it shows on any colour."""
    from matplotlib.patheffects import Normal, Stroke

    return [Stroke(linewidth=width, foreground="white" if ink == "black" else "black"), Normal()]


def check_suffix(path: str | os.PathLike[str]) -> None:
    """Whether a picture can be written under a name."""
    if pathlib.Path(path).suffix.lower() not in SUFFIXES:
        raise OxtintValueError(
            f"{os.fspath(path)}: expected a name that ends in .png, .svg or .pdf")


def is_svg(path: str | os.PathLike[str]) -> bool:
    """Whether a picture goes into an SVG file, which C draws."""
    return pathlib.Path(path).suffix.lower() == ".svg"


def save_picture(picture: bytes, path: str | os.PathLike[str], overwrite: bool) -> None:
    """Write a picture, whole or not at all; one that is there is replaced, any other file only with `overwrite`."""
    _core.call(lib.oxt_file_write, _core.encode_path(path), lib.OXT_FILE_PICTURE,
               _core.replace(overwrite), picture, len(picture))


def save_figure(figure: Figure, path: str | os.PathLike[str], *, dpi: int = 160, title: str = "",
                overwrite: bool = False) -> None:
    """Write a picture, whole or not at all: PNG, SVG or PDF by the ending of its name.

    A picture that is there is replaced, any other file only with `overwrite`.

    With SOURCE_DATE_EPOCH set, the same picture gives the same file.
    """
    import matplotlib

    check_suffix(path)
    target = pathlib.Path(path)
    kind = target.suffix.lower()
    data = io.BytesIO()
    with matplotlib.rc_context({"svg.hashsalt": "oxtint"}):
        figure.savefig(data, dpi=dpi, format=kind[1:], metadata={"Title": title or target.stem})
    save_picture(data.getvalue(), path, overwrite)
