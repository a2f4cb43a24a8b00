# SPDX-License-Identifier: GPL-3.0-or-later
"""A set of parts to one colour, from a list of them."""
from __future__ import annotations

import argparse
import csv
import io
import pathlib

import oxtint

from .._core import PARAMETERS, retell
from .bench import lift_of, part_of
from .files import FileFaults, fault_at, named, read_text, read_words
from .terminal import print_json

_NEEDED = ("name", "card", "target")
_COLUMNS = (*_NEEDED, "finish", "part", "shape", "lift")
_Row = dict[str, str]


def _part(row: _Row, folder: pathlib.Path, words: oxtint.Words | None) -> oxtint.SetPart:
    film = oxtint.Film(finish=row.get("finish") or "mirror", words=words)
    return oxtint.SetPart(
        row["name"], oxtint.load_steel(folder / row["card"]), film.target(row["target"]), film=film,
        part=part_of(row.get("part"), row.get("shape") or "plate"), lift=lift_of(row.get("lift")))


def _rows(path: str) -> list[tuple[int, list[str]]]:
    """The lines that hold anything, by their number; the header is the first."""
    reader = csv.reader(io.StringIO(read_text(path), newline=""), skipinitialspace=True, strict=True)
    try:
        return [(reader.line_num, [cell.strip() for cell in row]) for row in reader if row]
    except csv.Error as error:
        raise oxtint.OxtintValueError(f"{named(path)}:{reader.line_num}: {error}, expected CSV") from None


def _check_header(path: str, rows: list[tuple[int, list[str]]]) -> list[str]:
    if not rows:
        raise oxtint.OxtintValueError(
            f"{named(path)}: found nothing, expected a header: {', '.join(_COLUMNS)}")
    line, header = rows[0]
    faults = [fault_at(path, line, "", column, f"one of {', '.join(_COLUMNS)}")
              for column in header if column not in _COLUMNS]
    faults += [fault_at(path, line, column, "", "this column") for column in _NEEDED if column not in header]
    faults += [fault_at(path, line, column, column, "it once") for column in dict.fromkeys(header)
               if header.count(column) > 1 and column in _COLUMNS]
    if faults:
        raise FileFaults(path, faults)
    return header


def _retell(error: oxtint.OxtintError, row: _Row) -> None:
    """Let an error speak of the cells of a line, by their columns."""
    retell(error, [(PARAMETERS.get(column), column, text) for column, text in row.items()])


def _read_parts(
    path: str, words: oxtint.Words | None
) -> tuple[list[tuple[str, _Row]], list[oxtint.SetPart]]:
    """Where each part stands in the file with its cells, and the parts; every fault of the file at once."""
    folder = pathlib.Path("." if path == "-" else path).parent
    rows = _rows(path)
    header = _check_header(path, rows)
    places, made, faults = [], [], []
    for line, cells in rows[1:]:
        row, place = dict(zip(header, cells)), f"{named(path)}:{line}"
        missing = [fault_at(path, line, column, "", f"a {column}")
                   for column in _NEEDED if not row.get(column)]
        if len(cells) > len(header):
            missing.append(fault_at(path, line, "", cells[len(header)], f"{len(header)} cells"))
        if missing:
            faults += missing
            continue
        try:
            made.append(_part(row, folder, words))
            places.append((place, row))
        except (oxtint.OxtintError, TypeError) as error:
            if isinstance(error, oxtint.OxtintError):
                _retell(error, row)
            faults.append(f"{place}: {error}")
    if faults:
        raise FileFaults(path, faults)
    if not made:
        raise oxtint.OxtintValueError(f"{named(path)}: found no part, expected a line for each")
    return places, made


def parts(options: argparse.Namespace) -> None:
    """Plan a set."""
    places, given = _read_parts(options.parts, read_words(options))
    try:
        plan = oxtint.plan_set(
            given, options.bath, spacing=options.spacing, tolerance=options.tolerance,
            random_seed=options.seed,
            bath_wander_K=oxtint.parse_temperature_difference(options.bath_wander),
            time_wander_s=oxtint.parse_duration(options.time_wander))
    except oxtint.OxtintError as error:
        if not 0 < error.row <= len(places):
            raise
        place, row = places[error.row - 1]
        _retell(error, row)
        raise oxtint.OxtintValueError(f"{place}: {error}") from None
    if options.json:
        print_json(plan)
        return
    print(plan.report(options.units, cautions=options.cautions), end="")
