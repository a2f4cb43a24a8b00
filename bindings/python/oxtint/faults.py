# SPDX-License-Identifier: GPL-3.0-or-later
"""The faults of a file or a table, all at once."""
from __future__ import annotations

import bisect
import os
from typing import Any

from . import _core
from ._oxtint import ffi, lib
from .error import Fault, HistoryFileError, TrialFileError
from .tables import lines_of

Cells = dict[str, list[str]]  #: of a table, as cells_of() gives them


def take_faults(faults: Any, cells: Cells | None) -> tuple[Fault, ...]:
    found, rows = [], None if cells is None else lines_of(cells)
    for index in range(min(lib.oxt_faults_count(faults), 1000)):
        fields = _core.filled("oxt_fault", lib.oxt_faults_get, faults, index)
        if rows is not None:
            fields |= {"line": 0, "row": bisect.bisect_right(rows, fields["line"])}
        found.append(Fault(**fields))
    return tuple(found)


def read_whole(
    function: Any,
    into: Any,
    kind: type[TrialFileError] | type[HistoryFileError],
    *source: Any,
    cells: Cells | None = None,
) -> None:
    """Let a reader of a CSV make or fill what it is given, or raise an exception with all faults.

    Args:
        cells: those of a table, when it is read instead of a file: its faults have rows instead of lines
    """
    faults, error = ffi.new("oxt_faults **"), _core.new_error()
    status = function(into, *source, faults, error)
    if not status:
        return
    if faults[0] == ffi.NULL:
        raise _core.error_from(status, error)
    raised = _core.error_from(status, error, kind)
    assert isinstance(raised, (TrialFileError, HistoryFileError))
    owned = ffi.gc(faults[0], lib.oxt_faults_free)
    raised.faults = take_faults(owned, cells)
    if cells is not None:
        _name_rows(raised, lib.oxt_faults_count(owned))
    raise raised


def read_csv(
    name: str,
    kind: type[TrialFileError] | type[HistoryFileError],
    source: str | os.PathLike[str] | bytes,
    *others: Any,
    cells: Cells | None = None,
) -> Any:
    """The handle of a name, such as "oxt_trials", that its reader makes from a CSV file, or from the bytes of one; all
    faults as in read_whole()."""
    made = ffi.new(f"{name} **")
    given = (ffi.NULL, source, len(source)) if isinstance(source, bytes) else (_core.encode_path(source), ffi.NULL, 0)
    read_whole(getattr(lib, f"{name}_read_csv"), made, kind, *given, *others, cells=cells)
    return ffi.gc(made[0], getattr(lib, f"{name}_free"))


def _name_rows(raised: TrialFileError | HistoryFileError, count: int) -> None:
    """Let an exception name the rows of a table, not the lines of the text that it was read through."""
    first = raised.faults[0]
    raised.args = (f"table: {first}" if count == 1 else f"table: {count} faults, the first: {first}",)
    raised.parameter, raised.row = "table", first.row
