# SPDX-License-Identifier: GPL-3.0-or-later
"""Logs of coupons: what they hold, and the steel that they are of."""
from __future__ import annotations

import argparse
import json
import math
from typing import Any

import oxtint

from .. import _core
from .._oxtint import lib
from . import bootstrapping
from .files import check_output, film_of, named, read_log_of
from .terminal import item, print_json


def _groups(log: oxtint.TrialLog) -> list[dict[str, Any]]:
    groups = []
    for steel in log.steels:
        for finish in log.finishes(steel):
            trials = [one for one in log if one.steel == steel and one.finish == finish]
            groups.append({
                "steel": steel, "finish": finish, "trials": len(trials),
                "bath_low_K": min(one.bath_K for one in trials),
                "bath_high_K": max(one.bath_K for one in trials),
                "time_low_s": min(one.time_s for one in trials),
                "time_high_s": max(one.time_s for one in trials)})
    return groups


def _trials(count: int) -> str:
    return f"{count} trial{'s' * (count != 1)}"


def check(options: argparse.Namespace) -> None:
    """Read a log; name every error, or what each steel has and what looks like a slip."""
    log = read_log_of(options)
    groups, remarks = _groups(log), log.check()
    if options.json:
        print_json({"groups": groups, "remarks": remarks})
        return
    print(f"{named(*options.trials)}: {_trials(len(log))}, no error")
    for group in groups:
        low, high = (oxtint.format_temperature(group[name], options.units)
                     for name in ("bath_low_K", "bath_high_K"))
        first, last = (oxtint.format_duration(group[name]) for name in ("time_low_s", "time_high_s"))
        name = group["steel"] + (f", {group['finish']}" if group["finish"] else "")
        print(f"  {name:<28} {_trials(group['trials']):>11}, {low} to {high}, {first} to {last}")
    print("Remarks" if remarks else "Remarks: none")
    for one in remarks:
        print(item(str(one), 98))


def fit_choices(options: argparse.Namespace) -> dict[str, Any]:
    """What the options choose of a fit."""
    return {"film": film_of(options), "robust": options.robust,
            "lifted": options.lifted, "rounding": options.rounding,
            "reader_sd": options.reader_sd, "law": options.law, "law_shape": options.law_shape,
            "with_initial": options.with_initial,
            "bath_sd_K": _core.kelvin_difference(options.bath_sd, "bath_sd"),
            "time_sd_s": _core.seconds(options.time_sd, "time_sd"),
            "prior": oxtint.Prior.mild_steel() if options.prior else None}


def fit(options: argparse.Namespace) -> None:
    """Fit one steel, print what was found and a table of dips, and save its card."""
    check_output(options, lib.OXT_FILE_CARD)
    log = read_log_of(options)
    found = oxtint.fit(log, options.steel, options.finish, **fit_choices(options))
    boot = bootstrapping.run(found, options) if options.bootstrap else None
    drawn = bootstrapping.report(found, boot, options) if boot else ""
    proof = found.cross_validate() if options.proof else None
    if options.save == "-":
        print(found.steel.to_card())
        return
    if options.save:
        found.steel.save(options.save, overwrite=options.force)
    if options.json:
        extra: dict[str, Any] = {"bootstrap": bootstrapping.values(found, boot, options.seed)} if boot else {}
        if proof:
            extra["proof"] = {**proof.to_dict(), "rows": proof.rows}
        print_json({**json.loads(found.to_json()), **extra})
        return
    print(found.report(options.units) + (proof.report(options.units) if proof else "") + drawn, end="")
    table = oxtint.dip_table(found.steel, unit=options.units, film=film_of(options))
    print(table.report(cautions=options.cautions))
    if options.save:
        print(f"Saved {options.save}")


def _any_fit(options: argparse.Namespace) -> oxtint.Fit:
    """The fit of a log whose constants are not what is asked for: too few trials, or one bath, leave to what is known
    of mild steel what they do not determine."""
    log = read_log_of(options)
    try:
        return oxtint.fit(log, options.steel, options.finish)
    except oxtint.OxtintValueError as error:
        if error.code not in ("EFEW", "EIDENT") or math.isnan(error.value):
            raise
        return oxtint.fit(log, options.steel, options.finish, prior=oxtint.Prior.mild_steel())


def drift(options: argparse.Namespace) -> None:
    """Report since which coupon a bath runs fast or slow."""
    found = _any_fit(options).drift()
    if options.json:
        print_json(found)
        return
    print(found.report(cautions=options.cautions).rstrip())


def laws(options: argparse.Namespace) -> None:
    """Compare laws of growth on the trials of one steel."""
    found = _any_fit(options).laws()
    if options.json:
        print(found.to_json())
        return
    print(found.report(options.units).rstrip())
