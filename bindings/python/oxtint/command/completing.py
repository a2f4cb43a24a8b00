# SPDX-License-Identifier: GPL-3.0-or-later
"""Completion by the shell."""
from __future__ import annotations

import argparse
from typing import Any

import oxtint

SHELLS = ("bash", "zsh", "fish")


def _complete_files(parser: argparse.ArgumentParser, how: Any) -> None:
    """Mark what takes the name of a file: its metavar has a suffix."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for verb in action.choices.values():
                _complete_files(verb, how)
        elif isinstance(action.metavar, str) and "." in action.metavar:
            action.complete = how  # type: ignore[attr-defined]  # where shtab looks for it


def completion(options: argparse.Namespace, parser: argparse.ArgumentParser) -> None:
    """Print the script for one shell."""
    try:
        import shtab
    except ImportError:
        raise oxtint.OxtintValueError(
            "completion needs shtab: pip install shtab") from None
    _complete_files(parser, shtab.FILE)
    print(shtab.complete(parser, options.shell))
