# SPDX-License-Identifier: GPL-3.0-or-later
"""Plumbing between Python and the C library: errors, texts, structs, arrays. No science here."""
from __future__ import annotations

import functools
import os
from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from . import errors
from ._oxtint import ffi, lib

Array = NDArray[np.float64]

_CLASSES: dict[int, type[errors.OxtintError]] = {
    lib.OXT_EIO: errors.OxtintOSError,
    lib.OXT_EEXIST: errors.OxtintFileExistsError,
    lib.OXT_ENOMEM: errors.OxtintMemoryError,
    lib.OXT_EBUG: errors.OxtintBugError,
}

#: What a number is at its plainest, for which a call has a short way.
PLAIN = frozenset({float, int, np.float64})

UNITS = {"K": lib.OXT_KELVIN, "C": lib.OXT_CELSIUS, "F": lib.OXT_FAHRENHEIT}


def decode(text: Any) -> str:
    """A Python string of a C text."""
    return str(ffi.string(text).decode("utf-8", "replace"))


def encode(text: str, name: str) -> bytes:
    """The UTF-8 of a text for C, which ends it at the first NUL."""
    if not isinstance(text, str):
        raise TypeError(f"{name} is {type(text).__name__}, expected str")
    if "\0" in text:
        raise errors.OxtintValueError(f"{name} contains a NUL character")
    return text.encode("utf-8")


def encode_path(path: str | os.PathLike[str]) -> bytes:
    """The bytes of a file name."""
    name = os.fsencode(path)
    if b"\0" in name:
        raise errors.OxtintValueError("path contains a NUL character")
    return name


def replace(overwrite: bool) -> Any:
    """What a save may replace: a file of its own kind, or any."""
    return lib.OXT_REPLACE_ANY if overwrite else lib.OXT_REPLACE_SAME_KIND


def error_from(
    status: int, error: Any, kind: type[errors.OxtintError] | None = None
) -> errors.OxtintError:
    """The exception for a failed call."""
    kind = kind or _CLASSES.get(status, errors.OxtintValueError)
    raised = kind(decode(error.text))
    raised.code = decode(lib.oxt_status_name(status)).removeprefix("OXT_")
    raised.parameter = decode(error.parameter)
    raised.value, raised.low, raised.high = error.value, error.low, error.high
    raised.row, raised.column = error.row, decode(error.column)
    return raised


def new_error() -> Any:
    """An empty oxt_error."""
    error = ffi.new("oxt_error *")
    error.struct_size = ffi.sizeof("oxt_error")
    return error


def call(function: Callable[..., int], *arguments: Any) -> None:
    """Call a fallible function, whose last argument is the error, and raise what it reports."""
    error = new_error()
    status = function(*arguments, error)
    if status:
        raise error_from(status, error)


def text_of(function: Callable[..., int], *arguments: Any) -> str:
    """The text that a function writes into (buffer, capacity, needed, error)."""
    needed, error = ffi.new("size_t *"), new_error()
    buffer = ffi.new("char[]", 1024)  # enough for most, which are then written once
    status = function(*arguments, buffer, len(buffer), needed, error)
    if status == lib.OXT_ESPACE:
        buffer = ffi.new("char[]", needed[0] + 1)
        status = function(*arguments, buffer, len(buffer), needed, error)
    if status:
        raise error_from(status, error)
    return decode(buffer)


def new_struct(name: str) -> Any:
    """A struct with its defaults, as its oxt_..._init sets them."""
    made = ffi.new(f"{name} *")
    getattr(lib, f"{name}_init")(made)
    return made


def put_text(field: Any, text: str, name: str) -> None:
    """Fill a char array of a struct."""
    data = encode(text, name)
    if len(data) >= len(field):
        raise errors.OxtintValueError(
            f"{name} is {len(data)} bytes long, expected at most {len(field) - 1}")
    ffi.memmove(field, data + b"\0", len(data) + 1)


def take(struct: Any) -> dict[str, Any]:
    """The fields of a struct: texts as str, arrays as tuples, structs as dicts."""
    kind = ffi.typeof(struct)
    if kind.kind == "pointer":
        kind = kind.item
    fields = {}
    for name, field in kind.fields:
        if name == "struct_size":
            continue
        value = getattr(struct, name)
        if field.type.kind == "array":
            value = decode(value) if field.type.item.cname == "char" else tuple(value)
        elif field.type.kind == "struct":
            value = take(value)
        fields[name] = value
    return fields


def take_all(name: str, count: int, get: Callable[..., int], handle: Any) -> NDArray[Any]:
    """The structs that get(handle, index, struct, error) gives, as one array with their fields."""
    structs, size, error = ffi.new(f"{name}[]", count), ffi.sizeof(name), new_error()
    for index in range(count):
        structs[index].struct_size = size
        status = get(handle, index, structs + index, error)
        if status:
            raise error_from(status, error)
    return np.frombuffer(ffi.buffer(structs), dtype=_layout(name)).copy()


@functools.cache
def _layout(name: str) -> np.dtype[Any]:
    """Where the fields of a struct are, in NumPy's words."""
    numbers = {"double": "f8", "size_t": "u8", "int": "i4"}
    names, formats, offsets = [], [], []
    for field, place in ffi.typeof(name).fields:
        kind, shape = place.type, ""
        if kind.kind == "array":
            kind, shape = kind.item, f"({kind.length},)"
        text = kind.cname == "char"
        names.append(field)
        formats.append(f"S{place.type.length}" if text else shape + numbers.get(kind.cname, "i4"))
        offsets.append(place.offset)
    return np.dtype({"names": names, "formats": formats, "offsets": offsets,
                     "itemsize": ffi.sizeof(name)})


def revive(kind: type[Any], attribute: str, name: str, fields: dict[str, Any]) -> Any:
    """An object around one struct, from the fields of the struct as take() gave them."""
    made, struct = object.__new__(kind), new_struct(name)
    for field, value in fields.items():
        setattr(struct, field, value)
    setattr(made, attribute, struct)
    return made


class Remade:
    """A result that never changes: a copy is itself, and a pickle is what it was made from.

    Where the pickle is opened the same call is made again. The library is deterministic, so the same
    version on the same kind of machine gives the same bits.
    """

    _made_by: tuple[Callable[..., Any], tuple[Any, ...], dict[str, Any]]

    def __copy__(self) -> Any:
        return self

    def __deepcopy__(self, memo: Any) -> Any:
        return self

    def __reduce__(self) -> Any:
        make, arguments, named = self._made_by
        return functools.partial(make, **named), arguments


def kelvin(bath: float | str, name: str = "bath") -> float:
    """A bath temperature: a number in K, or a text such as "650 F"."""
    if isinstance(bath, str):
        result = ffi.new("double *")
        call(lib.oxt_parse_temperature, encode(bath, name), result)
        return float(result[0])
    return number(bath, name)


def seconds(time: float | str, name: str = "time") -> float:
    """A duration: a number in s, or a text such as "1:30"."""
    if isinstance(time, str):
        result = ffi.new("double *")
        call(lib.oxt_parse_duration, encode(time, name), result)
        return float(result[0])
    return number(time, name)


def number(value: Any, name: str) -> float:
    """A plain number; texts and truth values are not."""
    if isinstance(value, (str, bytes, bool)):
        raise TypeError(f"{name} is {type(value).__name__}, expected a number")
    try:
        return float(value)
    except TypeError:
        raise TypeError(f"{name} is {type(value).__name__}, expected a number") from None


def quantities(values: Any, parse: Callable[[Any], float]) -> ArrayLike:
    """Numbers as they are; a text, or an array or list of texts, parsed."""
    if isinstance(values, str):
        return parse(values)
    array = np.asarray(values)
    if array.dtype.kind in "US":
        return np.array([parse(str(text)) for text in array.ravel()]).reshape(array.shape)
    return array


def unit_number(unit: str) -> int:
    """The C number of a temperature unit."""
    try:
        return int(UNITS[unit.upper()])
    except (KeyError, AttributeError):
        raise errors.OxtintValueError(f"unit is {unit!r}, expected 'F', 'C' or 'K'") from None


def unit_of(bath: float | str) -> str:
    """The scale that a bath was written in; reports show it in the same."""
    unit = bath.strip()[-1:].upper() if isinstance(bath, str) else "K"
    return unit if unit in UNITS else "C"


def _places(columns: Iterable[Any]) -> list[Any]:
    """Pointer and stride of each argument of an _n call."""
    return [place for column in columns
            for place in (ffi.from_buffer("double[]", column[:1]), column.strides[0])]


def map_arrays(
    function: Callable[..., int], head: tuple[Any, ...], inputs: tuple[Any, ...], result: Array
) -> None:
    """Fill a result by an _n call of inputs that broadcast to it.

    NumPy hands out pieces of one dimension, with stride 0 where one value stands for all. It copies an
    input only where that is bent or broadcast across dimensions, and then a piece at a time.
    """
    if not result.size:
        return
    use: Any = [["readonly", "aligned"]] * len(inputs) + [["writeonly", "aligned"]]
    pieces = np.nditer((*inputs, result), ["external_loop", "buffered", "growinner"], use, order="C")
    with pieces:
        failed = any(function(*head, piece[-1].size, *_places(piece), ffi.NULL, ffi.NULL)
                     for piece in pieces)
    if failed:
        # Once more in one piece: the sentence names the element by its number.
        whole = [np.ascontiguousarray(np.broadcast_to(array, result.shape)).reshape(-1)
                 for array in (*inputs, result)]
        call(function, *head, result.size, *_places(whole), ffi.NULL)


def map_pairs(
    function: Callable[..., int], handle: Any, first: ArrayLike, second: ArrayLike
) -> float | Array:
    """An _n call of two arguments with NumPy's broadcasting; a number for two numbers."""
    a, b = np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64)
    result = np.empty(np.broadcast(a, b).shape)
    map_arrays(function, (handle,), (a, b), result)
    return result if result.shape else float(result)


def map_colours(
    function: Callable[..., int], handle: Any, thickness_nm: ArrayLike, flags: bool
) -> tuple[Array, NDArray[np.bool_]]:
    """An _n call from thickness to three numbers, with a flag each where the function has them."""
    thickness = np.asarray(thickness_nm, dtype=np.float64)
    colour = np.empty((*thickness.shape, 3))
    flag = np.zeros(thickness.shape, dtype=np.intc)
    if thickness.size:
        thickness = np.ascontiguousarray(thickness)
        data = ffi.from_buffer("double[]", thickness.reshape(-1))
        extra = [ffi.from_buffer("int[]", flag.reshape(-1))] if flags else []
        call(function, handle, thickness.size, data, thickness.itemsize,
             ffi.from_buffer("double[]", colour.reshape(-1)), 3 * colour.itemsize, *extra, ffi.NULL)
    return colour, flag.astype(bool)
