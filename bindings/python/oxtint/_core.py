# SPDX-License-Identifier: GPL-3.0-or-later
"""Plumbing between Python and the C library: errors, texts, structs, arrays. No science here."""
from __future__ import annotations

import copy
import functools
import inspect
import math
import operator
import os
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import FrozenInstanceError
from typing import TYPE_CHECKING, Any, Generic, NoReturn, ParamSpec, Protocol, TypeVar, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ._oxtint import ffi, lib
from .error import (
    OxtintBugError,
    OxtintError,
    OxtintFileExistsError,
    OxtintMemoryError,
    OxtintOSError,
    OxtintTypeError,
    OxtintValueError,
)

if TYPE_CHECKING:
    from typing_extensions import Self

Array = NDArray[np.float64]

Kind = TypeVar("Kind")


class Arraylike(Protocol):
    """A Series of pandas or polars, and whatever else NumPy makes an array of."""

    def __array__(self) -> NDArray[Any]: ...


#: Many numbers or texts, where one would be a float or a str.
Many = NDArray[Any] | list[Any] | tuple[Any, ...] | Arraylike

_CLASSES: dict[int, type[OxtintError]] = {
    lib.OXT_EIO: OxtintOSError,
    lib.OXT_EEXIST: OxtintFileExistsError,
    lib.OXT_ENOMEM: OxtintMemoryError,
    lib.OXT_EBUG: OxtintBugError,
}

#: What a number is at its plainest, for which a call has a short way.
PLAIN = frozenset({float, np.float64})

UNITS = {"K": lib.OXT_UNIT_KELVIN, "C": lib.OXT_UNIT_CELSIUS, "F": lib.OXT_UNIT_FAHRENHEIT}


_string: Callable[[Any], bytes] = ffi.string


def decode(text: Any) -> str:
    """A Python string of a C text."""
    return _string(text).decode("utf-8", "replace")


def encode(text: str, name: str) -> bytes:
    """The UTF-8 of a text for C, which ends it at the first NUL."""
    if not isinstance(text, str):
        raise OxtintTypeError(f"{name} is {type(text).__name__}, expected str")
    if "\0" in text:
        raise OxtintValueError(f"{name} contains a NUL character")
    try:
        return text.encode("utf-8")
    except UnicodeEncodeError as error:
        start = max(error.start - 20, 0)  # of a whole file what is beside it
        raise OxtintValueError(f"{name} is {text[start:error.end + 20]!a}, expected text in UTF-8") from None


def encode_path(path: str | os.PathLike[str]) -> bytes:
    """The bytes of a file name."""
    if not isinstance(path, (str, bytes, os.PathLike)):
        raise OxtintTypeError(f"path is {type(path).__name__}, expected the name of a file")
    name = os.fsencode(path)
    if b"\0" in name:
        raise OxtintValueError("path contains a NUL character")
    return name


def replace(overwrite: bool) -> Any:
    """What a save may replace: a file of its own kind, or any."""
    return lib.OXT_REPLACE_ANY if overwrite else lib.OXT_REPLACE_SAME_KIND


def error_from(
    status: int, error: Any, kind: type[OxtintError] | None = None
) -> OxtintError:
    """The exception for a failed call."""
    kind = kind or _CLASSES.get(status, OxtintValueError)
    raised = kind(decode(error.text))
    raised.code = decode(lib.oxt_status_name(status)).removeprefix("OXT_")
    raised.parameter = decode(error.parameter)
    raised.value, raised.low, raised.high = error.value, error.low, error.high
    raised.row, raised.column = error.row, decode(error.column)
    raised._detail = bytes(ffi.buffer(error))
    return raised


Given = tuple[str | None, str | None, str]

#: What an argument gives, where the library calls it otherwise.
PARAMETERS = {"lift": "delay_s", "coupon_lift": "delay_s", "part": "size_m", "coupon": "size_m",
              "target": "thickness_nm", "initial": "thickness_nm", "over": "thickness_nm", "load": "load_kg",
              "heater": "heater_W", "law_shape": "shape", "transfer": "transfer_W_per_m2K", "transfer_at": "transfer_at_K"}
#: The two of a last temper.
LAST_TEMPER = ("last_K", "last_s")


def retell(raised: OxtintError, given: Iterable[Given]) -> None:
    """Write the text of an exception in terms of what was typed: (parameter or None, name or None, text) each."""
    if not raised._detail:
        return
    error = ffi.new("oxt_error *")
    ffi.memmove(error, raised._detail, len(raised._detail))
    before = decode(error.text)
    texts = [tuple(ffi.NULL if word is None else ffi.new("char[]", word.encode("utf-8", "replace"))
                   for word in words) for words in given]
    lib.oxt_error_retell(error, ffi.new("oxt_given[]", texts), len(texts))
    if decode(error.text) != before:
        raised.args = (decode(error.text),)


def given_by(name: str, value: Any) -> list[Given]:
    """What was typed for an argument."""
    if isinstance(value, str):
        return [(PARAMETERS.get(name), name, value)]
    if name == "last_temper" and isinstance(value, (list, tuple)):
        return [(parameter, name, text) for parameter, text in zip(LAST_TEMPER, value) if isinstance(text, str)]
    if isinstance(value, (list, tuple)):  # "baths": each is a bath
        return [(None, name.removesuffix("s"), text) for text in value if isinstance(text, str)]
    return [(parameter, name, typed) for parameter, typed in getattr(value, "_typed", ())]


_Parameters = ParamSpec("_Parameters")
_Result = TypeVar("_Result")


def in_words(function: Callable[_Parameters, _Result]) -> Callable[_Parameters, _Result]:
    """Write the errors of a function in terms of its arguments as they were typed, where they were texts."""
    @functools.wraps(function)
    def called(*arguments: _Parameters.args, **named: _Parameters.kwargs) -> _Result:
        try:
            return function(*arguments, **named)
        except OxtintError as raised:
            bound = inspect.signature(function).bind_partial(*arguments, **named).arguments
            typed = {**bound, **bound.get("told", {})}
            given: list[Given] = []
            for name, value in typed.items():
                given += given_by("size" if name == "self" else name, value)  # a part's own
            retell(raised, given)
            raise

    return called


_ERROR = ffi.typeof("oxt_error *")
_EMPTY_ERROR = ffi.new(_ERROR, {"struct_size": ffi.sizeof("oxt_error")})[0]


def new_error() -> Any:
    """An empty oxt_error."""
    return ffi.new(_ERROR, _EMPTY_ERROR)


def call(function: Callable[..., int], *arguments: Any) -> None:
    """Call a fallible function, whose last argument is the error, and raise what it reports."""
    error = new_error()
    status = function(*arguments, error)
    if status:
        raise error_from(status, error)


def number_of(function: Callable[..., int], *arguments: Any) -> float:
    """The one number that a fallible function gives before its error."""
    result = ffi.new("double *")
    call(function, *arguments, result)
    return float(result[0])


def two_of(function: Callable[..., int], *arguments: Any) -> tuple[float, float]:
    """The two numbers that a fallible function gives before its error."""
    result = ffi.new("double[2]")
    call(function, *arguments, result, result + 1)
    return float(result[0]), float(result[1])


def filled(name: str, function: Callable[..., int], *arguments: Any) -> dict[str, Any]:
    """The fields of the struct that a fallible function fills in before its error."""
    struct = new_struct(name)
    call(function, *arguments, struct)
    return take(struct)


def owned(name: str, function: Callable[..., int], *arguments: Any) -> Any:
    """The handle that a fallible function makes as its first argument; it is freed when nothing holds it."""
    made = ffi.new(f"{name} **")
    call(function, made, *arguments)
    return ffi.gc(made[0], getattr(lib, f"{name}_free"))


class _Watcher:
    """A progress function, passed through C, and the exception that it raised."""

    def __init__(self, progress: Callable[[float], object] | None) -> None:
        self.progress = progress
        self.raised: BaseException | None = None


def _tell(done: float, user: Any) -> int:
    watcher = ffi.from_handle(user)
    if watcher.progress is not None:
        watcher.progress(done)
    return 0


def _note(kind: Any, raised: BaseException, traceback: Any) -> None:
    ffi.from_handle(traceback.tb_frame.f_locals["user"]).raised = raised


# Anything raised on the way, Ctrl-C too, stops the call: this then returns 1.
ffi.def_extern(name="oxtint_progress", error=1, onerror=_note)(_tell)


def call_with_progress(function: Any, options: Any, progress: Callable[[float], object] | None,
                       *arguments: Any) -> None:
    """Like call(), for a function whose options hold `progress` and `user`: what `progress` raises stops
    it and comes out of here, and so does Ctrl-C, with no `progress` too."""
    if progress is not None and not callable(progress):
        raise OxtintTypeError(f"progress is {type(progress).__name__}, expected a function")
    watcher = _Watcher(progress)
    keep = ffi.new_handle(watcher)
    options.progress, options.user = lib.oxtint_progress, keep
    error = new_error()
    status = function(*arguments, error)
    if watcher.raised is not None:
        raise watcher.raised
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


@functools.cache
def _defaults(name: str) -> tuple[Any, Any]:
    """The type of a pointer to a struct, and the struct as its OXT_..._INIT has it."""
    return ffi.typeof(f"{name} *"), getattr(lib, f"default_{name}")


def new_struct(name: str) -> Any:
    """A struct with its defaults."""
    return ffi.new(*_defaults(name))


def choose(table: dict[Any, int], key: Any, name: str) -> int:
    """The C number of a choice, or an error that lists the choices."""
    try:
        return int(table[key])
    except (KeyError, TypeError):  # a list, which is not hashable
        raise OxtintValueError(
            f"{name} is {key!r}, expected one of {', '.join(map(repr, table))}") from None


def put(struct: Any, parse: Callable[[Any, str], Any], **values: Any) -> None:
    """Fill fields of a struct with what is made of arguments of the same names."""
    for name, value in values.items():
        made = parse(value, name)
        try:
            setattr(struct, name, made)
        except OverflowError:
            raise OxtintValueError(f"{name} is {made}, which is out of its range") from None


def put_text(field: Any, text: str, name: str) -> None:
    """Fill a char array of a struct."""
    data = encode(text, name)
    if len(data) >= len(field):
        raise OxtintValueError(
            f"{name} is {len(data)} bytes long, expected at most {len(field) - 1}")
    ffi.memmove(field, data + b"\0", len(data) + 1)


@functools.cache
def _taken(kind: Any) -> tuple[tuple[str, ...], Callable[[Any], tuple[Any, ...]], dict[str, Callable[[Any], Any]]]:
    """The fields of a type of struct, what reads them all, and what makes Python of those that are not so already."""
    def maker(field: Any) -> Callable[[Any], Any] | None:
        if field.kind == "array":
            return decode if field.item.cname == "char" else tuple
        return take if field.kind == "struct" else None

    fields = [(name, field.type) for name, field in kind.fields if name != "struct_size"]
    names = tuple(name for name, _ in fields)
    makers = {name: make for name, field in fields if (make := maker(field)) is not None}
    return names, operator.attrgetter(*names), makers


def take(struct: Any) -> dict[str, Any]:
    """The fields of a struct: texts as str, arrays as tuples, structs as dicts."""
    kind = ffi.typeof(struct)
    names, read, makers = _taken(kind.item if kind.kind == "pointer" else kind)
    fields = dict(zip(names, read(struct)))
    for name, make in makers.items():
        fields[name] = make(fields[name])
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
    names: list[str] = []
    formats: list[Any] = []
    offsets = []
    for field, place in ffi.typeof(name).fields:
        kind, shape = place.type, ""
        if kind.kind == "array":
            kind, shape = kind.item, f"({kind.length},)"
        text = kind.cname == "char"
        names.append(field)
        formats.append(_layout(kind.cname) if kind.kind == "struct" else f"S{place.type.length}" if text else
                       shape + numbers.get(kind.cname, "i4"))
        offsets.append(place.offset)
    return np.dtype({"names": names, "formats": formats, "offsets": offsets,
                     "itemsize": ffi.sizeof(name)})


@functools.singledispatch
def as_html(result: object) -> str | None:
    """A result as a notebook shows it; notebook.py registers what it can draw."""
    return None


@functools.singledispatch
def as_png(result: object) -> bytes | None:
    """A picture of a thing, as a notebook shows it; as as_html()."""
    return None


class Frozen:
    """A result that never changes, once it is finished."""

    def _finish(self) -> None:
        vars(self)["_finished"] = True

    def __setattr__(self, name: str, value: Any) -> None:
        if "_finished" in vars(self):
            raise FrozenInstanceError(f"a {type(self).__name__} never changes: cannot set {name!r}")
        object.__setattr__(self, name, value)

    def __delattr__(self, name: str) -> None:
        raise FrozenInstanceError(f"a {type(self).__name__} never changes: cannot delete {name!r}")


class Field(Generic[Kind]):
    """An attribute that reads a field of the struct behind a result, or of a struct in it: that of its own name
    when none is given."""

    def __init__(self, *path: str) -> None:
        self._path = path

    def __set_name__(self, owner: type, name: str) -> None:
        self._path = self._path or (name,)

    @overload
    def __get__(self, result: None, kind: type) -> Field[Kind]: ...

    @overload
    def __get__(self, result: object, kind: type) -> Kind: ...

    def __get__(self, result: Any, kind: type) -> Any:
        if result is None:
            return self
        found = result._fields
        for name in self._path:
            found = found[name]
        return found


class Held(Frozen):
    """An object around one struct of C, and nothing else; two are equal whose structs are."""

    _held: tuple[str, str]  #: its attribute, and the name of the struct

    def __reduce__(self) -> Any:
        return _revive, (type(self), take(getattr(self, self._held[0])))

    def __eq__(self, other: object) -> bool:
        return type(other) is type(self) and other.__reduce__() == self.__reduce__()

    def __hash__(self) -> int:
        return hash(tuple(take(getattr(self, self._held[0])).values()))


def _revive(kind: type[Held], fields: dict[str, Any]) -> Held:
    """The object, from the fields of its struct as take() gave them."""
    made, (attribute, name) = object.__new__(kind), kind._held
    struct = new_struct(name)
    for field, value in fields.items():
        setattr(struct, field, value)
    setattr(made, attribute, struct)
    made._finish()
    return made


class Remade(Frozen):
    """A result that never changes: a copy is itself, and a pickle is what it was made from.

    Where the pickle is opened the same call is made again. The library is deterministic, so the same
    version on the same kind of machine gives the same bits.
    """

    _made_by: tuple[Callable[..., Any], tuple[Any, ...], dict[str, Any]]

    def _remember(self, make: Callable[..., Any], arguments: tuple[Any, ...], named: dict[str, Any]) -> None:
        """What it was made from; with this it is finished."""
        vars(self)["_made_by"] = make, arguments, named
        self._finish()

    def __copy__(self) -> Any:
        return self

    def __deepcopy__(self, memo: Any) -> Any:
        return self

    def __reduce__(self) -> Any:
        make, arguments, named = self._made_by
        return functools.partial(make, **named), arguments


class Computed(Remade):
    """A result around a handle of C, by the prefix of its functions there: its numbers, and its report."""

    _prefix: str
    _how: str  #: what makes one, for who tries the class
    _handle: Any
    _values: Any  #: the struct of its numbers
    _behind: tuple[Any, ...] = ()  #: what the getter takes behind the struct

    def __init__(self) -> None:
        raise OxtintTypeError(f"make {self._how}")

    @functools.cached_property
    def _fields(self) -> dict[str, Any]:
        return {name: value for name, value in take(self._values).items() if name != "unit"}

    @property
    def _unit(self) -> int:  # as in C; that of its log
        return int(self._values.unit)

    @classmethod
    def _run(cls, function: Any, options: Any, progress: Callable[[float], object] | None, *arguments: Any) -> Self:
        """What a function of C makes of arguments and options, with progress."""
        handle, made = ffi.new(f"{cls._prefix} **"), cls.__new__(cls)
        call_with_progress(function, options, progress, handle, *arguments, options)
        vars(made)["_handle"] = ffi.gc(handle[0], getattr(lib, f"{cls._prefix}_free"))
        made._read()
        return made

    def _read(self) -> None:
        """Its numbers, from the handle."""
        vars(self)["_values"] = new_struct(f"{self._prefix}_values")
        call(getattr(lib, f"{self._prefix}_get"), self._handle, self._values, *self._behind)

    def report(self, unit: str | None = None) -> str:
        """A report to read at the bench; temperatures in "F", "C" or "K", None: in the scale of the log."""
        number = self._unit if unit is None else unit_number(unit)
        return text_of(getattr(lib, f"{self._prefix}_report"), self._handle, number)

    def to_dict(self) -> dict[str, Any]:
        """The numbers by their names in the C library."""
        return copy.deepcopy(self._fields)

    def __str__(self) -> str:
        return self.report().rstrip("\n")


def expect(value: Any, kind: type[Kind], name: str) -> Kind:
    """A value that must be of a class; the exception names the argument."""
    if not isinstance(value, kind):
        raise OxtintTypeError(f"{name} is {type(value).__name__}, expected {kind.__name__}")
    return value


def parsed(function: Callable[..., int], text: str, name: str) -> float:
    """The number that a parser in C makes of a text."""
    return number_of(function, encode(text, name))


def _quantity(parser: Callable[..., int], value: float | str, name: str, expected: str) -> float:
    """A plain number, or a text with a unit; the exception names the argument."""
    if not isinstance(value, str):
        return number(value, name, expected)
    try:
        return parsed(parser, value, name)
    except OxtintError as raised:
        raised.args, raised.parameter = (f"{name}: {raised}",), name
        raise


def kelvin(bath: float | str, name: str = "bath") -> float:
    """A bath temperature: a number in K, or a text such as "650 F"."""
    return _quantity(lib.oxt_parse_temperature, bath, name, "K, or a text such as '650 F'")


def kelvin_difference(spread: float | str, name: str) -> float:
    """A difference of temperatures: a number in K, or a text such as "5 F"."""
    return _quantity(lib.oxt_parse_temperature_difference, spread, name, "K, or a text such as '5 F'")


def seconds(time: float | str, name: str = "time") -> float:
    """A duration: a number in s, or a text such as "1:30"."""
    return _quantity(lib.oxt_parse_duration, time, name, "s, or a text such as '1:30'")


def metres(length: float | str, name: str) -> float:
    """A length: a number in m, or a text such as "6 mm"."""
    return _quantity(lib.oxt_parse_length, length, name, "m, or a text such as '6 mm'")


def nanometres(thickness: float | str, name: str = "thickness_nm") -> float:
    """A thickness of film: a number in nm, or a text such as "57 nm"."""
    scale = 1e9 if isinstance(thickness, str) else 1.0
    return scale * _quantity(lib.oxt_parse_length, thickness, name, "nm, or a text such as '57 nm'")


def number(value: Any, name: str, expected: str = "") -> float:
    """A plain number; texts and truth values are not."""
    if type(value) is float:
        return value
    if not isinstance(value, (str, bytes, bool)):
        try:
            return float(value)
        except OverflowError:
            raise OxtintValueError(f"{name} is beyond {sys.float_info.max:.1e}, expected a number") from None
        except (TypeError, ValueError):
            pass
    raise OxtintTypeError(f"{name} is {type(value).__name__}, expected a number"
                    + (f" in {expected}" if expected else ""))


def numbers(values: ArrayLike, name: str) -> Array:
    """An array of numbers and nothing else."""
    try:
        array = np.asarray(values)
    except ValueError:  # lists of several lengths
        raise OxtintValueError(f"{name} is ragged, expected numbers in one shape") from None
    if array.dtype.kind not in "iuf":
        raise OxtintTypeError(f"{name} is {type(values).__name__}, expected numbers")
    return np.ascontiguousarray(array, dtype=np.float64).reshape(array.shape)


def colour(values: ArrayLike, name: str) -> Array:
    """The three numbers of a colour."""
    three = numbers(values, name)
    if three.shape != (3,):
        raise OxtintValueError(f"{name} has shape {three.shape}, expected the three numbers of a colour, "
                                      "L*, a*, b*")
    return three


def truth(value: Any, name: str) -> bool:
    """A truth value, and nothing that merely counts as one."""
    if not isinstance(value, (bool, int, np.bool_)):
        raise OxtintTypeError(f"{name} is {type(value).__name__}, expected bool")
    return bool(value)


def whole(value: Any, name: str, most: int = 2**64 - 1) -> int:
    """A whole number that is not below 0."""
    if isinstance(value, (bool, np.bool_)) or not isinstance(value, (int, np.integer)):
        raise OxtintTypeError(f"{name} is {type(value).__name__}, expected int")
    if value < 0:
        raise OxtintValueError(f"{name} is {value}, expected at least 0")
    if value > most:
        raise OxtintValueError(f"{name} is above {most}, expected a smaller number")
    return int(value)


def listed(values: Any, name: str) -> list[Any]:
    """The items of a list, a tuple or whatever else can be gone through; not the letters of a text."""
    if isinstance(values, (str, bytes)) or not isinstance(values, Iterable):
        raise OxtintTypeError(f"{name} is {type(values).__name__}, expected a list")
    return list(values)


def is_missing(value: Any) -> bool:
    """Whether a cell of a table is empty: None, NaN, NA."""
    return (value is None or type(value).__name__ in ("NAType", "NaTType")
            or isinstance(value, float) and math.isnan(value))


def quantities(values: Any, parse: Callable[[Any, str], float], name: str) -> ArrayLike:
    """Numbers as they are; a text, or an array or list of texts, parsed. What is missing is NaN."""
    if isinstance(values, str):
        return parse(values, name)
    array = np.asarray(values)
    if array.dtype.kind in "USO":
        if not isinstance(values, np.ndarray):  # of a list with texts NumPy makes texts all through
            array = np.asarray(values, dtype=object)
        cells = (math.nan if is_missing(cell) else parse(cell, name) for cell in array.ravel().tolist())
        return np.array(list(cells), dtype=np.float64).reshape(array.shape)
    if array.dtype.kind not in "iuf":
        raise OxtintTypeError(f"{name} holds {array.dtype}, expected numbers or texts with units")
    return array


def unit_number(unit: str) -> int:
    """The C number of a temperature unit."""
    try:
        return int(UNITS[unit.upper()])
    except (KeyError, AttributeError):
        raise OxtintValueError(f"unit is {unit!r}, expected 'F', 'C' or 'K'") from None


def unit_or(unit: str | None, usual: str) -> str:
    """A scale that was asked for, or the usual one."""
    if unit is None:
        return usual
    unit_number(unit)
    return unit


_DETAILS = {"brief": lib.OXT_CAUTION_BRIEF, "whole": lib.OXT_CAUTION_WHOLE}


def detail_number(cautions: str) -> int:
    """The C number of how much of each caution a report shows."""
    return choose(_DETAILS, cautions, "cautions")


def unit_of(bath: float | str) -> str:
    """The scale that a bath was written in, also as "650 Fahrenheit"; reports show it in the same."""
    if not isinstance(bath, str):
        return "K"
    return next((unit for unit in ("F", "K") if unit in bath.upper()), "C")


def _start(array: NDArray[Any]) -> Any:
    """Where an array begins, whatever its strides."""
    return ffi.cast("double *", array.ctypes.data)


def _places(columns: Iterable[Any]) -> list[Any]:
    """Pointer and stride of each array that goes into a call of many elements; of the result, the pointer alone."""
    places = [place for column in columns for place in (_start(column), column.strides[0])]
    return places[:-1]


def _missing(column: NDArray[Any]) -> NDArray[np.bool_]:
    """Where an input has no value: NaN, or a colour with one."""
    if column.dtype.names:
        return np.asarray(np.isnan(column[column.dtype.names[0]]).any(axis=-1))
    return np.asarray(np.isnan(column))


def _refuse(function: Callable[..., int], arguments: Callable[[int], Sequence[Any]], place: int,
            many: bool) -> NoReturn:
    """Raise the error of a call of many elements for one of them, by its number where there are many."""
    try:
        call(function, *arguments(place), ffi.NULL)
    except OxtintError as raised:
        first = f"element {place + 1}: " if many else ""
        raised.args, raised.row = (first + str(raised).removeprefix("element 1: "),), many and place + 1
        raise
    raise OxtintBugError(f"element {place + 1} fails among others, not alone")


def map_arrays(
    function: Callable[..., int], head: tuple[Any, ...], inputs: tuple[Any, ...], result: Array
) -> None:
    """Fill a result by an _n call of inputs that broadcast to it; NaN in an array gives NaN.

    NumPy finds the fewest dimensions in which all of them have strides, 0 where one value serves many.
    """
    if not result.size:
        return
    aligned = [np.require(np.atleast_1d(array), requirements="A") for array in (*inputs, result)]
    use: Any = [["readonly"]] * len(inputs) + [["readwrite"]]
    views = np.nditer(aligned, ["external_loop"], use, order="C").itviews
    shape = views[-1].shape
    if len(shape) == 2 and head:
        failed = bool(lib.short_rows(ffi.addressof(lib, function.__name__), *head, shape, *(
            place for view in views for place in (_start(view), view.strides))))
    else:
        failed = any([function(*head, shape[-1], *_places(view[at] for view in views), ffi.NULL, ffi.NULL)
                      for at in np.ndindex(shape[:-1])])  # of each piece, so that all are filled
    if failed:
        whole = [np.ascontiguousarray(np.broadcast_to(array, result.shape)).reshape(-1)
                 for array in (*inputs, result)]
        refused = np.isnan(whole[-1])
        if result.shape:
            refused &= ~np.logical_or.reduce([_missing(column) for column in whole[:-1]])
        for place in np.flatnonzero(refused)[:1].tolist():
            _refuse(function, lambda at: (*head, 1, *_places(column[at:] for column in whole)), place,
                    bool(result.shape))


def map_pairs(
    function: Callable[..., int], handle: Any, first: ArrayLike, second: ArrayLike
) -> float | Array:
    """An _n call of two arguments with NumPy's broadcasting; a number for two numbers."""
    a, b = np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64)
    try:
        result = np.empty(np.broadcast(a, b).shape)
    except ValueError:
        raise OxtintValueError(f"shapes {a.shape} and {b.shape} of arrays cannot be broadcast together") from None
    map_arrays(function, (handle,), (a, b), result)
    return result if result.shape else float(result)


def map_colours(
    function: Callable[..., int], handle: Any, space: int, thickness_nm: ArrayLike
) -> tuple[Array, NDArray[np.bool_]]:
    """A call from thicknesses to colours in a space, with a flag each; NaN in an array gives NaN."""
    thickness = np.ascontiguousarray(quantities(thickness_nm, nanometres, "thickness_nm"),
                                     dtype=np.float64).reshape(np.shape(thickness_nm))
    colour = np.empty((*thickness.shape, 3))
    flag = np.zeros(thickness.shape, dtype=np.intc)
    given, made, marked = thickness.reshape(-1), colour.reshape(-1, 3), flag.reshape(-1)

    def arguments(start: int, count: int = 1) -> list[Any]:
        return [handle, space, count, ffi.from_buffer("double[]", given[start:]), thickness.itemsize,
                ffi.from_buffer("double[]", made[start:]), ffi.from_buffer("int[]", marked[start:]), ffi.NULL]

    if given.size and function(*arguments(0, given.size), ffi.NULL):
        refused = np.isnan(made[:, 0])
        if thickness.shape:
            refused &= ~np.isnan(given)
        for place in np.flatnonzero(refused)[:1].tolist():
            _refuse(function, lambda at: arguments(at)[:-1], place, bool(thickness.shape))
    return colour, flag.astype(bool)
