# SPDX-License-Identifier: GPL-3.0-or-later
"""The command: oxtint fit TRIALS.csv, oxtint dip CARD.json ..., the same as python -m oxtint."""
from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Sequence

import oxtint

from .. import _core
from .arguments import parser
from .files import FileFaults, refuse_two_inputs


def _prepare_streams() -> None:
    """A stream that was closed swallows; a letter that a terminal cannot show is no reason to stop."""
    if sys.stdout is None:
        sys.stdout = open(os.devnull, "w", encoding="utf-8")
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")
    if sys.stdin is None:
        sys.stdin = open(os.devnull, encoding="utf-8")
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _give_up_output() -> None:
    """What is still to be written goes nowhere; Python would complain of it at the end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _refused(error: OSError) -> str:
    """What the system would not do, as the C library says it."""
    if error.filename is None:
        _give_up_output()
        return f"cannot write to standard output: {error.strerror}"
    return f"cannot open '{error.filename}': {error.strerror}"


def _given(options: argparse.Namespace) -> list[_core.Given]:
    """The scale of the session, and every option as it was typed."""
    scale = getattr(options, "units", None)
    named: list[_core.Given] = [(None, None, scale)] if scale else []
    for name, value in vars(options).items():
        if isinstance(value, float):
            named.append((_core.PARAMETERS.get(name), _option(name), f"{value:.10g}"))
        values = value if isinstance(value, list) and name != "last_temper" else [value]
        named += [(parameter, _option(name), text) for one in values if name != "units"
                  for parameter, _, text in _core.given_by(name, one)]
    return named


def _option(name: str) -> str:
    return "--" + name.replace("_", "-")


def _name_option(error: oxtint.OxtintError, options: argparse.Namespace) -> None:
    """Let what a text could not be read as name the option, where it names an argument."""
    start, name = f"{error.parameter}: ", error.parameter
    if name in vars(options) and str(error).startswith(start):
        error.args = (f"{_option(name)}: {str(error).removeprefix(start)}",)


def _run(arguments: Sequence[str] | None) -> None:
    try:
        options = parser().parse_args(arguments)
        refuse_two_inputs(options)
        try:
            options.run(options)
        except oxtint.OxtintError as error:
            _core.retell(error, _given(options))
            _name_option(error, options)
            raise
    finally:
        sys.stdout.flush()


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command.

    The exit status is 0, 1 for bad input, 2 for a wrong command line, 130 when it was stopped by Ctrl-C, 141
    when what reads its output has seen enough.
    """
    _prepare_streams()
    try:
        _run(arguments)
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:  # as when SIGPIPE stops a command
        _give_up_output()
        return 141
    except UnicodeEncodeError as error:
        print(f"oxtint: found {error.object!a}, expected text in UTF-8", file=sys.stderr)
        return 1
    except FileFaults as error:
        print(*error.sentences, f"oxtint: {error}", sep="\n", file=sys.stderr)
        return 1
    except oxtint.OxtintError as error:
        print(f"oxtint: {error}", file=sys.stderr)
        return 1
    except OSError as error:
        print(f"oxtint: {_refused(error)}", file=sys.stderr)
        return 1
    return 0
