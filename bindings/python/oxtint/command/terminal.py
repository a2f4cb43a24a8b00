# SPDX-License-Identifier: GPL-3.0-or-later
"""What goes to the terminal: swatches of colour where it can show them, and plain values as JSON."""
from __future__ import annotations

import dataclasses
import json
import math
import os
import sys
from collections.abc import Iterable
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
