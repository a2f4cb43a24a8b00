# SPDX-License-Identifier: GPL-3.0-or-later
"""The command: oxtint fit TRIALS.csv, oxtint dip CARD.json ..., the same as python -m oxtint."""
from __future__ import annotations

import os
import sys
from collections.abc import Sequence

import oxtint

from .arguments import parser


def _faults(path: object, error: oxtint.TrialFileError | oxtint.HistoryFileError) -> None:
    """Each fault as file:line:column, the way compilers and editors write a place."""
    for fault in error.faults:
        place = ":".join(str(part) for part in (path, fault.line or "", fault.column) if part != "")
        found = f"found '{fault.found}'" if fault.found else "found nothing"
        print(f"{place}: {found}, expected {fault.expected}", file=sys.stderr)
    print(f"oxtint: {len(error.faults)} fault(s) in {path}; nothing was read", file=sys.stderr)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command.

    The exit status is 0, 1 for bad input, 2 for a wrong command line, 130 when it was stopped.
    """
    options = parser().parse_args(arguments)
    try:
        options.run(options)
        sys.stdout.flush()
    except BrokenPipeError:  # the reader, such as head, has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except KeyboardInterrupt:
        return 130
    except (oxtint.TrialFileError, oxtint.HistoryFileError) as error:
        _faults(getattr(options, "trials", None) or "log", error)
        return 1
    except (oxtint.OxtintError, OSError) as error:
        print(f"oxtint: {error}", file=sys.stderr)
        return 1
    return 0
