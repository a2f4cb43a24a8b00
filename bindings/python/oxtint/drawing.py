# SPDX-License-Identifier: GPL-3.0-or-later
"""What the pictures share: scales, inks that can be read, files written whole or not at all.

matplotlib is imported only when something is drawn.
"""
from __future__ import annotations

import io
import os
import pathlib
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import numpy as np

from . import _core, errors
from ._oxtint import lib
from .steel import Steel
from .tables import Columns, is_table
from .trials import Trial, log_of
from .units import format_duration

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SUFFIXES = (".png", ".svg", ".pdf")

_SCALES = {"K": (1.0, 0.0), "C": (1.0, -273.15), "F": (1.8, -459.67)}
_TICKS_s = (1, 2, 5, 10, 15, 20, 30, 45, 60, 90, 120, 180, 300, 450, 600, 900, 1200, 1800, 3600, 5400,
            7200, 14400)


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
    """What stands at an axis of bath temperatures."""
    unit = scale(unit)
    return f"bath temperature ({unit if unit == 'K' else '°' + unit})"


def clock_axis(axis: Any, low_s: float, high_s: float) -> None:
    """Ticks of a logarithmic axis of times, as read off a clock; no more than a dozen."""
    from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

    ticks = [tick for tick in _TICKS_s if low_s <= tick <= high_s]
    axis.set_major_locator(FixedLocator(ticks[::len(ticks) // 12 + 1]))
    axis.set_minor_locator(NullLocator())
    axis.set_major_formatter(FuncFormatter(lambda time, _: format_duration(float(time))))


def ink_on(lab: Any) -> str:
    """Black or white, whichever is read better on a colour L*, a*, b*."""
    return "black" if lab[0] > 50.0 else "white"


def coupons_of(steel: Steel, trials: Iterable[Trial] | Columns) -> list[Trial]:
    """Those of a log, of trials or of a table that belong to a steel and its finish."""
    given: Any = log_of(trials) if is_table(trials) else trials
    return [trial for trial in given
            if trial.steel == steel.name and steel.finish in ("", trial.finish)]


def cased(ink: str = "black", width: float = 3.0) -> list[Any]:
    """Path effects that put a line of the opposite ink round a mark, so that it shows on any colour."""
    from matplotlib.patheffects import Normal, Stroke

    return [Stroke(linewidth=width, foreground="white" if ink == "black" else "black"), Normal()]


def check_suffix(path: str | os.PathLike[str]) -> None:
    """Whether a picture can be written under a name."""
    if pathlib.Path(path).suffix.lower() not in SUFFIXES:
        raise errors.OxtintValueError(
            f"{os.fspath(path)}: expected a name that ends in .png, .svg or .pdf")


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
    picture = data.getvalue()
    _core.call(lib.oxt_file_write, _core.encode_path(path), lib.OXT_FILE_PICTURE,
               _core.replace(overwrite), picture, len(picture))
