# SPDX-License-Identifier: GPL-3.0-or-later
"""How results look in a notebook: a small table with swatches of the colours, or a picture."""
from __future__ import annotations

import io
from collections.abc import Iterable
from html import escape

import numpy as np

from .film import Film, default_film
from .units import format_duration, format_temperature

Row = tuple[str, str] | tuple[str, str, str]


def _rgb(thickness_nm: float) -> str:
    red, green, blue = (round(255.0 * float(x)) for x in default_film().path_srgb(thickness_nm))
    return f"rgb({red},{green},{blue})"


def _is_default(description: str) -> bool:
    """Whether swatches, which are of the default film, show what is described; a bare thickness is."""
    return description in ("", default_film().description)


def swatch(thickness_nm: float, description: str = "") -> str:
    """A square in the colour of a film; "" for another kind of film than the default one, and beyond what
    is computed quickly."""
    if not (0.0 <= thickness_nm <= 400.0 and _is_default(description)):
        return ""
    return ('<span style="display:inline-block;width:1em;height:1em;border:1px solid #888;'
            f'background:{_rgb(thickness_nm)}" title="{thickness_nm:.1f} nm"></span> ')


def strip(low_nm: float, high_nm: float, description: str) -> str:
    """The run of colours from one film to another; "" where swatch() has none."""
    if not (0.0 <= low_nm < high_nm <= 400.0 and _is_default(description)):
        return ""
    run = ",".join(map(_rgb, np.linspace(low_nm, high_nm, 25).tolist()))
    return ('<span style="display:inline-block;width:8em;height:1em;border:1px solid #888;'
            f'background:linear-gradient(to right,{run})"></span> ')


def table(title: str, rows: Iterable[Row], drawn: str = "") -> str:
    """A title, and lines of two cells; all text is escaped.

    What is drawn before the title, or, as a third item of a row, before its value, is HTML of this
    module.
    """
    body = "".join(f"<tr><th>{escape(row[0])}</th><td>{row[2] if len(row) == 3 else ''}"
                   f"{escape(row[1])}</td></tr>" for row in rows)
    return f"<table><caption>{drawn}{escape(title)}</caption>{body}</table>"


def ladder_png(film: Film) -> bytes | None:
    """The ladder of a film as a PNG, None where matplotlib is missing."""
    try:
        from matplotlib.figure import Figure
    except ImportError:
        return None
    from .drawing.ladder import colour_ladder

    figure, data = Figure(figsize=(3.2, 5.5), layout="constrained"), io.BytesIO()
    colour_ladder(film, ax=figure.add_subplot())
    figure.savefig(data, format="png", dpi=80)
    return data.getvalue()


def temperature(kelvin: float) -> str:
    """A temperature as all displays write it: in both scales of the trade, whatever was typed."""
    return f"{format_temperature(kelvin, 'F')} ({format_temperature(kelvin, 'C')})"


def grid(heads: Iterable[str], rows: Iterable[tuple[str, ...]], drawn: Iterable[str]) -> str:
    """A table with a line of heads; all text is escaped. What is drawn before the first cell of each row
    is HTML of this module."""
    head = "".join(f"<th>{escape(text)}</th>" for text in heads)
    body = "".join(f"<tr>{''.join(f'<td>{before}{escape(text)}</td>' for before, text in zip((square, *[''] * len(row)), row))}</tr>"
                   for square, row in zip(drawn, rows))
    return f"<table><tr>{head}</tr>{body}</table>"


def span(times: tuple[float, float]) -> str:
    """Two times, as read off a clock."""
    return " to ".join(map(format_duration, times))
