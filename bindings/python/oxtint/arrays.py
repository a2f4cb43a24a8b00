# SPDX-License-Identifier: GPL-3.0-or-later
"""Columns of a table as they lie in memory, for oxt_trials_add_columns: what of them is an array is not copied, and
a text that repeats is checked once."""
from __future__ import annotations

import importlib
import math
from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from . import _core
from ._oxtint import ffi, lib
from .error import OxtintTypeError
from .tables import Columns, cell, must_be_as_long, named_columns, values_of

_KINDS = {
    "f8": lib.OXT_COLUMN_DOUBLE, "f4": lib.OXT_COLUMN_FLOAT, "i1": lib.OXT_COLUMN_INT8,
    "i2": lib.OXT_COLUMN_INT16, "i4": lib.OXT_COLUMN_INT32, "i8": lib.OXT_COLUMN_INT64,
    "u1": lib.OXT_COLUMN_UINT8, "u2": lib.OXT_COLUMN_UINT16, "u4": lib.OXT_COLUMN_UINT32,
    "u8": lib.OXT_COLUMN_UINT64,
}


class Lying(NamedTuple):
    """A column: numbers, or codes of texts, in an array of a kind that C reads."""

    values: NDArray[Any]
    texts: Sequence[str] | None = None  #: that the values are codes of
    missing: NDArray[np.bool_] | None = None


def lying(name: str, column: Any) -> Lying:
    """A column as it lies in memory, or the nearest to it.

    Args:
        name: of the column, for messages
        column: of pandas, polars, pyarrow or NumPy, or a list
    """
    library = type(column).__module__.partition(".")[0]
    if library == "pandas":
        return _of_pandas(name, column)
    if library == "polars":
        return _of_polars(name, column)
    if library == "pyarrow":
        return _of_arrow(name, column)
    if isinstance(column, np.ndarray):
        return _of_array(name, column)
    return _of_values(name, values_of(name, column))


def _texts(values: list[Any]) -> list[str]:
    """What the cells of a CSV file would hold; mostly they are texts."""
    return values if set(map(type, values)) <= {str} else [cell(value) for value in values]


# ---- libraries of tables, none of which is imported here unless its column is ----

def _of_pandas(name: str, column: Any) -> Lying:
    dtype = column.dtype
    categories = getattr(dtype, "categories", None)
    if categories is not None and hasattr(column, "cat"):
        return Lying(column.cat.codes.to_numpy(), _texts(categories.tolist()))
    if isinstance(dtype, np.dtype):
        return _of_array(name, column.to_numpy())
    if getattr(dtype, "kind", "") in ("i", "u", "f"):
        return Lying(column.to_numpy(dtype=np.float64, na_value=math.nan))
    if getattr(dtype, "type", None) is str:
        codes, texts = column.factorize()  # -1 where nothing is
        return Lying(codes, _texts(texts.tolist()))
    return _of_values(name, column.tolist())


def _of_polars(name: str, column: Any) -> Lying:
    dtype = column.dtype
    if dtype.is_numeric() and not dtype.is_decimal():
        return _of_array(name, column.to_numpy())
    polars = importlib.import_module("polars")
    if dtype in (polars.String, polars.Categorical, polars.Enum):
        texts = column.drop_nulls().unique(maintain_order=True).cast(polars.String).to_list()
        codes = column.cast(polars.String).cast(polars.Enum(texts)).to_physical()
        nothing = codes.is_null().to_numpy()
        return Lying(codes.fill_null(0).to_numpy(), texts, nothing if nothing.any() else None)
    return _of_values(name, column.to_list())


def _of_arrow(name: str, column: Any) -> Lying:
    kind = str(column.type)
    if kind in ("string", "large_string", "string_view"):
        column = column.cast("string") if kind == "string_view" else column
        column, kind = column.dictionary_encode(), "dictionary"
    if kind.startswith("dictionary"):
        if hasattr(column, "unify_dictionaries"):
            column = column.unify_dictionaries().combine_chunks()
        pieces = column.chunks if hasattr(column, "chunks") else [column]
        if len(pieces) <= 1:
            return Lying(_joined([piece.indices.cast("int64").fill_null(-1) for piece in pieces]),
                         _texts([text for piece in pieces for text in piece.dictionary.to_pylist()]))
        return _of_values(name, column.to_pylist())
    if kind in ("double", "float", *(f"{sign}int{bits}" for sign in ("", "u") for bits in (8, 16, 32, 64))):
        return _of_array(name, column.to_numpy(**({} if hasattr(column, "chunks") else
                                                  {"zero_copy_only": False})))
    return _of_values(name, column.to_pylist())


def _joined(pieces: list[Any]) -> NDArray[Any]:
    arrays = [piece.to_numpy(zero_copy_only=False) for piece in pieces]
    return np.concatenate(arrays) if arrays else np.empty(0, dtype=np.int64)


# ---- arrays and lists ----

def _of_array(name: str, array: NDArray[Any]) -> Lying:
    if array.ndim != 1:
        raise OxtintTypeError(f"column {name!r} is an array of {array.ndim} dimensions, expected one")
    missing = None
    if isinstance(array, np.ma.MaskedArray):
        missing = np.ma.getmaskarray(array)
        array = array.data
    if array.dtype.kind in "iuf":
        native = array.dtype.newbyteorder("=")
        if f"{native.kind}{native.itemsize}" not in _KINDS:  # of half and of extended precision
            native = np.dtype(np.float64)
        return Lying(array.astype(native, copy=False), None, missing)
    if array.dtype.kind == "b":
        return Lying(array.view(np.int8), ["False", "True"], missing)
    if array.dtype.kind in "US" and array.dtype.itemsize:
        codes, firsts = _codes(array, len(array))
        return Lying(codes, [cell(text) for text in array[firsts].tolist()], missing)
    if array.dtype.kind == "O":
        found = _of_objects(array)
        if found is not None:
            return found._replace(missing=missing)
    return _of_values(name, array.tolist())._replace(missing=missing)


def _codes(array: NDArray[Any], most: int) -> tuple[NDArray[np.int32], NDArray[np.int64]]:
    """Numbers for what differs in an array, in order of appearance, and where each is first; none when more differ."""
    codes, firsts = np.empty(len(array), dtype=np.int32), np.empty(most, dtype=np.int64)
    start = ffi.cast("char *", array.ctypes.data)
    found = lib.short_codes(start, array.strides[0], array.itemsize, len(array),
                            ffi.from_buffer("int32_t[]", codes), ffi.from_buffer("int64_t[]", firsts), most)
    return codes, firsts[:max(found, 0)]


def _of_objects(array: NDArray[Any]) -> Lying | None:
    """A column of few different objects, told apart by where they are."""
    codes, firsts = _codes(array, len(array) // 4 + 16)
    if not len(firsts) and len(array):
        return None
    objects = array[firsts].tolist()
    if _are_numbers(objects):
        return Lying(np.array(objects, dtype=np.float64)[codes])
    return Lying(codes, [cell(value) for value in objects])


def _are_numbers(values: Sequence[Any]) -> bool:
    """Whether all are numbers that a float holds, or None, and some is a number."""
    kinds = set(map(type, values))
    given = kinds - {type(None)}
    if not given or any(issubclass(kind, (bool, np.bool_)) or
                        not issubclass(kind, (float, int, np.floating, np.integer)) for kind in given):
        return False
    return all(issubclass(kind, (float, np.floating)) for kind in given) or max(
        abs(value) for value in values if value is not None and not value != value) <= 2**53


def _of_values(name: str, values: list[Any]) -> Lying:
    if _are_numbers(values):
        return Lying(np.array(values, dtype=np.float64))
    objects = np.empty(len(values), dtype=object)
    objects[:] = values if all(not isinstance(value, (list, tuple, np.ndarray)) for value in values) else [
        cell(value) for value in values]
    found = _of_objects(objects)
    if found is None or found.texts is None:
        texts = dict.fromkeys(cell(value) for value in values)
        places = {text: place for place, text in enumerate(texts)}
        found = Lying(np.fromiter((places[cell(value)] for value in values), np.int32, len(values)), list(texts))
    return found


# ---- to C ----

def lying_columns(table: Columns) -> dict[str, Lying]:
    """The columns of a table, as long as each other."""
    found = {name: lying(name, column) for name, column in named_columns(table).items()}
    must_be_as_long({name: len(column.values) for name, column in found.items()})
    return found


def structs(columns: dict[str, Lying]) -> tuple[Any, list[Any]]:
    """Pointers to an oxt_column each, and what must live as long as they are used."""
    keep: list[Any] = [columns]
    pointers = ffi.new("oxt_column *[]", len(columns))
    for place, (name, column) in enumerate(columns.items()):
        made = _core.new_struct("oxt_column")
        made.name = _encoded([name], keep)[0]
        values = column.values
        made.kind = _KINDS[f"{values.dtype.kind}{values.dtype.itemsize}"]
        made.values, made.stride = ffi.cast("void *", values.ctypes.data), values.strides[0]
        if column.texts is not None:
            made.levels, made.level_count = _encoded(column.texts, keep), len(column.texts)
        if column.missing is not None:
            made.missing = ffi.cast("unsigned char *", column.missing.ctypes.data)
            made.missing_stride = column.missing.strides[0]
        keep.append(made)
        pointers[place] = made
    return pointers, keep


def _encoded(texts: Sequence[str], keep: list[Any]) -> Any:
    """Texts for C, one block of bytes and pointers into it."""
    # A half of a surrogate pair is no UTF-8, nor is this way to write a NUL: C names the row and the column.
    whole = "\0".join(texts).encode("utf-8", "surrogatepass") + b"\0"
    if whole.count(b"\0") > max(len(texts), 1):
        whole = b"\0".join(text.encode("utf-8", "surrogatepass").replace(b"\0", b"\xc0\x80") for text in texts) + b"\0"
    block, ends = ffi.from_buffer(whole), np.flatnonzero(np.frombuffer(whole, np.uint8) == 0)
    pointers = np.concatenate([[0], ends[:-1] + 1]).astype(np.uintp) + np.uintp(int(ffi.cast("uintptr_t", block)))
    keep += [block, pointers]
    return ffi.cast("char **", pointers.ctypes.data)


def texts_at(codes: NDArray[np.int32], texts: Sequence[str | None]) -> NDArray[Any]:
    """The text of each code; None where it is below 0."""
    known = np.empty(len(texts) + 1, dtype=object)
    known[:-1], known[-1] = texts, None
    return known[codes]
