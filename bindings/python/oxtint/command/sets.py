# SPDX-License-Identifier: GPL-3.0-or-later
"""A set of parts to one colour, from a list of them."""
from __future__ import annotations

import argparse
import csv
import io
import itertools
import pathlib

import oxtint

from .._core import PARAMETERS, kelvin_difference, retell, seconds
from .._oxtint import ffi, lib
from ..faults import read_whole
from .bench import check_load, part_of, paths_of, salt_bath_of
from .files import FileFaults, fault_at, named, read_text, read_words, telling_faults
from .terminal import progress

_NEEDED = ("name", "card", "target")
_SIZES = ("part", "lift", "coupon", "coupon_lift")
_NUMBERS = (*_SIZES, "load_kg")
_COLUMNS = (*_NEEDED, "finish", "shape", *_NUMBERS)
_Row = dict[str, str]


def _load_kg(row: _Row, options: argparse.Namespace) -> float:
    text = row.get("load_kg") or "0"
    try:
        return check_load(float(text), options, f"load_kg {text}")
    except ValueError as error:
        if isinstance(error, oxtint.OxtintError):
            raise
        raise oxtint.OxtintValueError(f"load_kg: found '{text}', expected a number of kg") from None


def _part(row: _Row, folder: pathlib.Path, words: oxtint.Words | None,
          options: argparse.Namespace) -> oxtint.SetPart:
    steel = oxtint.load_steel(folder / row["card"])
    film = oxtint.Film(finish=row.get("finish") or "mirror", words=steel.words if words is None else words)
    return oxtint.SetPart(
        row["name"], steel, film.target(row["target"]), film=film,
        part=part_of(row.get("part"), row.get("shape") or "plate"), **paths_of(row),
        salt_bath=salt_bath_of(options), load_kg=_load_kg(row, options))


def _separator(path: str, text: str) -> str:
    """The one by which most columns of the header are known, as in a log of coupons."""
    data, found = text.encode(), ffi.new("char *")
    names = [ffi.new("char[]", name.encode()) for name in _COLUMNS]
    with telling_faults(path):
        read_whole(lib.oxt_trials_csv_separator, found, oxtint.TrialFileError, data, len(data), names, len(names))
    return str(found[0].decode())


def _cells(row: list[str]) -> list[str]:
    """Those of a line, without the empty ones that spreadsheets write at its end."""
    cells = [cell.strip() for cell in row]
    while cells and not cells[-1]:
        cells.pop()
    return cells


def _with_points(header: list[str], cells: list[str], separator: str) -> list[str]:
    """Sizes and times with a decimal point, where a comma does not separate the columns."""
    return [cell.replace(",", ".", 1) if column in _NUMBERS and separator != "," else cell
            for column, cell in itertools.zip_longest(header[:len(cells)], cells, fillvalue="")]


def _rows(path: str) -> list[tuple[int, list[str]]]:
    """The lines that hold anything, by their number; the header is the first."""
    text = read_text(path)
    separator = _separator(path, text)
    lines = ("\n" if line.startswith("#") else line for line in io.StringIO(text, newline=""))
    reader = csv.reader(lines, delimiter=separator, skipinitialspace=True, strict=True)
    try:
        rows = [(reader.line_num, _cells(row)) for row in reader if _cells(row) not in ([], ["sep="])]
    except csv.Error as error:
        raise oxtint.OxtintValueError(f"{named(path)}:{reader.line_num}: {error}, expected CSV") from None
    header = rows[0][1] if rows else []
    return rows[:1] + [(line, _with_points(header, cells, separator)) for line, cells in rows[1:]]


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
    options: argparse.Namespace, words: oxtint.Words | None
) -> tuple[list[tuple[str, _Row]], list[oxtint.SetPart]]:
    """Where each part stands in the file with its cells, and the parts; every fault of the file at once."""
    path = options.parts
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
            made.append(_part(row, folder, words, options))
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


def planned(options: argparse.Namespace, words: oxtint.Words | None) -> oxtint.SetPlan:
    """The plan of the parts in a file."""
    places, given = _read_parts(options, words)
    try:
        with progress("plan") as tell:
            return oxtint.plan_set(
                given, options.bath, spacing=options.spacing, tolerance=options.tolerance,
                random_seed=options.seed,
                bath_wander_K=kelvin_difference(options.bath_wander, "bath_wander"),
                time_wander_s=seconds(options.time_wander, "time_wander"), progress=tell)
    except oxtint.OxtintError as error:
        if not 0 < error.row <= len(places):
            raise
        place, row = places[error.row - 1]
        _retell(error, row)
        raise oxtint.OxtintValueError(f"{place}: {error}") from None


def plan(options: argparse.Namespace) -> None:
    """Plan a set."""
    found = planned(options, read_words(options))
    if options.json:
        print(found.to_json())
        return
    print(found.report(options.units, cautions=options.cautions), end="")
