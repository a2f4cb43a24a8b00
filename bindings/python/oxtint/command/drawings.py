# SPDX-License-Identifier: GPL-3.0-or-later
"""What is drawn into a file: the chart, the page for the wall."""
from __future__ import annotations

import argparse
import sys
from typing import Any

import oxtint

from .. import _core
from .._oxtint import lib
from ..drawing.common import check_suffix, coupons_of, is_svg, save_figure, save_picture
from .bench import dipped_part, paths_of
from .files import check_output, film_of, named, read_card, read_log, read_words


def _need_matplotlib(path: str, what: str) -> None:
    check_suffix(path)
    if is_svg(path):  # which C draws
        return
    try:
        import matplotlib
    except ImportError:
        raise oxtint.OxtintValueError(
            f"a {what} needs matplotlib, except as .svg: pip install matplotlib") from None
    matplotlib.use("Agg")  # draw into files, no window needed


def chart(options: argparse.Namespace) -> None:
    """Draw the colour chart into a file."""
    if (options.target is None) != (options.bath is None):
        raise oxtint.OxtintValueError("to mark a dip give both --target and --bath")
    _need_matplotlib(options.save, "chart")
    check_output(options, lib.OXT_FILE_PICTURE)
    steel = read_card(options.card)
    film = film_of(options)
    log = read_log(options.trials, read_words(options, steel)) if options.trials else ()
    usual = _core.unit_of(options.bath) if options.bath else log.unit if isinstance(log, oxtint.TrialLog) else "F"
    if log and not coupons_of(steel, log):
        others = "; ".join(dict.fromkeys(
            trial.steel + (f", {trial.finish}" if trial.finish else "") for trial in log))
        print(f"oxtint: no coupon of {steel.text} in {named(options.trials)}, which has: {others}",
              file=sys.stderr)
    marked = steel.dip(options.target, options.bath, film=film) if options.target else None
    unit = options.units or usual
    if is_svg(options.save):
        save_picture(oxtint.chart_svg(steel, log, dip=marked, film=film, unit=unit).encode(), options.save,
                     options.force)
    else:
        figure = oxtint.colour_chart(steel, log, dip=marked, film=film, unit=unit).figure
        save_figure(figure, options.save, overwrite=options.force)
    cautions = (marked or steel).cautions
    print(f"Saved {options.save}")
    print(oxtint.cautions_report(cautions, options.cautions), end="")


def sheet(options: argparse.Namespace) -> None:
    """Write a page for the wall."""
    _need_matplotlib(options.save, "sheet")
    check_output(options, lib.OXT_FILE_PICTURE)
    steel = read_card(options.card)
    film = oxtint.Film(finish=options.finish, coat_index=oxtint.OIL_INDEX if options.oiled else 0.0,
                       words=read_words(options, steel))
    chosen: dict[str, Any] = {"targets": options.target} if options.target else {}
    oxtint.shop_sheet(
        steel, options.save, options.bath, **chosen,
        unit=options.units or (_core.unit_of(options.bath[0]) if options.bath else "F"),
        film=film, part=dipped_part(options), **paths_of(vars(options)), paper=options.paper, overwrite=options.force)
    print(f"Saved {options.save}")
