# SPDX-License-Identifier: GPL-3.0-or-later
"""Cards of steels and what they predict: dips, baths, sets, charts."""
from __future__ import annotations

import argparse
import csv
import pathlib
from typing import Any

import oxtint

from .terminal import plain, print_json, swatch


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
    steel = oxtint.load_steel(options.card)
    found = steel.dip(options.target, options.bath, **_choices(options))
    if options.json:
        print_json(found)
        return
    colour = swatch(oxtint.Film().srgb(found.target.aim_nm))
    print(f"{colour}{_name(steel)}: {found.report(options.units).rstrip()}")


def baths(options: argparse.Namespace) -> None:
    """Compare baths, and name the most forgiving."""
    steel = oxtint.load_steel(options.card)
    given = (options.target, options.low, options.high)
    choices = {**_choices(options), "longest": options.longest}
    if options.json:
        print_json(steel.most_forgiving(*given, **choices))
        return
    print(f"{_name(steel)}, {steel.trade_off(*given, unit=options.units, **choices).rstrip()}")


def _set_part(row: dict[str, str], place: str, folder: pathlib.Path) -> oxtint.SetPart:
    for column in ("name", "card", "target"):
        if not row.get(column):
            raise oxtint.OxtintValueError(f"{place}:{column}: found nothing, expected a {column}")
    finish = row.get("finish") or None
    film = oxtint.Film(finish=finish) if finish else oxtint.Film()
    return oxtint.SetPart(
        row["name"], oxtint.load_steel(folder / row["card"]), film.target(row["target"]), film=film,
        part=_part_of(row.get("part"), row.get("shape") or "plate"), lift=_lift_of(row.get("lift")))


def _at(place: str, error: Exception) -> oxtint.OxtintValueError:
    text = str(error)
    return oxtint.OxtintValueError(text if text.startswith(place) else f"{place}: {text}")


def _read_parts(path: str) -> tuple[list[str], list[oxtint.SetPart]]:
    """Where each part stands in the file, and the parts."""
    folder = pathlib.Path(path).parent
    with open(path, encoding="utf-8-sig", newline="") as file:
        reader = csv.DictReader(file, skipinitialspace=True)
        known = {"name", "card", "target", "finish", "part", "shape", "lift"}
        for column in reader.fieldnames or ():
            if column not in known:
                raise oxtint.OxtintValueError(
                    f"{path}:1:{column}: an unknown column, expected {', '.join(sorted(known))}")
        places, made = [], []
        for row in reader:
            place = f"{path}:{reader.line_num}"
            try:
                made.append(_set_part(row, place, folder))
            except (oxtint.OxtintError, TypeError) as error:
                raise _at(place, error) from None
            places.append(place)
    return places, made


def parts(options: argparse.Namespace) -> None:
    """Plan a set."""
    places, given = _read_parts(options.parts)
    try:
        plan = oxtint.plan_set(
            given, options.bath, spacing=options.spacing, tolerance=options.tolerance,
            random_seed=options.seed,
            bath_wander_K=oxtint.parse_temperature_difference(options.bath_wander),
            time_wander_s=oxtint.parse_duration(options.time_wander))
    except oxtint.OxtintError as error:
        if not 0 < error.row <= len(places):
            raise
        raise _at(places[error.row - 1], error) from None
    if options.json:
        print_json(plan)
        return
    print(plan.report(options.units), end="")


def coupons(options: argparse.Namespace) -> None:
    """Name the next coupons."""
    steel = oxtint.load_steel(options.card)
    advice = steel.advise(None, options.bath, low=options.low, high=options.high,
                          count=options.count)
    if options.json:
        print_json(advice)
        return
    print(advice.report(options.units).rstrip())


def _card_row(steel: oxtint.Steel, bath: str) -> dict[str, Any]:
    found = steel.dip("blue", bath)
    return {**steel.to_dict(), "blue": plain(found)}


def cards(options: argparse.Namespace) -> None:
    """Show one card, or compare several."""
    steels = [oxtint.load_steel(path) for path in options.cards]
    if options.json:
        print_json([_card_row(steel, options.bath) for steel in steels])
        return
    print(f"{'steel':<28} {'rate at ' + options.bath:>18} {'Q':>11} {'scatter':>8} {'trials':>7} "
          f"{'blue after':>11} {'95 %':>15}")
    for steel in steels:
        found = steel.dip("blue", options.bath)
        rate = float(steel.thickness(options.bath, 1.0)) ** 2
        low, high = map(oxtint.format_duration, found.interval_s)
        print(f"{_name(steel):<28} {rate:>11.4g} nm^2/s {steel.Q / 1e3:>4.0f} kJ/mol "
              f"{100.0 * steel.scatter:>6.0f} % {steel.to_dict()['trial_count']:>7} "
              f"{oxtint.format_duration(found.time_s):>11} {f'{low} to {high}':>15}")
    for steel in steels:
        values = steel.to_dict()
        low, high = (oxtint.format_temperature(K, options.units) for K in steel.bath_range_K)
        print(f"{_name(steel)}: trials from {low} to {high}, {values['thickness_low_nm']:.0f} to "
              f"{values['thickness_high_nm']:.0f} nm; {values['origin']}")


def anchor(options: argparse.Namespace) -> None:
    """Bring a card up to date by new coupons."""
    renewed = oxtint.load_steel(options.card).reanchor(oxtint.read_trials(options.trials),
                                                       label=options.label)
    renewed.save(options.save)
    if options.json:
        print_json(renewed.to_dict())
        return
    print(f"{_name(renewed)}: {renewed.history[-1]}")
    print(f"Saved {options.save}")


def _need_matplotlib(path: str, what: str) -> None:
    if pathlib.Path(path).suffix.lower() not in (".png", ".svg", ".pdf"):
        raise oxtint.OxtintValueError(f"{path}: expected a name that ends in .png, .svg or .pdf")
    try:
        import matplotlib
    except ImportError:
        raise oxtint.OxtintValueError(
            f"a {what} needs matplotlib: pip install 'oxtint[plot]'") from None
    matplotlib.use("Agg")  # draw into files, no window needed


def chart(options: argparse.Namespace) -> None:
    """Draw the colour chart into a file."""
    if (options.target is None) != (options.bath is None):
        raise oxtint.OxtintValueError("a dip to mark needs both --target and --bath, found one of them")
    _need_matplotlib(options.save, "chart")
    from ..chart import colour_chart
    from ..drawing import save_figure

    steel = oxtint.load_steel(options.card)
    log = oxtint.read_trials(options.trials) if options.trials else ()
    marked = steel.dip(options.target, options.bath) if options.target else None
    figure = colour_chart(steel, log, dip=marked, unit=options.units).image.figure
    save_figure(figure, options.save)
    print(f"Saved {options.save}")


def sheet(options: argparse.Namespace) -> None:
    """Write a page for the wall."""
    _need_matplotlib(options.output, "sheet")
    film = oxtint.Film(finish=options.finish, coat_index=oxtint.OIL_INDEX if options.oiled else 0.0)
    chosen: dict[str, Any] = {"targets": options.target} if options.target else {}
    oxtint.shop_sheet(
        oxtint.load_steel(options.card), options.output, options.bath, **chosen, unit=options.units,
        film=film, part=_part_of(options.part, options.shape), lift=_lift_of(options.lift),
        coupon=_part_of(options.coupon), coupon_lift=_lift_of(options.coupon_lift), paper=options.paper)
    print(f"Saved {options.output}")
