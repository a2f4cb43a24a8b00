# SPDX-License-Identifier: GPL-3.0-or-later
"""What the card of a steel predicts: dips, baths, the next coupons."""
from __future__ import annotations

import argparse
from collections.abc import Mapping
from typing import Any

import oxtint

from .. import _core
from .._oxtint import lib
from .files import check_output, film_of, read_card
from .terminal import plain, print_json, swatch


def part_of(size: str | None, shape: str = "plate", name: str = "part") -> oxtint.Part | None:
    """The part of an option or a column of this name."""
    if not size:
        return None
    if size != "none":
        _core.metres(size, name)  # what cannot be read is told by the name that it has here
    return oxtint.Part(0 if size == "none" else size, shape)


def dipped_part(options: argparse.Namespace) -> oxtint.Part | None:
    """The part of the options, and how the bath heats it."""
    told: dict[str, Any] = {
        "start": options.start, "transfer_W_per_m2K": options.transfer, "wetted": options.wetted,
        "transfer_at_K": options.transfer_at, "transfer_exponent": options.transfer_exponent,
        "flow": "still" if options.still else None}
    told = {name: value for name, value in told.items() if value is not None}
    if not told or options.part == "none":
        return part_of(options.part, options.shape)
    if not options.part:
        raise oxtint.OxtintValueError("no --part given, expected the part that is heated so")
    return oxtint.Part(options.part, options.shape, **told)


def salt_bath_of(options: argparse.Namespace) -> oxtint.Bath | None:
    """The bath, where its salt is stated, or how much there is of it."""
    salt_kg, heater_W = getattr(options, "salt_kg", 0.0), getattr(options, "heater", 0.0)
    if options.salt == "unstated" and not salt_kg and not heater_W:
        return None
    return oxtint.Bath(options.salt, salt_kg=salt_kg, heater_W=heater_W)


def check_load(load_kg: float, options: argparse.Namespace, given: str) -> float:
    """A load counts in a bath of limited salt alone."""
    if load_kg and not options.salt_kg:
        raise oxtint.OxtintValueError(f"{given} given without --salt-kg, expected the salt that the load cools")
    return load_kg


def lift_of(delay: str | None, name: str = "lift") -> oxtint.Lift | None:
    """The lift of an option or a column of this name."""
    return oxtint.Lift(_core.seconds(delay, name)) if delay else None


def paths_of(told: Mapping[str, Any]) -> dict[str, Any]:
    """The lift of the part and how the coupons were run, of the options or of the cells of a line."""
    return {"lift": lift_of(told.get("lift")), "coupon": part_of(told.get("coupon"), name="coupon"),
            "coupon_lift": lift_of(told.get("coupon_lift"), "coupon_lift")}


def _choices(options: argparse.Namespace) -> dict[str, Any]:
    """The arguments of Steel.dip() from the command line."""
    return {
        "film": film_of(options), "part": dipped_part(options), **paths_of(vars(options)),
        "salt_bath": salt_bath_of(options), "load_kg": check_load(options.load, options, "--load"),
        "initial": options.over, "reader_sd": options.reader_sd,
        "last_temper": tuple(options.last_temper) if options.last_temper else None,
        "bath_wander_K": _core.kelvin_difference(options.bath_wander, "bath_wander"),
        "time_wander_s": _core.seconds(options.time_wander, "time_wander")}


def dip(options: argparse.Namespace) -> None:
    """Predict one dip."""
    if (options.bath is None) == (options.time is None):
        raise oxtint.OxtintValueError(
            f"{'neither --bath nor' if options.bath is None else 'both --bath and'} --time given, expected one of them")
    steel = read_card(options.card)
    if options.bath is None:
        options.units = options.units or "F"
        found = steel.dip_for_time(options.target, options.time, unit=options.units, **_choices(options))
    else:
        found = steel.dip(options.target, options.bath, **_choices(options))
    if options.json:
        print(found.to_json())
        return
    colour = swatch(oxtint.Film().srgb(found.target.aim_nm))
    print(f"{colour}{steel.text}: {found.report(options.units, cautions=options.cautions).rstrip()}")


def baths(options: argparse.Namespace) -> None:
    """Compare baths, and name the most forgiving."""
    steel = read_card(options.card)
    given = (options.target, options.low, options.high)
    choices = {**_choices(options), "longest": options.longest}
    if options.json:
        print(steel.most_forgiving(*given, **choices).to_json())
        return
    table = steel.baths(*given, unit=options.units, **choices)
    print(f"{steel.text}, {table.report(cautions=options.cautions).rstrip()}")


def advise(options: argparse.Namespace) -> None:
    """Name the next coupons."""
    steel = read_card(options.card)
    advice = steel.advise(None, options.bath, film=film_of(options), low=options.low, high=options.high,
                          shortest=options.shortest, longest=options.longest, criterion=options.criterion,
                          highest_order=1 + options.second_order, count=options.count)
    if options.json:
        print(advice.to_json())
        return
    print(advice.report(options.units, cautions=options.cautions).rstrip())


def record(options: argparse.Namespace) -> None:
    """Record what came out of a dip with its card, and show what came of all of them."""
    steel = read_card(options.card)
    asked = {"--target": options.target, "--bath": options.bath, "--seen": options.seen}
    missing = [name for name, value in asked.items() if value is None]
    if missing and len(missing) < len(asked):
        raise oxtint.OxtintValueError(f"{' and '.join(missing)} not given, expected --target, --bath and --seen "
                                      "of the dip, or none of them")
    check_output(options, lib.OXT_FILE_TRIALS)
    if not missing:
        choices = _choices(options)
        steel = steel.record(steel.dip(options.target, options.bath, **choices), options.seen, time=options.time,
                             label=options.label, film=choices["film"])
        steel.save(options.card)
    if options.save:
        log = oxtint.TrialLog(words=steel.words)
        log.unit = options.units or (_core.unit_of(options.bath) if options.bath else "F")
        log.add_record(steel)
        log.save(options.save, overwrite=options.force)
    found = steel.track_record()
    if options.json:
        print_json({**plain(found), "dips": plain(steel.recorded)})
        return
    print(found.report() + oxtint.cautions_report(steel.cautions, options.cautions), end="")
