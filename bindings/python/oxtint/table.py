# SPDX-License-Identifier: GPL-3.0-or-later
"""A table of dips to hang beside the bath."""
from __future__ import annotations

import textwrap
from collections.abc import Iterable

from ._core import kelvin
from .film import Film
from .steel import Steel
from .units import format_duration, format_temperature

_USUAL_TARGETS = ("straw", "brown", "purple", "dark blue", "blue", "light blue")


def dip_table(
    steel: Steel,
    baths: Iterable[float | str] | None = None,
    targets: Iterable[str] = _USUAL_TARGETS,
    *,
    unit: str = "F",
    film: Film | None = None,
) -> str:
    """When to lift, and from when to when the colour shows, for several colours and baths, as text.

    >>> from oxtint import starting_steel
    >>> print(dip_table(starting_steel("Dogwood 4"), ["600 F"], ["blue"]).splitlines()[2])
    blue                1:55 (1:35 - 2:20)

    Args:
        steel: the steel
        baths: K, or texts such as "600 F"; the coldest, middle and hottest of the trials when None
        targets: colours wanted, as in Film.target()
        unit: scale of the headings, "F", "C" or "K"
        film: film that the targets are read with; the one as tabulated when None
    """
    if baths is None:
        low, high = steel.bath_range_K
        baths = (low, (low + high) / 2, high)
    columns = [kelvin(bath) for bath in baths]
    lines = ["Lift after (the colour shows from - to)",
             f"{'bath at':<14}" + "".join(f"{format_temperature(x, unit):>24}" for x in columns)]
    cautions: dict[str, None] = {}
    for target in targets:
        row = f"{target:<14}"
        for bath in columns:
            dip = steel.dip(target, bath, film=film)
            aim, first, last = map(format_duration, (dip.time_s, dip.earliest_s, dip.latest_s))
            row += f"{f'{aim} ({first} - {last})':>24}"
            cautions.update(dict.fromkeys(caution.text for caution in dip.cautions))
        lines.append(row)
    lines.append("Cautions that apply to some or all of these dips")
    lines += (textwrap.fill(text, 78, initial_indent="  - ", subsequent_indent="    ")
              for text in cautions)
    return "\n".join(lines)
