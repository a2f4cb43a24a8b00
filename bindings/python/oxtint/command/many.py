# SPDX-License-Identifier: GPL-3.0-or-later
"""Fit of one steel, or of each steel and finish of a log."""
from __future__ import annotations

import argparse
import csv
import math
import os
import re
import sys

import numpy as np
import oxtint

from . import logs
from .files import named, read_log_of
from .terminal import print_json, progress


def fit(options: argparse.Namespace) -> None:
    """Fit one steel, or with --each all of them."""
    alone = {"--save": options.save, "--bootstrap": options.bootstrap}
    together = {"--save-dir": options.save_dir, "--csv": options.csv}
    for name, given in (alone if options.each else together).items():
        if given:
            raise oxtint.OxtintValueError(
                f"{name} is for {'one steel, expected no --each with it; --save-dir saves a card of each' if options.each else 'many steels, expected --each with it'}")
    if options.csv and options.json:
        raise oxtint.OxtintValueError("--csv and --json are both given, expected one of them")
    if options.each:
        _fit_each(options)
    else:
        logs.fit(options)


def _fit_each(options: argparse.Namespace) -> None:
    log = read_log_of(options)
    with progress("fits") as tell:
        fits = oxtint.fit_each(log, options.steel, options.finish, progress=tell, **logs.fit_choices(options))
    saved = _save(fits, options) if options.save_dir else 0
    if options.json:
        columns = oxtint.columns(fits)
        print_json({"fits": [dict(zip(columns, row)) for row in zip(*(values.tolist() for values in columns.values()))]})
    elif options.csv:
        _write_csv(fits)
    else:
        print(fits.report(options.units), end="")
        if options.save_dir:
            print(f"Saved {saved} card{'s' * (saved != 1)} in {options.save_dir}")
    if not fits.fitted.any():
        raise oxtint.OxtintValueError(f"no steel of {named(*options.trials)} could be fitted")


def _save(fits: oxtint.Fits, options: argparse.Namespace) -> int:
    """A card of each that was fitted, under a name that any file system takes."""
    os.makedirs(options.save_dir, exist_ok=True)
    taken: set[str] = set()
    for index in np.flatnonzero(fits.fitted).tolist():
        group = fits.groups[index]
        stem = re.sub(r"[^\w.+-]+", "_", group.steel + (f"-{group.finish}" if group.finish else "")).strip(".") or "steel"
        name, number = stem, 1
        while name.casefold() in taken:
            number += 1
            name = f"{stem}_{number}"
        taken.add(name.casefold())
        fits[index].steel.save(os.path.join(options.save_dir, f"{name}.json"), overwrite=options.force)
    return len(taken)


def _write_csv(fits: oxtint.Fits) -> None:
    columns = oxtint.columns(fits)
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(["" if isinstance(cell, float) and math.isnan(cell) else cell for cell in row]
                     for row in zip(*(values.tolist() for values in columns.values())))
