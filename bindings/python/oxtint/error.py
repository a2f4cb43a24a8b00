# SPDX-License-Identifier: GPL-3.0-or-later
"""Errors: each is an OxtintError and also the builtin that fits, so either can be caught."""
from __future__ import annotations

from dataclasses import dataclass


class OxtintError(Exception):
    """What went wrong, in one sentence, with its details.

    Attributes:
        code: name of the status without its prefix, such as ``"EDOMAIN"``
        parameter: parameter, field or file at fault, ``""`` when none
        value: the failing number, NaN when no number is at fault
        low, high: the valid range, NaN where there is no limit
        row: line of a file, row of a table or element of an array, from 1; 0 when none
        column: column of a table, ``""`` when none
    """

    code = ""
    parameter = ""
    value = float("nan")
    low = float("nan")
    high = float("nan")
    row = 0
    column = ""
    _detail = b""  # the error as the library gave it


class OxtintValueError(OxtintError, ValueError):
    """A value, text, file or log that does not hold."""


class OxtintTypeError(OxtintError, TypeError):
    """An argument of another kind than is expected."""


class OxtintOSError(OxtintError, OSError):
    """The operating system refused to read or write a file."""


class OxtintFileExistsError(OxtintOSError, FileExistsError):
    """There is a file of another kind, which is not replaced without overwrite=True."""


class OxtintMemoryError(OxtintError, MemoryError):
    """Memory ran out."""


class OxtintBugError(OxtintError, RuntimeError):
    """A defect in oxtint itself; please report it."""


@dataclass(frozen=True)
class Fault:
    """One fault of a log file, or of a table that was given for one."""

    line: int  #: line of the file, from 1; 0 when the file as a whole, or a table, is meant
    column: str  #: column as its header names it, "" when the whole line is meant
    found: str  #: the offending text
    expected: str  #: what should stand there
    row: int = 0  #: row of a table, from 1; 0 for a file, or when the table as a whole is meant

    def __str__(self) -> str:
        where = f"line {self.line}, " if self.line else f"row {self.row}, " if self.row else ""
        column = f"column {self.column}: " if self.column else ""
        found = f"'{self.found}'" if self.found else "nothing"
        return f"{where}{column}found {found}, expected {self.expected}"


class HistoryFileError(OxtintValueError):
    """A logged temperature whose contents are at fault; nothing of it was loaded.

    Attributes:
        faults: every fault of the file or table
    """

    faults: tuple[Fault, ...] = ()


class TrialFileError(OxtintValueError):
    """A log whose contents are at fault; nothing of it was loaded.

    Attributes:
        faults: every fault of the file or table
    """

    faults: tuple[Fault, ...] = ()
