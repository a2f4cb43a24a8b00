# SPDX-License-Identifier: GPL-3.0-or-later
"""A log of test coupons."""
from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from . import _core, errors
from ._core import call
from ._oxtint import ffi, lib

_SEEN = {
    lib.OXT_SEEN_COLOUR: "colour",
    lib.OXT_SEEN_THICKNESS: "thickness_nm",
    lib.OXT_SEEN_LAB: "lab",
    lib.OXT_SEEN_SRGB: "srgb",
}


@dataclass(frozen=True)
class Trial:
    """One coupon: what was done, and the one thing that was seen.

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


class TrialLog(Sequence[Trial]):
    """A log of trials; make it by read_trials(), or empty and add to it.

    >>> log = TrialLog()
    >>> log.add("Alder 1", bath="600 F", time="1:30", colour="blue")
    >>> len(log), log[0].bath_K
    (1, 588.7055555555556)
    """

    def __init__(self) -> None:
        made = ffi.new("oxt_trials **")
        call(lib.oxt_trials_new, made)
        self._handle = ffi.gc(made[0], lib.oxt_trials_free)

    @classmethod
    def _owning(cls, handle: Any) -> TrialLog:
        log = cls.__new__(cls)
        log._handle = ffi.gc(handle, lib.oxt_trials_free)
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
    ) -> None:
        """Add one trial; a trial that does not hold is not added.

        Args:
            steel, finish: names
            bath: K, or a text such as "650 F"
            time: s, or a text such as "1:30"
            colour, thickness_nm, lab, srgb: exactly one of them, what was seen
            note: anything worth keeping
        """
        given = {"colour": colour, "thickness_nm": thickness_nm, "lab": lab, "srgb": srgb}
        seen = [name for name, value in given.items() if value is not None]
        if len(seen) != 1:
            raise errors.OxtintValueError(
                f"{' and '.join(seen) or 'nothing'} was given as seen, expected exactly one of "
                "colour, thickness_nm, lab, srgb")
        trial = _core.new_struct("oxt_trial")
        _core.put_text(trial.steel, steel, "steel")
        _core.put_text(trial.finish, finish, "finish")
        trial.bath_K, trial.time_s = _core.kelvin(bath), _core.seconds(time)
        trial.seen = next(number for number, name in _SEEN.items() if name == seen[0])
        if colour is not None:
            _core.put_text(trial.colour, colour, "colour")
        elif thickness_nm is not None:
            trial.thickness_nm = _core.number(thickness_nm, "thickness_nm")
        elif lab is not None:
            if len(lab) != 3:
                raise errors.OxtintValueError(f"lab has {len(lab)} numbers, expected 3")
            trial.lab = [_core.number(x, "lab") for x in lab]
        elif srgb is not None:
            _core.put_text(trial.srgb, srgb, "srgb")
        call(lib.oxt_trials_add, self._handle, trial, _core.encode(note, "note"))

    def __len__(self) -> int:
        return int(lib.oxt_trials_count(self._handle))

    def __getitem__(self, index: Any) -> Any:
        if isinstance(index, slice):
            return [self[i] for i in range(*index.indices(len(self)))]
        if index < 0:
            index += len(self)
        if not 0 <= index < len(self):
            raise IndexError(f"index {index} of a log of {len(self)} trials")
        struct = _core.new_struct("oxt_trial")
        call(lib.oxt_trials_get, self._handle, index, struct)
        fields = _core.take(struct)
        seen = _SEEN[fields.pop("seen")]
        for name in _SEEN.values():
            if name != seen:
                fields[name] = None
        return Trial(note=_core.text_of(lib.oxt_trials_note, self._handle, index), **fields)

    def __iter__(self) -> Iterator[Trial]:
        return (self[i] for i in range(len(self)))

    def __repr__(self) -> str:
        return f"<TrialLog of {len(self)} trials: {', '.join(self.steels) or 'empty'}>"

    def __reduce__(self) -> tuple[Any, tuple[str, ...]]:
        return (read_trials_text, (self.to_csv(),)) if len(self) else (TrialLog, ())

    @property
    def steels(self) -> tuple[str, ...]:
        """The steels of the log, in order of appearance."""
        return tuple(dict.fromkeys(trial.steel for trial in self))

    def finishes(self, steel: str | None = None) -> tuple[str, ...]:
        """The finishes of one steel, or of all, in order of appearance."""
        return tuple(dict.fromkeys(
            trial.finish for trial in self if steel is None or trial.steel == steel))

    def to_csv(self) -> str:
        """The log as CSV text, which read_trials_text() reads back number for number."""
        return _core.text_of(lib.oxt_trials_write_csv_text, self._handle)

    def save(self, path: str | os.PathLike[str]) -> None:
        """Write the log as a CSV file, whole or not at all."""
        call(lib.oxt_trials_write_csv, self._handle, _core.encode_path(path))


def _take_faults(faults: Any) -> tuple[errors.Fault, ...]:
    found = []
    for index in range(min(lib.oxt_faults_count(faults), 1000)):
        fault = _core.new_struct("oxt_fault")
        call(lib.oxt_faults_get, faults, index, fault)
        found.append(errors.Fault(**_core.take(fault)))
    return tuple(found)


def read_whole(
    function: Any,
    made: Any,
    kind: type[errors.TrialFileError] | type[errors.HistoryFileError],
    *source: Any,
) -> Any:
    """The handle that a reader of a CSV makes, or an exception with all faults."""
    faults, error = ffi.new("oxt_faults **"), _core.new_error()
    status = function(made, *source, faults, error)
    if not status:
        return made[0]
    if faults[0] == ffi.NULL:
        raise _core.error_from(status, error)
    raised = _core.error_from(status, error, kind)
    assert isinstance(raised, (errors.TrialFileError, errors.HistoryFileError))
    owned = ffi.gc(faults[0], lib.oxt_faults_free)
    raised.faults = _take_faults(owned)
    raise raised


def _read(function: Any, *source: Any) -> TrialLog:
    made = ffi.new("oxt_trials **")
    return TrialLog._owning(read_whole(function, made, errors.TrialFileError, *source))


def read_trials(path: str | os.PathLike[str]) -> TrialLog:
    """Read a log from a CSV file.

    Columns, in any order: ``steel``; ``finish``; ``bath_F``, ``bath_C`` or ``bath_K``; ``time_s``,
    ``time_min`` or ``time_h``; what was seen: ``colour`` (a trade name), ``thickness_nm``, ``L`` with
    ``a`` and ``b``, or ``srgb``; ``note``. Other columns are kept as notes.

    Raises:
        TrialFileError: the contents are at fault; it lists every fault, and nothing was loaded
        OxtintOSError: the file cannot be read
    """
    return _read(lib.oxt_trials_read_csv, _core.encode_path(path))


def read_trials_text(text: str) -> TrialLog:
    """Read a log from CSV text; as read_trials()."""
    data = text.encode("utf-8")
    return _read(lib.oxt_trials_read_csv_text, data, len(data))
