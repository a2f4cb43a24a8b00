# SPDX-License-Identifier: GPL-3.0-or-later
"""A command line that says what was probably meant."""
from __future__ import annotations

import argparse
import difflib
import re
import sys
from collections.abc import Callable, Iterable, Sequence
from typing import Any, NoReturn


def _meant(word: str, known: Iterable[str]) -> str:
    """A question at the end of a sentence, "" where nothing known is near."""
    plain = {name.lstrip("-"): name for name in known}  # or the dashes alone would make them alike
    near = difflib.get_close_matches(word.lstrip("-"), list(plain), n=1)
    return f"; did you mean {plain[near[0]]}?" if near else ""


def _one_of(words: Sequence[str]) -> str:
    return " or ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def whole_number(low: int, high: int) -> Callable[[str], int]:
    """The type of an option that takes a whole number in a range."""
    def read(text: str) -> int:
        if re.fullmatch(r"[0-9]{1,30}", text) and low <= int(text) <= high:
            return int(text)
        raise argparse.ArgumentTypeError(f"found '{text}', expected a whole number, {low} to {high}")

    return read


def a_number(text: str) -> float:
    """The type of an option that takes a number."""
    try:
        return float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"found '{text}', expected a number") from None


class Parser(argparse.ArgumentParser):
    """An ArgumentParser whose errors are one sentence, the same with every version of Python.

    Options are not abbreviated: what a script says today must not become ambiguous by an option to come.
    """

    def __init__(self, **settings: Any) -> None:
        super().__init__(allow_abbrev=False, **settings)

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"{self.prog}: {message}\nTry '{self.prog} --help'\n")

    def _print_message(self, message: str, file: Any = None) -> None:
        """Help that could not be written is a failure like any other; argparse says nothing of it."""
        (file or sys.stderr).write(message)

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        if action.choices is not None and value not in action.choices:
            known = [str(choice) for choice in action.choices]
            raise argparse.ArgumentError(
                action, f"found '{value}', expected {_one_of(known)}{_meant(value, known)}")

    def _refuse_unknown_options(self, arguments: Sequence[str]) -> None:
        """Before argparse complains of what is missing, which is often what was misspelt."""
        for word in arguments:
            if word == "--" or (self._subparsers is not None and not word.startswith("-")):
                return  # the rest are no options, or those of a verb
            name = word.split("=")[0]
            if re.match("--|-[A-Za-z]", word) and name not in self._option_string_actions and " " not in name:
                self.error(f"unknown option {name}{_meant(name, self._option_string_actions)}")

    def _with_negative_values(self, arguments: Sequence[str]) -> list[str]:
        """A number below 0 after an option that takes a value is its value, and no option: what is wrong with
        it is said by who reads it."""
        found: list[str] = []
        for word in arguments:
            action = self._option_string_actions.get(found[-1]) if found else None
            if action is not None and action.nargs is None and re.match(r"-\.?[0-9]", word):
                found[-1] += f"={word}"
            else:
                found.append(word)
        return found

    def parse_known_args(  # type: ignore[override]
        self, args: Sequence[str] | None = None, namespace: argparse.Namespace | None = None
    ) -> tuple[argparse.Namespace, list[str]]:
        args = self._with_negative_values(sys.argv[1:] if args is None else args)
        self._refuse_unknown_options(args)
        found, rest = super().parse_known_args(args, namespace)
        if rest:
            self.error(f"found '{rest[0]}', expected nothing more")
        return found, rest
