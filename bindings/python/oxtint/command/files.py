# SPDX-License-Identifier: GPL-3.0-or-later
"""Files that are read and written; "-" is standard input, and standard output for a card."""
from __future__ import annotations

import argparse
import contextlib
import os
import sys
from collections.abc import Iterator, Sequence

import oxtint

from .. import _core
from .._oxtint import lib

INPUT = "standard input"


class FileFaults(oxtint.OxtintValueError):
    """A file whose contents are at fault.

    Attributes:
        sentences: each fault as file:line:column: found ..., expected ..., as compilers write a place
    """

    def __init__(self, path: str, sentences: Sequence[str]) -> None:
        plural = "s" if len(sentences) > 1 else ""
        super().__init__(f"{len(sentences)} error{plural} in {named(path)}; file not loaded")
        self.sentences = tuple(sentences)


def fault_at(path: str, line: int, column: str, found: str, expected: str) -> str:
    """One fault; line 0 and column "" are those of the file or line as a whole."""
    place = ":".join(part for part in (named(path), str(line or ""), column) if part)
    seen = f"'{found}'" if found else "nothing"
    return f"{place}: found {seen}, expected {expected}"


def text_of(data: bytes, name: str) -> str:
    """The text of a file."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise oxtint.OxtintValueError(
            f"{name}:{line}: found the byte 0x{data[error.start]:02x}, expected text in UTF-8") from None


def named(*paths: str) -> str:
    """How a sentence calls a file, or several."""
    return " and ".join(INPUT if path == "-" else path for path in paths)


def _listed(options: argparse.Namespace, name: str) -> list[str]:
    """The files of an option that takes one or several; none where it was not given."""
    given = getattr(options, name, None) or []
    return [given] if isinstance(given, str) else list(given)


def check_output(options: argparse.Namespace, kind: int) -> None:
    """Refuse, before any work, a --save that would replace an input or a file of another kind."""
    if not options.save or options.save == "-" or options.force:
        return
    for path in _listed(options, "trials") + _listed(options, "card"):
        if path != "-" and os.path.exists(options.save) and os.path.samefile(path, options.save):
            raise oxtint.OxtintFileExistsError(
                f"--save {options.save} is the file that is read; give another name, or --force to replace it")
    try:
        _core.call(lib.oxt_file_check, _core.encode_path(options.save), kind, lib.OXT_REPLACE_SAME_KIND)
    except oxtint.OxtintFileExistsError as error:
        raise oxtint.OxtintFileExistsError(f"--save: {error}; --force replaces it") from None


@contextlib.contextmanager
def _naming_input() -> Iterator[None]:
    """What the system says of standard input, in a sentence that names it."""
    try:
        yield
    except OSError as error:
        raise oxtint.OxtintOSError(f"cannot read {INPUT}: {error.strerror}") from None


def input_lines() -> Iterator[str]:
    """The lines of standard input, as they come."""
    with _naming_input():
        yield from sys.stdin


def _input_bytes() -> bytes:
    with _naming_input():
        return sys.stdin.buffer.read()


def read_text(path: str) -> str:
    """A whole file as text."""
    if path == "-":
        return text_of(_input_bytes(), INPUT)
    with open(path, "rb") as file:
        return text_of(file.read(), path)


@contextlib.contextmanager
def telling_faults(path: str) -> Iterator[None]:
    """Let the faults of a file say where they are as compilers do."""
    try:
        yield
    except (oxtint.TrialFileError, oxtint.HistoryFileError) as error:
        raise FileFaults(path, [fault_at(path, one.line, one.column, one.found, one.expected)
                                for one in error.faults]) from None


def read_words(options: argparse.Namespace, steel: oxtint.Steel | None = None) -> oxtint.Words | None:
    """The shop's own words: those that are named, or else those of a card; None for none."""
    if options.words is None:
        return steel.words if steel is not None else None
    with telling_faults(options.words):
        return oxtint.Words(options.words)


def film_of(options: argparse.Namespace) -> oxtint.Film | None:
    """The film that speaks the words that are named; None for the usual one, which speaks those of the card."""
    words = read_words(options)
    return oxtint.Film(words=words) if words is not None else None


def read_log(path: str, words: oxtint.Words | None = None) -> oxtint.TrialLog:
    """A log of coupons."""
    with telling_faults(path):
        return (oxtint.read_trials_text(_input_bytes(), words=words) if path == "-"
                else oxtint.read_trials(path, words=words))


def read_trace(path: str) -> oxtint.History:
    """A logged temperature."""
    with telling_faults(path):
        return oxtint.read_history_text(read_text(path)) if path == "-" else oxtint.read_history(path)


def read_log_of(options: argparse.Namespace, steel: oxtint.Steel | None = None) -> oxtint.TrialLog:
    """The log that is named, or several whose rows come one after another; what is printed of it is in the scale of the
    first, unless --units says another."""
    words = read_words(options, steel)
    log, *others = (read_log(path, words) for path in options.trials)
    for other in others:
        for trial in other:
            trial._add_to(log)
    log.set_coupon(getattr(options, "coupon", None), getattr(options, "coupon_lift", None))
    if options.units:
        log.unit = options.units
    options.units = log.unit
    return log


def read_card(path: str) -> oxtint.Steel:
    """The steel of a card."""
    if path != "-":
        return oxtint.load_steel(path)
    text = read_text(path)
    try:
        return oxtint.Steel.from_card(text)
    except oxtint.OxtintValueError as error:
        raise oxtint.OxtintValueError(f"{INPUT}: {error}") from None


def refuse_two_inputs(options: argparse.Namespace) -> None:
    """Standard input can be read once."""
    given = [path for name in ("card", "trials", "parts", "cards") for path in _listed(options, name)]
    if given.count("-") + (options.command == "watch" and not options.clock) > 1:
        raise oxtint.OxtintValueError(f"found '-' where {INPUT} is read already, expected the name of a file")
