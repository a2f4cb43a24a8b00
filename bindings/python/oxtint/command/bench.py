# SPDX-License-Identifier: GPL-3.0-or-later
"""What the card of a steel predicts: dips, baths, the next coupons, charts."""
from __future__ import annotations

import argparse
import pathlib
from typing import Any

import oxtint

from .files import read_card, read_log
from .terminal import print_json, swatch


def _name(steel: oxtint.Steel) -> str:
    return steel.name + (f", {steel.finish}" if steel.finish else "")


def _part_of(size: str | None, shape: str = "plate") -> oxtint.Part | None:
    return oxtint.Part(size, shape) if size else None


def _lift_of(delay: str | None) -> oxtint.Lift | None:
    return oxtint.Lift(delay) if delay else None


def _choices(options: argparse.Namespace) -> dict[str, Any]:
    """The arguments of Steel.dip() from the command line."""
    return {
        "part": _part_of(options.part, options.shape), "lift": _lift_of(options.lift),
        "coupon": _part_of(options.coupon), "coupon_lift": _lift_of(options.coupon_lift),
        "initial": options.over,
        "last_temper": tuple(options.last_temper) if options.last_temper else None,
        "bath_wander_K": oxtint.parse_temperature_difference(options.bath_wander),
        "time_wander_s": oxtint.parse_duration(options.time_wander)}


def dip(options: argparse.Namespace) -> None:
    """Predict one dip."""
    steel = read_card(options.card)
    found = steel.dip(options.target, options.bath, **_choices(options))
    if options.json:
        print_json(found)
        return
    colour = swatch(oxtint.Film().srgb(found.target.aim_nm))
    print(f"{colour}{_name(steel)}: {found.report(options.units).rstrip()}")


def baths(options: argparse.Namespace) -> None:
    """Compare baths, and name the most forgiving."""
    steel = read_card(options.card)
    given = (options.target, options.low, options.high)
    choices = {**_choices(options), "longest": options.longest}
    if options.json:
        print_json(steel.most_forgiving(*given, **choices))
        return
    print(f"{_name(steel)}, {steel.trade_off(*given, unit=options.units, **choices).rstrip()}")


def coupons(options: argparse.Namespace) -> None:
    """Name the next coupons."""
    steel = read_card(options.card)
    advice = steel.advise(None, options.bath, low=options.low, high=options.high,
                          count=options.count)
    if options.json:
        print_json(advice)
        return
    print(advice.report(options.units).rstrip())


def chart(options: argparse.Namespace) -> None:
    """Draw the colour chart into a file."""
    if pathlib.Path(options.save).suffix not in (".png", ".svg", ".pdf"):
        raise oxtint.OxtintValueError(f"{options.save}: expected a name that ends in .png, .svg or .pdf")
    try:
        import matplotlib
    except ImportError:
        raise oxtint.OxtintValueError(
            "a chart needs matplotlib: pip install 'oxtint[plot]'") from None
    matplotlib.use("Agg")  # draw into files, no window needed
    from ..chart import colour_chart

    steel = read_card(options.card)
    log = read_log(options.trials) if options.trials else ()
    figure = colour_chart(steel, log, unit=options.units).image.figure
    target = pathlib.Path(options.save)
    part = target.with_name(f".{target.name}.part{target.suffix}")
    try:
        figure.savefig(part, dpi=160)
        part.replace(target)  # whole or not at all
    finally:
        part.unlink(missing_ok=True)
    print(f"Saved {options.save}")
