# SPDX-License-Identifier: GPL-3.0-or-later
"""Tables in and out: columns by name, as pandas, polars, pyarrow and a dict of arrays have them alike.

None of these libraries is needed or imported here: a table is what gives its columns by their names.
"""
from __future__ import annotations

import csv
import importlib
import io
import math
import numbers
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any, Protocol, TypeGuard

import numpy as np
from numpy.typing import NDArray

from .error import OxtintTypeError, OxtintValueError


class Frame(Protocol):
    """A DataFrame of pandas or polars, or a table of pyarrow."""

    @property
    def columns(self) -> Any:
        """The names of its columns."""

    def __getitem__(self, name: Any, /) -> Any:
        """One column."""


def pandas() -> Any:
    """The library, for results that are asked for as its DataFrame."""
    try:
        return importlib.import_module("pandas")
    except ImportError:
        raise OxtintValueError("a DataFrame needs pandas: pip install pandas") from None


Columns = Mapping[str, Any] | Frame | Sequence[Mapping[str, Any]]  #: what is taken for a table

_MISSING = ("NoneType", "NAType", "NaTType")  # by name: pandas need not be there
_LINE_END = re.compile(r"\r\n|\r|\n")

# Fields of a result that hold several numbers, and the columns that these go to.
_PARTS = {
    "lab": ("L", "a", "b"),
    "srgb": ("srgb_red", "srgb_green", "srgb_blue"),
    "interval_s": ("interval_low_s", "interval_high_s"),
    "next_interval_s": ("next_low_s", "next_high_s"),
}


# ---- in ----

def is_table(thing: Any) -> TypeGuard[Columns]:
    """Whether a thing gives columns by name."""
    return isinstance(thing, Mapping) or (hasattr(thing, "columns") and hasattr(thing, "__getitem__"))


def is_records(thing: Any) -> TypeGuard[Sequence[Mapping[str, Any]]]:
    """Whether a thing is a list of dicts, a row each."""
    return isinstance(thing, (list, tuple)) and all(isinstance(row, Mapping) for row in thing)


def columns_of(records: Sequence[Mapping[str, Any]]) -> dict[str, list[Any]]:
    """Rows as columns; what a row leaves out is missing."""
    names = dict.fromkeys(name for record in records for name in record)
    return {name: [record.get(name) for record in records] for name in names}


def named_columns(table: Columns) -> dict[str, Any]:
    """The columns of a table by their names, as they are; of a list of dicts, lists."""
    if is_records(table):
        table = columns_of(table)
    if not is_table(table):
        raise OxtintTypeError(f"table is {type(table).__name__}, expected columns by name, a DataFrame or a dict, "
                        "or a list of dicts")
    named: Any = table  # pyarrow's columns have no names
    keys = list(named if isinstance(table, Mapping) else getattr(named, "column_names", named.columns))
    names = [str(key) for key in keys]
    for name in names:
        if names.count(name) > 1:
            raise OxtintValueError(f"column {name!r} is there {names.count(name)} times, expected once")
    return {name: named[key] for name, key in zip(names, keys)}


def must_be_as_long(lengths: Mapping[str, int]) -> None:
    """All columns have as many values as the first."""
    for name, length in lengths.items():
        first = next(iter(lengths))
        if length != lengths[first]:
            raise OxtintValueError(f"column {name!r} has {length} values, expected {lengths[first]} as in "
                                   f"{first!r}")


def cells_of(table: Columns) -> dict[str, list[str]]:
    """What the cells of a CSV file would hold for a table, column by column."""
    found = {name: values_of(name, column) for name, column in named_columns(table).items()}
    must_be_as_long({name: len(values) for name, values in found.items()})
    return {name: [cell(value) for value in values] for name, values in found.items()}


def values_of(name: str, column: Any) -> list[Any]:
    """The values of a column, whatever it is."""
    for convert in ("to_list", "tolist", "to_pylist"):  # of pandas and polars; NumPy; pyarrow
        if hasattr(column, convert):
            column = getattr(column, convert)()
            break
    if isinstance(column, (str, bytes)) or not isinstance(column, Iterable):
        raise OxtintTypeError(f"column {name!r} is {type(column).__name__}, expected a list of values")
    return list(column)


def cell(value: Any) -> str:
    """What a CSV file would hold for a value, number for number; nothing for a missing one."""
    if isinstance(value, str):
        return value
    if type(value).__name__ in _MISSING:
        return ""
    if isinstance(value, bytes):
        return value.decode("utf-8", "surrogateescape")
    if isinstance(value, numbers.Real) and not isinstance(value, numbers.Rational):
        return "" if math.isnan(value) else repr(float(value))
    return str(value)


def csv_of(cells: dict[str, list[str]]) -> bytes:
    """Cells as CSV for the reader in C."""
    buffer = io.StringIO()
    # All is quoted: a file's cells are trimmed, and its lines with # skipped, but a table's are not.
    writer = csv.writer(buffer, quoting=csv.QUOTE_ALL, lineterminator="\n")
    writer.writerow(cells)
    writer.writerows(zip(*cells.values()))
    # A half of a surrogate pair is no UTF-8: the reader names the row and the column.
    return buffer.getvalue().encode("utf-8", "surrogatepass")


def lines_of(cells: dict[str, list[str]]) -> list[int]:
    """The line of that CSV on which each row begins: cells may hold line ends."""
    lines, line = [], 1 + sum(len(_LINE_END.findall(name)) for name in cells)
    for row in zip(*cells.values()):
        line += 1
        lines.append(line)
        line += sum(len(_LINE_END.findall(cell)) for cell in row)
    return lines


# ---- out ----

def columns(what: Any) -> dict[str, NDArray[Any]]:
    """A result that is a table, as columns: a dict that pandas.DataFrame, polars.DataFrame and
    pyarrow.table take as it is.

    Args:
        what: a log, a history, a bootstrap, baths compared, a table of dips, or a list of results of one
            kind: Fit.rows, Film.tints(), Advice.coupons, Laws.values(), Pool.table, SetPlan.steps,
            fits, steels, dips, dicts

    Returns:
        arrays by name, with the units in the names. Numbers that are not there are NaN, texts None. A log
        has the columns of its CSV file (docs/reference/columns.md), so that it reads back; a dip its target as
        ``target_...``, and the names of its cautions as one text.

    >>> from oxtint import Film
    >>> bands = columns(Film().tints())
    >>> list(bands)
    ['index', 'order', 'other_index', 'name', 'label', 'low_nm', 'high_nm', 'centre_nm']
    >>> bands["low_nm"][:3].round(1).tolist()
    [0.0, 5.9, 14.0]
    """
    own = getattr(what, "_columns", None)
    if own is not None:
        return dict(own())
    if is_dataclass(what) or isinstance(what, (str, Mapping)) or not isinstance(what, Iterable):
        raise OxtintTypeError(f"{type(what).__name__} is no table, expected a log, a history, a bootstrap or a "
                        "list of results")
    rows = [_flat(_record(record)) for record in what]
    names = dict.fromkeys(name for row in rows for name in row)
    return {name: as_array([row.get(name) for row in rows]) for name in names}


def _record(record: Any) -> dict[str, Any]:
    """The fields of a result by name."""
    if isinstance(record, Mapping):
        return dict(record)
    if hasattr(record, "_record"):
        return dict(record._record())
    if hasattr(record, "_asdict"):
        return dict(record._asdict())
    if is_dataclass(record):
        return {field.name: getattr(record, field.name) for field in fields(record)
                if not field.name.startswith("_")}
    raise OxtintTypeError(f"a row is {type(record).__name__}, expected a result of oxtint or a dict")


def _flat(record: dict[str, Any], prefix: str = "") -> dict[str, Any]:
    """Fields of one value each."""
    flat: dict[str, Any] = {}
    for name, value in record.items():
        if name == "growth":  # of one law in Python
            flat |= {prefix + part: number for part, number in value.items() if part != "law"}
        elif name == "cautions":
            flat[prefix + name] = "; ".join(caution.name for caution in value)
        elif isinstance(value, tuple) and name in _PARTS:
            flat |= {prefix + part: number for part, number in zip(_PARTS[name], value)}
        elif is_dataclass(value) or isinstance(value, Mapping):
            flat |= _flat(_record(value), f"{prefix}{name}_")
        else:
            flat[prefix + name] = value
    return flat


def as_array(values: list[Any]) -> NDArray[Any]:
    """An array of truth values, whole numbers, numbers or texts; NaN or None where nothing is."""
    kinds = {type(value) for value in values}
    given = kinds - {type(None)}
    truth = {kind for kind in given if issubclass(kind, (bool, np.bool_))}
    if given and not truth and all(issubclass(kind, numbers.Real) for kind in given):
        whole = kinds == given and all(issubclass(kind, numbers.Integral) for kind in given)
        return np.array([math.nan if value is None else value for value in values],
                        dtype=np.int64 if whole else np.float64)
    if truth and truth == kinds:
        return np.array(values, dtype=bool)
    array = np.empty(len(values), dtype=object)
    for place, value in enumerate(values):  # at once, tuples of one length would be taken for rows
        array[place] = value
    return array
