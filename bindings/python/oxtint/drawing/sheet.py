# SPDX-License-Identifier: GPL-3.0-or-later
"""The shop sheet: one printed page for the wall beside the bath.

A PDF or PNG needs matplotlib (``pip install matplotlib``), which is imported only when one is drawn.
"""
from __future__ import annotations

import datetime
import math
import os
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from .. import _core
from .._oxtint import lib
from ..bath import Bath
from .common import SCREEN_NOTE, check_suffix, is_svg, save_figure, save_picture, scale
from ..error import OxtintValueError
from ..film import Film
from ..tint import Wanted
from ..conditions import DipOptions, film_of
from ..heat import LiftLike, PartLike
from .ladder import colour_ladder
from .page import MARGIN_in, Page
from ..caution import Caution
from ..chart import PAPERS, Sheet, chart_sheet, chart_sheet_svg, today
from ..dip import Dip
from ..steel import Steel
from ..units import format_duration, format_temperature

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_ROW_in, _NAME_in = 0.4, 2.1  # of the table: height of a row, width of the first column
_LADDER_in = 2.55
_SIZES_pt = (12.0, 11.5, 11.0, 10.5, 10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0)  # of the cautions: the largest that has room
_LEGIBLE_pt = 9.0  # from an arm away, for sentences that are read whole
_OUTSIDE = "†"  # dagger
_EMPTY = "–"  # en dash
_ON_A_PHONE = "; for a phone: oxtint page CARD.json --save bench.html"


def _mark(dip: Dip) -> str:
    """Behind a time: whether it lies beyond what the trials cover, and whether it is less certain than the colour lasts."""
    names = {caution.name for caution in dip.cautions}
    mark = _OUTSIDE * any(name.startswith("EXTRAPOLATED") for name in names) + "?" * ("LOOSE_FIT" in names)
    return f" {mark}" if mark else ""


def _head(page: Page, name: str, thermal_path: Sequence[str]) -> float:
    """Name, and what the times hold for; where the table begins."""
    room = page.right - MARGIN_in
    page.text(MARGIN_in, 0.95, name, page.fitting_size(name, 22.0, room, "bold"), fontweight="bold")
    y = 1.2
    for text in thermal_path:
        page.text(MARGIN_in, y, text, page.fitting_size(text, 9.0, room))
        y += 0.17
    return y + 0.1


def _blanks(page: Page, y: float) -> float:
    """Room to write in which bath and thermometer the sheet is for, and when it was put up; where it ends."""
    names, each = ("Pot", "Thermometer", "Put up on"), (page.right - MARGIN_in) / 3.0
    for number, name in enumerate(names):
        left = MARGIN_in + number * each
        page.text(left, y + 0.2, name, 9.0)
        start = left + page.width_of(name, 9.0) + 0.08
        page.ax.plot([start, left + each - (0.15 if number < 2 else 0.0)], [y + 0.22, y + 0.22], color="black",
                     linewidth=0.5)
    return y + 0.5


def _table(page: Page, top: float, rows: Sequence[Sequence[Dip]], film: Film, unit: str) -> float:
    """When to lift, and below it from when to when the colour shows; where the table ends."""
    dips = rows[0]
    column = (page.right - MARGIN_in - _NAME_in) / len(dips)
    middles = [MARGIN_in + _NAME_in + (index + 0.5) * column for index in range(len(dips))]
    page.text(MARGIN_in, top, "Lift after", 11.0, fontweight="bold")
    page.text(MARGIN_in, top + 0.2, "the colour shows from ... to", 8.0)
    for middle, dip in zip(middles, dips):
        head = f"bath at {format_temperature(dip.bath_K, unit)}"
        page.text(middle, top, head, page.fitting_size(head, 11.0, column - 0.15, "bold"),
                  ha="center", fontweight="bold")
        page.text(middle, top + 0.2, format_temperature(dip.bath_K, "C" if unit == "F" else "F"), 9.0,
                  ha="center")
    y = top + 0.3
    for dips in rows:
        page.line(y)
        _row(page, y, dips, film, middles)
        y += _ROW_in
    page.line(y)
    return y


def _row(page: Page, y: float, dips: Sequence[Dip], film: Film, middles: Sequence[float]) -> None:
    from matplotlib.patches import Rectangle

    name, aim_nm = dips[0].target.text, dips[0].target.aim_nm
    page.ax.add_patch(Rectangle((MARGIN_in, y + 0.06), 0.4, _ROW_in - 0.12,
                                facecolor=film.srgb(aim_nm), edgecolor="black", linewidth=0.6))
    page.text(MARGIN_in + 0.5, y + 0.19, name, page.fitting_size(name, 11.0, _NAME_in - 0.6))
    page.text(MARGIN_in + 0.5, y + 0.33, f"{aim_nm:.0f} nm", 8.0)
    for middle, dip in zip(middles, dips):
        if math.isnan(dip.time_s):
            page.text(middle, y + 0.25, _EMPTY, 12.0, ha="center", fontweight="bold")
            continue
        aim, first, last = map(format_duration, (dip.time_s, dip.earliest_s, dip.latest_s))
        page.text(middle, y + 0.19, aim + _mark(dip), 12.0, ha="center",
                  fontweight="bold")
        page.text(middle, y + 0.33, f"{first} to {last}", 8.0, ha="center")


def _draw_ladder(page: Page, top: float, bottom: float, steel: Steel, film: Film) -> None:
    """The ladder, and beside it a bar as far as the films of the trials reach."""
    left = MARGIN_in + 0.55
    ax = page.figure.add_axes((left / page.width, 1.0 - bottom / page.height, 0.55 / page.width,
                               (bottom - top) / page.height))
    colour_ladder(film, ax=ax, fontsize=8.0)
    values, edges_nm = steel.to_dict(), [0.0, *(tint.high_nm for tint in film.tints())]
    if values["trial_count"]:
        ends = np.interp([values["thickness_low_nm"], values["thickness_high_nm"]], edges_nm,
                         range(len(edges_nm)))
        ax.plot([-0.12, -0.12], ends, color="black", linewidth=3.0, clip_on=False, solid_capstyle="butt")
    ax.set_xlim(0.0, 1.0)


def _lines(page: Page, paragraphs: Sequence[tuple[str, str]], size_pt: float,
           room: float) -> list[tuple[str, str]]:
    """Weight and text of each line, paragraph after paragraph, an empty one between them."""
    lines: list[tuple[str, str]] = []
    for weight, text in paragraphs:
        lines += [(weight, line) for line in page.wrap(text, size_pt, room)] + [("", "")]
    return lines[:-1]


def _words(page: Page, top: float, bottom: float, first: Sequence[tuple[str, str]],
           cautions: Sequence[Caution], last: tuple[str, str]) -> None:
    """The sentences beside the ladder, in the largest size that has room for all of them; cautions in short
    where they have no room whole in a legible one."""
    left = MARGIN_in + _LADDER_in
    whole, brief = [one.text for one in cautions], [one.brief for one in cautions]
    tries = [(whole, size_pt) for size_pt in _SIZES_pt if size_pt >= _LEGIBLE_pt]
    for texts, size_pt in (*tries, *((brief, size_pt) for size_pt in _SIZES_pt)):
        paragraphs = [*first, *(("normal", text) for text in texts), last]
        step, lines = 1.25 * size_pt / 72.0, _lines(page, paragraphs, size_pt, page.right - left)
        heights = [step if text else 0.4 * step for _, text in lines]
        if sum(heights) <= bottom - top:
            break
    else:
        raise OxtintValueError(f"the cautions need {sum(heights):.1f} inches in {size_pt:g} points and "
                               f"{bottom - top:.1f} are left, expected fewer targets or baths")
    y = top
    for (weight, text), height in zip(lines, heights):
        y += height
        if text:
            page.text(left, y, text, size_pt, fontweight=weight)


def _foot(page: Page, steel: Steel, date: datetime.date) -> float:
    """Date, version and where the card came from; where the room above ends."""
    origin = steel.to_dict()["origin"]
    text = f"{date.isoformat()}, oxtint {_core.decode(lib.oxt_version())}"
    text += f"; card: {origin}" if origin else ""
    text += _ON_A_PHONE
    y = page.height - MARGIN_in
    page.line(y - 0.17)
    page.text(MARGIN_in, y, text, page.fitting_size(text, 8.0, page.right - MARGIN_in))
    return y - 0.35


def _draw(steel: Steel, sheet: Sheet, film: Film, unit: str, paper: str, date: datetime.date) -> Figure:
    page = Page(paper)
    head = _blanks(page, _head(page, sheet.name, (sheet.path_text, sheet.film_text)))
    top = _table(page, head + 0.05, sheet.dips, film, unit) + 0.25
    bottom = _foot(page, steel, date)
    _draw_ladder(page, top, bottom, steel, film)
    _words(page, top, bottom, [("normal", sheet.coverage),
                               ("bold", "Cautions that apply to some or all of these dips")], sheet.cautions,
           ("normal", SCREEN_NOTE.replace("On a screen, beside white paper", "On white paper")))
    return page.figure


def shop_sheet(
    steel: Steel,
    path: str | os.PathLike[str],
    baths: Iterable[float | str] | None = None,
    targets: Iterable[Wanted] | None = None,
    *,
    unit: str = "F",
    film: Film | None = None,
    part: PartLike | None = None,
    lift: LiftLike | None = None,
    coupon: PartLike | None = None,
    coupon_lift: LiftLike | None = None,
    salt_bath: Bath | None = None,
    paper: str = "A4",
    date: datetime.date | None = None,
    overwrite: bool = False,
) -> None:
    """Write one page for the wall: when to lift, the ladder of colours, what the trials cover, cautions.

    The file is written whole or not at all. With SOURCE_DATE_EPOCH set the same sheet gives the same
    file.

    Args:
        steel: the steel
        path: where to; a PDF, SVG or PNG by the ending of the name; the SVG is that of chart_sheet_svg()
        baths: K, or texts such as "600 F", up to 4; when None the coldest, middle and hottest of the
            trials, rounded to 10 F, 5 C or 5 K
        targets: colours wanted, as in Film.target(), up to 10; straw to light blue when None
        unit: scale of temperatures, "F", "C" or "K"
        film: film that the targets are read with, and of the ladder; as in Steel.dip()
        part, lift, coupon, coupon_lift, salt_bath: as in Steel.dip()
        paper: "A4" or "letter"
        date: printed at the foot; today, or the day of SOURCE_DATE_EPOCH, when None

    Raises:
        OxtintValueError: a dip cannot be computed, too many baths or targets, or no room for all cautions
        OxtintOSError: the file cannot be written
    """
    unit, film = scale(unit), film_of(film, steel)
    told: DipOptions = {"part": part, "lift": lift, "coupon": coupon, "coupon_lift": coupon_lift,
                        "salt_bath": salt_bath}
    check_suffix(path)
    if is_svg(path):
        text = chart_sheet_svg(steel, baths, targets, unit=unit, film=film, paper=paper, date=date, **told)
        save_picture(text.encode(), path, overwrite)
        return
    import matplotlib.style

    _core.choose(PAPERS, paper, "paper")
    sheet = chart_sheet(steel, baths, targets, unit=unit, film=film, **told)
    with matplotlib.style.context("default"), matplotlib.rc_context(
            {"text.parse_math": False, "pdf.fonttype": 42}):  # names as they are; text that can be searched
        figure = _draw(steel, sheet, film, unit, paper, date or today())
        save_figure(figure, path, dpi=200, title=f"{steel.name}: shop sheet",
                    overwrite=overwrite)


__all__ = ["shop_sheet"]
