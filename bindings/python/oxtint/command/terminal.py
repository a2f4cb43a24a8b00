# SPDX-License-Identifier: GPL-3.0-or-later
"""What goes to the terminal: swatches of colour where it can show them, progress, plain values as JSON."""
from __future__ import annotations

import contextlib
import dataclasses
import json
import math
import os
import re
import shutil
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator
from typing import Any


def shows_colour() -> bool:
    """Whether standard output is a terminal of 24-bit colour; NO_COLOR (no-color.org) turns it off."""
    return (sys.stdout.isatty() and "NO_COLOR" not in os.environ
            and os.environ.get("COLORTERM", "").lower() in ("truecolor", "24bit"))


def swatch(srgb: Iterable[float]) -> str:
    """Two cells of a colour and a blank, "" where it cannot be shown (ISO 8613-6, SGR 48)."""
    parts = [float(x) for x in srgb]
    if not shows_colour() or any(math.isnan(x) for x in parts):
        return ""
    red, green, blue = (round(255.0 * min(max(x, 0.0), 1.0)) for x in parts)
    return f"\x1b[48;2;{red};{green};{blue}m  \x1b[0m "


#: The blank between a number and its unit, which no line ends at.
_BOUND = re.compile(r"(?<=\d) (?=(?:%|s|min|h|C|F|K|nm|mm|kJ/mol|nm\^2/s)(?!\w))")


def item(text: str, width: int) -> str:
    """An item of a list, as long as it takes; no line parts a number from its unit."""
    made = textwrap.fill(_BOUND.sub("\xa0", text), width, initial_indent="  - ", subsequent_indent="    ")
    return made.replace("\xa0", " ")


def ring() -> None:
    """The bell of the terminal, where there is one (ISO 646, BEL)."""
    for stream in (sys.stdout, sys.stderr):
        if stream.isatty():
            stream.write("\a")
            stream.flush()
            return


@contextlib.contextmanager
def progress(what: str) -> Iterator[Callable[[float], object] | None]:
    """What to tell the share done of long work: a bar on standard error that goes when the work ends.

    None where that is no terminal, and without tqdm.
    """
    try:
        from tqdm import tqdm
    except ImportError:
        yield None
        return
    form = "{desc} |{bar}| {percentage:.0f} %, {remaining} left"
    wide = min(60, shutil.get_terminal_size().columns - 3)  # room for the ^C that a terminal shows
    # With a delay tqdm draws nothing while it is made: a Ctrl-C then finds it whole, and what it drew goes.
    with tqdm(total=1.0, desc=what, file=sys.stderr, leave=False, disable=None, bar_format=form,
              ncols=wide, delay=1e-9) as bar:
        try:
            bar.refresh()
            yield None if bar.disable else lambda done: bar.update(done - bar.n)
        finally:
            if not bar.disable:
                sys.stderr.write("\r\x1b[K")


def plain(value: Any) -> Any:
    """A value as JSON knows it: what is not a finite number is null."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)
                if not field.name.startswith("_")}
    if isinstance(value, dict):
        return {name: plain(item) for name, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def print_json(value: Any) -> None:
    """One JSON text to standard output."""
    print(json.dumps(plain(value), indent=2, ensure_ascii=False))
