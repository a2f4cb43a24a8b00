# SPDX-License-Identifier: GPL-3.0-or-later
"""Cards of steels: shown, beside one another, and brought up to date."""
from __future__ import annotations

import argparse
import math
import shutil
from typing import Any

import oxtint

from .. import _core
from .._oxtint import lib
from .files import check_output, film_of, read_card, read_log_of
from .terminal import item, plain, print_json


def _rate(steel: oxtint.Steel, bath: str) -> float:
    """nm^2/s; of the middle film, where the law is another than the parabolic one."""
    film_nm = steel.law_middle_nm or 50.0
    return film_nm ** 2 / float(steel.time_for(film_nm, bath))


def _span(limits: tuple[float, float]) -> str:
    return " to ".join(map(oxtint.format_duration, limits))


def _columns(steels: list[oxtint.Steel], film: oxtint.Film | None, options: argparse.Namespace) -> list[list[str]]:
    """The cells of each card, from the top, after those that name them."""
    bath = oxtint.format_temperature(_core.kelvin(options.bath), options.units)
    wanted = (film or steels[0].film).target(options.target).text
    first = _rate(steels[0], options.bath)
    made = [["steel", "finish", f"rate at {bath}, nm^2/s", "rate relative to the first card", "Q, kJ/mol",
             "scatter from dip to dip", "trials", "their baths", "their films, nm", "their coupons",
             f"{wanted} at {bath} after", "colour visible from",
             "uncertainty, fit only (95 %)", "chance of the wanted colour"]]
    for steel in steels:
        dip, values = steel.dip(options.target, options.bath, film=film), steel.to_dict()
        low, high = (oxtint.format_temperature(K, options.units) for K in steel.bath_range_K)
        rate, tried = _rate(steel, options.bath), values["trial_count"] > 0
        made.append([
            steel.name, steel.finish or "-", f"{rate:.4g}", f"{rate / first:.2f}", f"{steel.Q_J_per_mol / 1e3:.1f}",
            f"{100.0 * steel.scatter:.1f} %", f"{values['trial_count']}",
            f"{low} to {high}" if tried else "-",
            f"{values['thickness_low_nm']:.0f} to {values['thickness_high_nm']:.0f}" if tried else "-",
            steel.coupon_text if tried else "-",
            oxtint.format_duration(dip.time_s), _span((dip.earliest_s, dip.latest_s)),
            _span(dip.interval_s), f"{100.0 * dip.chance:.0f} %"])
    if any(steel.recorded for steel in steels):
        made[0].append("dips of the colour promised")
        for steel, cells in zip(steels, made[1:]):
            record = steel.track_record()
            cells.append(f"{record.hit_count} of {record.promised_count} ({record.expected_hits:.1f} expected)"
                         + ("" if record.kept else "; promises no longer kept") if steel.recorded else "-")
    if any(steel.law != "parabolic" for steel in steels):
        made[0].append("law of growth")
        for steel, cells in zip(steels, made[1:]):
            cells.append(steel.law + ("" if steel.law == "parabolic" else f", shape {steel.law_shape:.3g}"))
    if len(steels) == 1:
        for cells in made:
            del cells[3]
    return made


def _print_columns(columns: list[list[str]]) -> None:
    """Side by side, as many as the terminal is wide; the rest below, named anew."""
    names, cards = columns[0], columns[1:]
    wide = 2 + max(map(len, names))
    each = 2 + max(len(cell) for cells in cards for cell in cells)
    fit = max(1, (shutil.get_terminal_size().columns - wide) // each)
    for start in range(0, len(cards), fit):
        if start:
            print()
        for row in zip(names, *cards[start:start + fit]):
            print((f"{row[0]:<{wide}}" + "".join(f"{cell:<{each}}" for cell in row[1:])).rstrip())


def _print_origin(steel: oxtint.Steel) -> None:
    """Where a card comes from, and what was done to it since."""
    text = "; ".join([f"{steel.text}: {steel.to_dict()['origin']}", *map(str, steel.history)])
    print(item(text, 78))


def _values(steel: oxtint.Steel, film: oxtint.Film | None, options: argparse.Namespace) -> dict[str, Any]:
    return {**steel.to_dict(), "bath_K": _core.kelvin(options.bath),
            "rate_nm2_per_s": _rate(steel, options.bath),
            "dip": plain(steel.dip(options.target, options.bath, film=film)), "history": plain(steel.history),
            "words": [] if steel.words is None else plain(list(steel.words))}


def cards(options: argparse.Namespace) -> None:
    """Show one card, or compare several."""
    steels = [read_card(path) for path in options.cards]
    options.units = _core.unit_or(options.units, _core.unit_of(options.bath))
    film = film_of(options)  # else that of each: a word means what the reader of its trials calls so
    if options.json:
        print_json([_values(steel, film, options) for steel in steels])
        return
    _print_columns(_columns(steels, film, options))
    print("What the cards come from")
    for steel in steels:
        _print_origin(steel)
    found = [caution for steel in steels
             for caution in steel.dip(options.target, options.bath, film=film).cautions]
    print(oxtint.cautions_report(found, options.cautions), end="")


def prior(options: argparse.Namespace) -> None:
    """Make a card of a steel that has not been tried."""
    check_output(options, lib.OXT_FILE_CARD)
    steel, known = oxtint.starting_steel(options.steel, options.finish, film=film_of(options)), oxtint.Prior.mild_steel()
    if options.save == "-":
        print(steel.to_card())
        return
    if options.save:
        steel.save(options.save, overwrite=options.force)
    if options.json:
        print_json(steel.to_dict())
        return
    factor, bath = math.exp(1.96 * known.ln_k_stderr), oxtint.format_temperature(known.temperature_K,
                                                                                 options.units)
    print(f"{steel.text}: no coupon yet; from what is known of mild steel in nitrate salt")
    rate = f"{math.exp(known.ln_k):.3g}, within a factor of {factor:.2g} (95 %)"
    for name, value in ((f"rate at {bath}, nm^2/s", rate), (
            "Q, kJ/mol", f"{known.Q_J_per_mol / 1e3:.0f} +- {known.Q_stderr_J_per_mol / 1e3:.0f}"), (
            "lift times", f"a guess, within a factor of {factor:.2g} at best")):
        print(f"  {name:<36} {value}")
    print(oxtint.dip_table(steel, ("550 F", "600 F", "650 F"), unit=options.units))
    if options.save:
        print(f"Saved {options.save}")


def anchor(options: argparse.Namespace) -> None:
    """Bring a card up to date by new coupons."""
    check_output(options, lib.OXT_FILE_CARD)
    steel = read_card(options.card)
    renewed = steel.anchor(
        read_log_of(options, steel), label=options.label, film=film_of(options))
    if options.save == "-":
        print(renewed.to_card())
        return
    renewed.save(options.save, overwrite=options.force)
    if options.json:
        print_json(renewed.to_dict())
        return
    print(f"{renewed.text}: {renewed.history[-1]}")
    print(oxtint.cautions_report(renewed.cautions, options.cautions), end="")
    print(f"Saved {options.save}")
