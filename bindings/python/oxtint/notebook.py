# SPDX-License-Identifier: GPL-3.0-or-later
"""How results look in a notebook: a small table with swatches of the colours."""
from __future__ import annotations

from collections.abc import Iterable
from html import escape

from .film import default_film
from .units import format_duration


def swatch(thickness_nm: float) -> str:
    """A square in the colour of a film of the default kind, "" beyond what is computed quickly."""
    if not 0.0 <= thickness_nm <= 400.0:
        return ""
    red, green, blue = (round(255.0 * float(x)) for x in default_film().path_srgb(thickness_nm))
    return ('<span style="display:inline-block;width:1em;height:1em;border:1px solid #888;'
            f'background:rgb({red},{green},{blue})" title="{thickness_nm:.1f} nm"></span> ')


def table(title: str, rows: Iterable[tuple[str, str]], colour_nm: float | None = None) -> str:
    """A title with a swatch, and lines of two cells; all text is escaped."""
    square = swatch(colour_nm) if colour_nm is not None else ""
    body = "".join(f"<tr><th>{escape(name)}</th><td>{escape(value)}</td></tr>" for name, value in rows)
    return f"<table><caption>{square}{escape(title)}</caption>{body}</table>"


def span(times: tuple[float, float]) -> str:
    """Two times, as read off a clock."""
    return " to ".join(map(format_duration, times))
