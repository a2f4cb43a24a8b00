# SPDX-License-Identifier: GPL-3.0-or-later
"""The page for a phone beside the pot."""
from __future__ import annotations

import argparse
from typing import Any

import oxtint

from .. import _core
from .._oxtint import lib
from .bench import part_of, paths_of
from .files import check_output, film_of, read_card, read_words
from .sets import planned
from .terminal import progress


def _parts(options: argparse.Namespace) -> dict[str, Any]:
    """The parts by name, which is the size where none is given."""
    found: dict[str, Any] = {}
    for text in options.part:
        name, _, size = text.rpartition("=")
        name = name.strip() or size.strip()
        if name in found:
            raise oxtint.OxtintValueError(f"--part {text}: found the name '{name}' twice, expected one for each part")
        found[name] = part_of(size.strip(), options.shape)
    return found


def _cards(paths: list[str]) -> tuple[list[oxtint.Steel], list[str]]:
    """The steels, and what is wrong with each card that has none; an error where all are so."""
    steels: list[oxtint.Steel] = []
    refused: list[str] = []
    for path in paths:
        try:
            steels.append(read_card(path))
        except oxtint.OxtintError as error:
            if len(paths) == len(refused) + 1:
                raise
            refused.append(str(error))
    return steels, refused


def page(options: argparse.Namespace) -> None:
    """Write the page."""
    if (options.parts is None) != (options.bath is None):
        raise oxtint.OxtintValueError("to show a set give both --set and --bath")
    check_output(options, lib.OXT_FILE_PAGE)
    steels, refused = _cards(options.cards)
    plan = planned(options, read_words(options)) if options.parts else None
    unit = options.units or (_core.unit_of(options.bath) if options.bath else "F")
    told = paths_of(vars(options)) | {"last_temper": tuple(options.last_temper) if options.last_temper else None}
    with progress("page") as tell:
        oxtint.bench_page(
            steels, options.save, parts=_parts(options), targets=options.target, plan=plan, low=options.low,
            high=options.high, unit="F" if unit == "K" else unit, film=film_of(options),
            bath_wander_K=_core.kelvin_difference(options.bath_wander, "bath_wander"),
            time_wander_s=_core.seconds(options.time_wander, "time_wander"), overwrite=options.force,
            notes=[f"Not on this page: {one}." for one in refused], progress=tell, **told)
    print(f"Saved {options.save}")
    if refused:
        raise oxtint.OxtintValueError(f"not on the page: {'; '.join(refused)}")
