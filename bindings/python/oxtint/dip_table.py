# SPDX-License-Identifier: GPL-3.0-or-later
"""Several dips as a table: of one target in several baths, or to hang beside the bath."""
from __future__ import annotations

from collections.abc import Iterable

from . import _core
from ._core import kelvin
from .conditions import film_of
from .film import Film
from .tint import Wanted
from .caution import cautions_report
from .dip import Dip, Dips
from .error import OxtintTypeError
from .steel import Steel
from .units import format_duration, format_temperature

_USUAL_TARGETS = ("straw", "brown", "purple", "dark blue", "blue", "light blue")


class DipTable(Dips):
    """A dip for each of several targets in each of several baths; make it by dip_table().

    It is a sequence of Dip, the baths of the first target first; printed, it has a line for each target.
    """

    def __init__(self) -> None:
        raise OxtintTypeError("make a DipTable by dip_table()")

    def report(self, unit: str | None = None, *, cautions: str = "brief") -> str:
        """The table to hang beside the bath; temperatures in "F", "C" or "K", cautions "brief" or "whole"."""
        unit = _core.unit_or(unit, self._unit)
        count = len(self._dips) // max(len(self._names), 1)
        baths = [dip.bath_K for dip in self._dips[:count]]
        part = f"; part: {self._dips[0].part_text}" if self._dips else ""
        wide = max(14, *(len(name) + 2 for name in self._names), 0)
        uncertain = [any(caution.name == "LOOSE_FIT" for caution in dip.cautions) for dip in self._dips]
        mark = "; ?: less certain than the colour lasts" if any(uncertain) else ""
        lines = [f"Lift after (colour visible from - to{mark}){part}",
                 f"{'bath at':<{wide}}" + "".join(f"{format_temperature(x, unit):>24}" for x in baths)]
        for first in range(0, len(self), len(baths) or 1):
            row = f"{self._names[first // len(baths)]:<{wide}}"
            for dip, loose in list(zip(self._dips, uncertain))[first:first + len(baths)]:
                aim, start, end = map(format_duration, (dip.time_s, dip.earliest_s, dip.latest_s))
                cell = f"{'?' if loose else ''}{aim} ({start} - {end})"
                row += f"{cell:>24}"
            lines.append(row)
        found = cautions_report((caution for dip in self for caution in dip.cautions), cautions)
        return "\n".join([*lines, found.rstrip()])

    _names: tuple[str, ...]


def dip_table(
    steel: Steel,
    baths: Iterable[float | str] | None = None,
    targets: Iterable[Wanted] = _USUAL_TARGETS,
    *,
    unit: str = "F",
    film: Film | None = None,
) -> DipTable:
    """When to lift, and from when to when the colour shows, for several colours and baths.

    >>> from oxtint import starting_steel
    >>> table = dip_table(starting_steel("Dogwood 4"), ["600 F"], ["blue"])
    >>> print(str(table).splitlines()[2])
    blue               ?1:55 (1:35 - 2:20)
    >>> round(table[0].time_s)
    115

    Args:
        steel: the steel
        baths: K, or texts such as "600 F"; the coldest, middle and hottest of the trials when None
        targets: colours wanted, as in Film.target()
        unit: scale of the headings, "F", "C" or "K"
        film: film that the targets are read with; as in Steel.dip()
    """
    _core.expect(steel, Steel, "steel")
    if baths is None:
        low, high = steel.bath_range_K
        baths = tuple(dict.fromkeys((low, (low + high) / 2, high)))  # one where all trials were in one bath
    columns = [kelvin(bath, "baths") for bath in _core.listed(baths, "baths")]
    wanted = _core.listed(targets, "targets")
    chosen = film_of(film, steel)
    _core.unit_number(unit)
    made = DipTable.__new__(DipTable)
    made._unit = unit
    made._dips = tuple(steel.dip(chosen._target(target, "targets"), bath)
                       for target in wanted for bath in columns)
    made._names = tuple(chosen.target(target).text for target in wanted)
    made._remember(dip_table, (steel, tuple(columns), tuple(wanted)), dict(unit=unit, film=film))
    return made
