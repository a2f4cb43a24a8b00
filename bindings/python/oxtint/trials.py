# SPDX-License-Identifier: GPL-3.0-or-later
"""A log of test coupons."""
from __future__ import annotations

import functools
import os
import textwrap
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Union

import numpy as np

from . import _core
from ._core import call, choose
from ._oxtint import ffi, lib
from .error import Fault, OxtintTypeError, OxtintValueError, TrialFileError
from .faults import read_csv, read_whole, take_faults
from .arrays import lying_columns, structs, texts_at
from .film import Film, default_film
from .heat import SHAPES, Lift, LiftLike, Part, PartLike
from .tables import Columns, cell, is_records, is_table
from .words import Words, WordsLike, handle_of, words_of

_SEEN = {
    lib.OXT_SEEN_COLOUR: "colour",
    lib.OXT_SEEN_THICKNESS: "thickness_nm",
    lib.OXT_SEEN_LAB: "lab",
    lib.OXT_SEEN_SRGB: "srgb",
}

# Fields that are 0 in C where they are not stated.
_STATED = ("part_size_m", "part_start_K", "transfer_W_per_m2K", "lift_s", "bath_sd_K", "time_sd_s",
           "thickness_sd_nm", "colour_tolerance")

#: Where in the band of its colour a coupon was lifted.
LIFTED = {"first": lib.OXT_LIFTED_FIRST, "middle": lib.OXT_LIFTED_MIDDLE, "last": lib.OXT_LIFTED_LAST,
          "after": lib.OXT_LIFTED_AFTER}

# Columns of a CSV file that are there only where some trial states them.
_OPTIONAL = ("part_m", "start_K", *_STATED[2:])


@dataclass(frozen=True)
class Trial:
    """One coupon: what was done, the one thing that was seen, and what is known of both.

    Attributes:
        steel, finish: names; the finish may be ""
        bath_K: K, 373.15 to 973.15
        time_s: s, above 0, up to 1e6
        colour: trade name, or None
        thickness_nm: nm, above 0, up to 1000, or None
        lab: L*, a*, b*, or None
        srgb: "#rrggbb", or None
        note: anything worth keeping
        line: line of the file that it came from, 0 when it came from memory
        part_size_m, part_shape, part_start_K, transfer_W_per_m2K: of the coupon and its bath, as
            Part has them; this and what follows is None when not stated
        lift_s: s, from leaving the bath to the quench, up to 3600
        bath_sd_K: K, standard deviation of bath_K, up to 1000
        time_sd_s: s, standard deviation of time_s, up to 1e6
        thickness_sd_nm: nm, standard error of a measured thickness, up to 1000
        colour_tolerance: CIEDE2000 by which a measured colour may be wrong, up to 50
        day: name of the day or the batch that it ran in; trials of one name share what changes from day to day
        lifted: where in the band of its colour it was lifted: as soon as the colour was there ("first"), at its
            best ("middle"), as the next one came ("last"), or by the clock and read "after"
    """

    steel: str
    finish: str
    bath_K: float
    time_s: float
    colour: str | None = None
    thickness_nm: float | None = None
    lab: tuple[float, float, float] | None = None
    srgb: str | None = None
    note: str = ""
    line: int = 0
    part_size_m: float | None = None
    part_shape: str | None = None
    part_start_K: float | None = None
    transfer_W_per_m2K: float | None = None
    lift_s: float | None = None
    bath_sd_K: float | None = None
    time_sd_s: float | None = None
    thickness_sd_nm: float | None = None
    colour_tolerance: float | None = None
    day: str | None = None
    lifted: str | None = None

    def to_dict(self) -> dict[str, Any]:
        """The fields as plain values."""
        return asdict(self)

    def _seen(self) -> str:
        """What was seen, in words."""
        if self.thickness_nm is not None:
            return f"{self.thickness_nm:g} nm"
        if self.lab is not None:
            return "L* {:g}, a* {:g}, b* {:g}".format(*self.lab)
        return self.colour or self.srgb or ""

    def __repr__(self) -> str:
        name = textwrap.shorten(self.steel + (f", {self.finish}" if self.finish else ""), 40, placeholder=" ...")
        stated = [one for one in (*_STATED, "part_shape", "day", "lifted") if getattr(self, one) is not None]
        more = f"; {', '.join(f'{one} {getattr(self, one)}' for one in stated)}" if stated else ""
        text = f"{name}: {self.bath_K:.1f} K, {self.time_s:g} s, {self._seen()}{more}"
        return f"<Trial {textwrap.shorten(text, 108, placeholder=' ...')}>"

    def _add_to(self, log: TrialLog) -> None:
        log.add(self.steel, finish=self.finish, bath=self.bath_K, time=self.time_s, colour=self.colour,
                thickness_nm=self.thickness_nm, lab=self.lab, srgb=self.srgb, note=self.note,
                part=self.part_size_m, shape=self.part_shape, start=self.part_start_K,
                transfer_W_per_m2K=self.transfer_W_per_m2K, lift=self.lift_s, bath_sd=self.bath_sd_K,
                time_sd=self.time_sd_s, thickness_sd_nm=self.thickness_sd_nm,
                colour_tolerance=self.colour_tolerance, day=self.day, lifted=self.lifted)

    def _struct(self) -> Any:
        """An oxt_trial."""
        log = TrialLog()
        self._add_to(log)
        return log._struct(0)


@dataclass(frozen=True)
class TrialGroup:
    """The trials of one steel with one finish.

    Attributes:
        steel, finish: names; the finish may be ""
        count: how many trials
    """

    steel: str
    finish: str
    count: int


def _trials(count: int) -> str:
    return f"{count} trial{'s' * (count != 1)}"


def _stated(value: Any, parse: Callable[[Any, str], float], name: str) -> float:
    """A number for C, where 0 is not stated."""
    return 0.0 if value is None else parse(value, name)


class TrialLog(Sequence[Trial]):
    """A log of trials; make it by read_trials() or TrialLog.from_columns(), or empty and add to it.

    Args:
        words: a shop's own words for colours, which its trials may use

    >>> log = TrialLog()
    >>> log.add("Alder 1", bath="600 F", time="1:30", colour="blue")
    >>> len(log), log[0].bath_K
    (1, 588.7055555555556)
    """

    def __init__(self, *, words: WordsLike | None = None) -> None:
        words = words_of(words)
        self._handle, self._words = _core.owned("oxt_trials", lib.oxt_trials_new, handle_of(words)), words

    #: The index of the DataFrame that it was made from, a label for each of its rows.
    _index: Any = None
    #: Whether its unit was set: the first text does not change it then.
    _unit_set: bool = False

    @classmethod
    def _read(cls, words: WordsLike | None, source: str | os.PathLike[str] | bytes) -> TrialLog:
        """A log from a CSV file, or from the bytes of one."""
        log, words = cls.__new__(cls), words_of(words)
        log._handle, log._words = read_csv("oxt_trials", TrialFileError, source, handle_of(words)), words
        return log

    @classmethod
    def from_columns(cls, table: Columns, *, words: WordsLike | None = None) -> TrialLog:
        """A log from a table: a DataFrame of pandas or polars, a table of pyarrow, or a dict of columns.

        The columns are those of read_trials(), with the same rules. What is missing (None, NaN, NA, null, what an
        array masks, what a dict of a list leaves out) is an empty cell. Arrays are read where they lie, whatever
        their strides; each name of a categorical column is checked once.
        The index of a DataFrame is kept for Fit.rows and Fit.to_frame().

        Args:
            table: a DataFrame, a dict of columns (arrays, Series or lists), or a list of dicts
            words: a shop's own words for colours: a Words, or what makes one

        Raises:
            TrialFileError: the contents are at fault; it lists every fault by row and column

        >>> TrialLog.from_columns({"steel": ["Alder 1"], "bath": ["600 F"], "time_s": [90.0],
        ...                        "colour": ["blue"]})
        <TrialLog of 1 trial: Alder 1>
        """
        log = cls(words=words)
        log.add_columns(table)
        if hasattr(table, "iloc"):  # of pandas; a tuple and a list have an index() of another kind
            log._index = getattr(table, "index")
        return log

    def add_columns(self, table: Columns) -> None:
        """Add the rows of a table, as from_columns() takes it: all of them, or none.

        Args:
            table: a DataFrame, a dict of columns, or a list of dicts

        Raises:
            TrialFileError: the contents are at fault; it lists every fault by row and column

        >>> log = TrialLog()
        >>> log.add_columns({"steel": ["Alder 1", "Alder 1"], "bath_K": np.array([590.0, 600.0]),
        ...                  "time_s": [60, 90], "thickness_nm": [40.0, 57.0]})
        >>> len(log)
        2
        """
        columns = lying_columns(table)
        pointers, keep = structs(columns)
        count = max((len(column.values) for column in columns.values()), default=0)
        read_whole(lib.oxt_trials_add_columns, self._handle, TrialFileError, count, pointers, len(columns))
        del keep
        self._index = None

    @classmethod
    def _from_trials(cls, trials: Sequence[Trial], words: Words | None = None) -> TrialLog:
        """A log of trials of other logs."""
        log = cls(words=words)
        for trial in trials:
            trial._add_to(log)
        return log._with_lines([trial.line for trial in trials])

    def _labels(self, count: int) -> Any:
        """The index of the caller's DataFrame, where it has a label for each of so many trials."""
        return self._index if self._index is not None and len(self._index) == count else None

    def _with_lines(self, lines: Sequence[int]) -> TrialLog:
        """A log of the same trials, or the first of them, from other lines."""
        log, trial, error = TrialLog(words=self._words), _core.new_struct("oxt_trial"), _core.new_error()
        for index, line in enumerate(lines):
            status = lib.oxt_trials_get(self._handle, index, trial, error)
            trial.line = line
            status = status or lib.oxt_trials_add(log._handle, trial, self._note(index).encode(), error)
            if status:
                raise _core.error_from(status, error)
        log.unit = self.unit
        return log

    def add(
        self,
        steel: str,
        *,
        bath: float | str,
        time: float | str,
        finish: str = "",
        colour: str | None = None,
        thickness_nm: float | None = None,
        lab: Sequence[float] | None = None,
        srgb: str | None = None,
        note: str = "",
        part: float | str | None = None,
        shape: str | None = None,
        start: float | str | None = None,
        transfer_W_per_m2K: float | None = None,
        lift: float | str | None = None,
        bath_sd: float | str | None = None,
        time_sd: float | str | None = None,
        thickness_sd_nm: float | None = None,
        colour_tolerance: float | None = None,
        day: object = None,
        lifted: str | None = None,
    ) -> None:
        """Add one trial; a trial that does not hold is not added.

        Args:
            steel, finish: names
            bath: K, or a text such as "650 F"
            time: s, or a text such as "1:30"
            colour, thickness_nm, lab, srgb: exactly one of them, what was seen
            note: anything worth keeping
            part: size of the coupon, m or a text such as "6 mm"; this and what follows is not
                stated where it is None or 0
            shape: with a part: "plate", "cylinder", "sphere" or "any"
            start: with a part: K or a text, temperature before the dip
            transfer_W_per_m2K: with a part: heat transfer of the bath
            lift: s or a text, from leaving the bath to the quench
            bath_sd: standard deviation of the bath, K or a difference such as "5 F"
            time_sd: standard deviation of the time, s or a text
            thickness_sd_nm: standard error of a measured thickness
            colour_tolerance: CIEDE2000 by which a measured colour may be wrong
            day: the day or the batch that it ran in: a text, a date or a number; trials of one day share what
                changes from day to day
            lifted: where in the band of its colour it was lifted: "first", "middle", "last" or "after"
        """
        given = {"colour": colour, "thickness_nm": thickness_nm, "lab": lab, "srgb": srgb}
        seen = [name for name, value in given.items() if value is not None]
        if len(seen) != 1:
            raise OxtintValueError(
                f"seen: found {' and '.join(seen) or 'nothing'}, expected exactly one of "
                "colour, thickness_nm, lab, srgb")
        trial = _core.new_struct("oxt_trial")
        _core.put_text(trial.steel, steel, "steel")
        _core.put_text(trial.finish, finish, "finish")
        trial.bath_K, trial.time_s = _core.kelvin(bath, "bath"), _core.seconds(time, "time")
        trial.seen = next(number for number, name in _SEEN.items() if name == seen[0])
        if colour is not None:
            _core.put_text(trial.colour, colour, "colour")
        elif thickness_nm is not None:
            trial.thickness_nm = _core.number(thickness_nm, "thickness_nm")
        elif lab is not None:
            trial.lab = _core.colour(lab, "lab").tolist()
        elif srgb is not None:
            _core.put_text(trial.srgb, srgb, "srgb")
        trial.part_size_m = _stated(part, _core.metres, "part")
        if shape is not None:
            if not trial.part_size_m:
                raise OxtintValueError("shape is stated, expected part with it")
            trial.part_shape = choose(SHAPES, shape, "shape")
        trial.part_start_K = _stated(start, _core.kelvin, "start")
        trial.transfer_W_per_m2K = _stated(transfer_W_per_m2K, _core.number, "transfer_W_per_m2K")
        trial.lift_s = _stated(lift, _core.seconds, "lift")
        trial.bath_sd_K = _stated(bath_sd, _core.kelvin_difference, "bath_sd")
        trial.time_sd_s = _stated(time_sd, _core.seconds, "time_sd")
        trial.thickness_sd_nm = _stated(thickness_sd_nm, _core.number, "thickness_sd_nm")
        trial.colour_tolerance = _stated(colour_tolerance, _core.number, "colour_tolerance")
        _core.put_text(trial.day, cell(day), "day")
        if lifted is not None:
            trial.lifted = choose(LIFTED, lifted, "lifted")
        call(lib.oxt_trials_add, self._handle, trial, _core.encode(note, "note"))
        if isinstance(bath, str) and len(self) == 1 and not self._unit_set:
            self.unit = _core.unit_of(bath)

    def add_record(self, steel: Any) -> None:
        """Add the dips that were recorded with a Steel (Steel.record) as coupons: all of them, or none."""
        call(lib.oxt_record_trials, steel._handle, self._handle)

    def _struct(self, index: int) -> Any:
        struct = _core.new_struct("oxt_trial")
        call(lib.oxt_trials_get, self._handle, index, struct)
        return struct

    def _note(self, index: int) -> str:
        return _core.text_of(lib.oxt_trials_text, self._handle, b"note", index)

    def __len__(self) -> int:
        return int(lib.oxt_trials_count(self._handle))

    def __getitem__(self, index: Any) -> Any:
        if isinstance(index, slice):
            return [self[i] for i in range(*index.indices(len(self)))]
        if index < 0:
            index += len(self)
        if not 0 <= index < len(self):
            raise IndexError(f"index {index} of a log of {_trials(len(self))}")
        fields = _core.take(self._struct(index))
        seen = _SEEN[fields.pop("seen")]
        for name in _SEEN.values():
            if name != seen:
                fields[name] = None
        for name in _STATED:
            fields[name] = fields[name] or None
        shape = fields["part_shape"]
        fields["part_shape"] = fields["part_size_m"] and next(
            name for name, number in SHAPES.items() if number == shape)
        fields["day"] = fields["day"] or None
        fields["lifted"] = next((name for name, number in LIFTED.items() if number == fields["lifted"]), None)
        return Trial(note=self._note(index), **fields)

    def __iter__(self) -> Iterator[Trial]:
        return (self[i] for i in range(len(self)))

    def __repr__(self) -> str:
        return f"<TrialLog of {_trials(len(self))}: {', '.join(self.steels) or 'empty'}>"

    def __reduce__(self) -> tuple[Any, tuple[Any, ...]]:
        return Snapshot(self).__reduce__()

    @property
    def unit(self) -> str:
        """Scale on which its baths were typed, one of "F", "C" and "K".

        It comes from the name of the column or from the first text; "C" for a log of numbers in K. Remarks of check(),
        the entry of Steel.anchor() and the command's reports of a log use it. Setting it changes no trial.

        >>> read_trials_text("steel,bath_F,time_min,colour\\nAlder 1,600,1.5,blue\\n").unit
        'F'
        """
        return next(name for name, unit in _core.UNITS.items() if unit == lib.oxt_trials_unit(self._handle))

    @unit.setter
    def unit(self, unit: str) -> None:
        call(lib.oxt_trials_set_unit, self._handle, _core.unit_number(unit))
        self._unit_set = True

    @_core.in_words
    def set_coupon(self, coupon: PartLike | None = None, lift: LiftLike | None = None) -> None:
        """State how the coupons were run, for those trials that do not say it themselves.

        A fit then allows for their heating up and for their growth on the way to the quench, and its card holds for
        the steel itself. A coupon that is named for a dip alone cannot do that: by then its heating up is in the
        constants.

        Args:
            coupon: its size, shape, start and transfer count: "2 mm", Part("8 mm", "cylinder")
            lift: its way to the quench: "2 s"

        >>> log = read_trials_text("steel,bath_F,time_min,colour\\nAlder 1,600,1.5,blue\\n")
        >>> log.set_coupon("2 mm", lift="2 s")
        >>> log[0].part_size_m, log[0].lift_s
        (0.002, 2.0)
        """
        part_of = None if coupon is None else Part._read(coupon, "coupon")
        lift_of = None if lift is None else Lift._read(lift, "lift")
        call(lib.oxt_trials_set_coupon, self._handle, part_of._part if part_of else ffi.NULL,
             lift_of._lift if lift_of else ffi.NULL)

    @property
    def steels(self) -> tuple[str, ...]:
        """The steels of the log, in order of appearance."""
        return tuple(dict.fromkeys(group.steel for group in self.groups))

    def finishes(self, steel: str | None = None) -> tuple[str, ...]:
        """The finishes of one steel, or of all, in order of appearance."""
        return tuple(dict.fromkeys(
            group.finish for group in self.groups if steel is None or group.steel == steel))

    @property
    def groups(self) -> tuple[TrialGroup, ...]:
        """Each steel with each of its finishes, in order of appearance."""
        if not len(self):
            return ()
        first = _core.new_struct("oxt_trial_group")
        call(lib.oxt_trials_group, self._handle, 0, first)
        found = _core.take_all("oxt_trial_group", first.group_count, lib.oxt_trials_group, self._handle)
        names = ([text.decode() for text in found[name].tolist()] for name in ("steel", "finish"))
        return tuple(map(TrialGroup, *names, found["count"].tolist()))

    def check(self, *, film: Film | None = None, unit: str | None = None) -> tuple[Fault, ...]:
        """What looks like a slip, though it is no error; empty when there is none.

        Columns that were kept as notes, with the one that was probably meant; names that differ only in
        case or blanks; sizes in a column of thicknesses; baths and times far from the rest; what a fit
        still needs. It raises nothing: what is wrong is a TrialFileError on reading.

        Args:
            film: film that colours are read with; the one as tabulated when None
            unit: scale in which baths are written: "F", "C" or "K"; that of the log when None

        >>> log = TrialLog.from_columns({"steel": ["A"], "bath_F": [600], "time_s": [60],
        ...                              "colour": ["blue"], "Lift s": [3]})
        >>> [str(remark) for remark in log.check()][0]
        "column Lift s: found 'Lift s', expected a known column; it is kept as a note; did you mean lift_s?"
        """
        return _check(self, film, _core.unit_or(unit, self.unit))

    def _columns(self) -> dict[str, Any]:
        """The columns of its CSV file, as oxtint.columns() gives them."""
        if not len(self):
            return {}
        columns: dict[str, Any] = {name: self._texts(name) for name in ("steel", "finish")}
        columns |= {name: self._numbers(name) for name in ("bath_K", "time_s")}
        columns["colour"] = self._texts("colour")
        columns |= {name: self._numbers(name) for name in ("thickness_nm", "L", "a", "b")}
        columns["srgb"] = self._texts("srgb")
        stated = {name: self._numbers(name) for name in _OPTIONAL}
        if not np.isnan(stated["part_m"]).all():
            columns["shape"] = self._texts("shape")
        columns |= {name: values for name, values in stated.items() if not np.isnan(values).all()}
        for name in ("day", "lifted"):
            texts = self._texts(name)
            if any(text is not None for text in texts):
                columns[name] = texts
        columns["note"] = self._texts("note")
        return columns

    def _numbers(self, name: str) -> Any:
        """A column of numbers, NaN where there is none."""
        values = np.empty(len(self))
        call(lib.oxt_trials_numbers, self._handle, name.encode(), len(values), ffi.from_buffer("double[]", values),
             values.itemsize)
        return values

    def _texts(self, name: str) -> Any:
        """A column of texts, None where there is none."""
        codes = np.empty(len(self), dtype=np.int32)
        call(lib.oxt_trials_codes, self._handle, name.encode(), len(codes), ffi.from_buffer("int32_t[]", codes),
             codes.itemsize)
        trials = np.full(codes.max(initial=-1) + 2, -1)  # one that has each code; the last is of those that have none
        trials[codes] = np.arange(len(codes))
        texts = [None if trial < 0 else _core.text_of(lib.oxt_trials_text, self._handle, name.encode(), trial)
                 for trial in trials[:-1].tolist()]
        return texts_at(codes, texts)

    def to_csv(self) -> str:
        """The log as CSV text, which read_trials_text() reads back number for number."""
        return _core.text_of(lib.oxt_trials_write_csv_text, self._handle)

    def save(self, path: str | os.PathLike[str], *, overwrite: bool = False) -> None:
        """Write the log as a CSV file, whole or not at all.

        Args:
            path: where to; a log that is there is replaced
            overwrite: whether any other file is replaced too

        Raises:
            OxtintFileExistsError: there is a file that is no log
            OxtintOSError: the file cannot be written, or it is a directory, a device or a pipe
        """
        call(lib.oxt_trials_write_csv, self._handle, _core.encode_path(path), _core.replace(overwrite))


def _check(log: TrialLog, film: Film | None, unit: str) -> tuple[Fault, ...]:
    remarks = _core.owned("oxt_faults", lib.oxt_check_log, log._handle, (default_film() if film is None else _core.expect(film, Film, "film"))._handle,
                          _core.unit_number(unit))
    return take_faults(remarks, None)


class Snapshot:
    """A log as it is now: logs only grow. It is pickled as a log."""

    def __init__(self, log: TrialLog) -> None:
        self._log, self._count = log, len(log)
        self.labels = log._labels(self._count)

    def __len__(self) -> int:
        return self._count

    def __getitem__(self, index: int) -> Trial:
        trial: Trial = self._log[index]
        return trial

    def __reduce__(self) -> tuple[Any, tuple[Any, ...]]:
        if not self._count:
            return functools.partial(TrialLog, words=self._log._words), ()
        log = self._log
        lines = _core.take_all("oxt_trial", self._count, lib.oxt_trials_get, log._handle)["line"].tolist()
        whole = log if len(log) == self._count else log._with_lines(lines)
        return _from_text, (whole.to_csv(), lines, self.labels, log._words, log.unit)


def _from_text(text: str, lines: list[int], labels: Any = None, words: Words | None = None,
               unit: str = "C") -> TrialLog:
    log = read_trials_text(text, words=words)._with_lines(lines)
    log._index, log.unit = labels, unit
    return log


#: What is taken for a log: one, the path of a CSV file, a table, a list of dicts, or some trials of a log.
Logged = Union[TrialLog, str, "os.PathLike[str]", Columns, Sequence[Trial]]


def log_of(log: Logged, words: Words | None = None) -> TrialLog:
    """A log as it is, or made from what else is taken for one, in a shop's words."""
    if isinstance(log, TrialLog):
        return log
    if isinstance(log, (str, os.PathLike)):
        return read_trials(log, words=words)
    if isinstance(log, (list, tuple)) and log and all(isinstance(row, Trial) for row in log):
        return TrialLog._from_trials(log, words)
    if is_table(log) or is_records(log) and log:
        return TrialLog.from_columns(log, words=words)
    raise OxtintTypeError(f"log is {type(log).__name__}, expected TrialLog, the path of a CSV file, a table of "
                    "columns, or a list of dicts")


def read_trials(path: str | os.PathLike[str], *, words: WordsLike | None = None) -> TrialLog:
    """Read a log from a CSV file.

    Columns, in any order: ``steel``; ``finish``; ``bath_F``, ``bath_C`` or ``bath_K``; ``time_s``,
    ``time_min`` or ``time_h``; what was seen: ``colour`` (a trade name), ``thickness_nm``, ``L`` with
    ``a`` and ``b``, or ``srgb``; ``note``. Of what is known of a coupon: ``part_mm``, ``part_cm``,
    ``part_in`` or ``part_m`` with ``shape``, ``start_F``, ``start_C`` or ``start_K``, and
    ``transfer_W_per_m2K``; ``lift_s`` or ``lift_min``; ``bath_sd_F``, ``bath_sd_C`` or ``bath_sd_K``;
    ``time_sd_s``, ``time_sd_min`` or ``time_sd_h``; ``thickness_sd_nm``; ``colour_tolerance``; ``day``;
    ``lifted``. Other columns are kept as notes.

    Args:
        path: name of the file
        words: a shop's own words for colours: a Words, or what makes one

    Raises:
        TrialFileError: the contents are at fault; it lists every fault, and nothing was loaded
        OxtintOSError: the file cannot be read
    """
    return TrialLog._read(words, path)


def read_trials_text(text: str | bytes, *, words: WordsLike | None = None) -> TrialLog:
    """Read a log from CSV text, or from the bytes of a file; as read_trials().

    >>> log = read_trials_text("steel,bath_F,time_min,colour\\nAlder 1,600,1.5,blue\\n")
    >>> log[0].steel, log[0].time_s
    ('Alder 1', 90.0)
    """
    return TrialLog._read(words, text if isinstance(text, bytes) else _core.encode(text, "text"))
