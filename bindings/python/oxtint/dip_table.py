# SPDX-License-Identifier: GPL-3.0-or-later
"""Several dips as a table: of one target in several baths, or to hang beside the bath."""
from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from typing import Any

from . import _core
from ._core import kelvin
from ._oxtint import lib
from .conditions import film_of
from .film import Film, Target, Wanted
from .steel import Dip, Steel, cautions_report
from .units import format_duration, format_temperature

_USUAL_TARGETS = ("straw", "brown", "purple", "dark blue", "blue", "light blue")


class Dips(_core.Remade, Sequence[Dip]):
    """Dips that print as one table. It never changes."""

    _dips: tuple[Dip, ...]
    _unit: str

    def report(self, unit: str | None = None, *, cautions: str = "brief") -> str:
        """The table to read at the bench; temperatures in "F", "C" or "K", cautions "brief" or "whole"."""
        raise NotImplementedError

    def __getitem__(self, index: Any) -> Any:
        return self._dips[index]

    def __len__(self) -> int:
        return len(self._dips)

    def __eq__(self, other: object) -> bool:
        return (isinstance(other, Dips) and type(other) is type(self)
                and [dip._bytes() for dip in self] == [dip._bytes() for dip in other])

    def __hash__(self) -> int:
        return hash((type(self), len(self._dips)))

    def __str__(self) -> str:
        return self.report()

    def __repr__(self) -> str:
        targets = ", ".join(dict.fromkeys(dip.target.text for dip in self))
        return f"<{type(self).__name__} of {len(self)} dips: {textwrap.shorten(targets, 80)}>"

    def _repr_html_(self) -> str:
        from .notebook import grid, span, swatch, temperature  # which needs the film

        return grid(("target", "bath", "lift after", "colour visible from", "chance"), [
            (dip.target.text, temperature(dip.bath_K), format_duration(dip.time_s),
             span((dip.earliest_s, dip.latest_s)), f"{100.0 * dip.chance:.0f} %") for dip in self],
            [swatch(dip.target.aim_nm, dip.target.description) for dip in self])


class TradeOff(Dips):
    """The dip in each of several baths, coldest first, for one target; make it by Steel.trade_off().

    It is a sequence of Dip; printed, it is a table with the most forgiving bath and all cautions.

    Attributes:
        best: the most forgiving dip
    """

    best: Dip
    _asked: tuple[Any, ...]

    def __init__(self) -> None:
        raise TypeError("make a TradeOff by Steel.trade_off()")

    def report(self, unit: str | None = None, *, cautions: str = "brief") -> str:
        """The table to read at the bench; temperatures in "F", "C" or "K", cautions "brief" or "whole"."""
        return _core.text_of(lib.oxt_plan_trade_off, *self._asked,
                             _core.unit_number(_core.unit_or(unit, self._unit)), _core.detail_number(cautions))


def trade_off(steel: Steel, target: Target, asked: Any, options: tuple[Any, list[Any]], rows: int,
              unit: str, made_by: Any) -> TradeOff:
    """What Steel.trade_off() does."""
    made = TradeOff.__new__(TradeOff)
    made._unit, wanted = unit, target._struct()
    made._asked = (steel._handle, wanted, asked, options[0], _core.whole(rows, "rows"))
    made._kept = options[1]
    made.report()  # which refuses what cannot be
    dips, error = [], _core.new_error()
    for row in range(rows):
        share, dip = row / (rows - 1), _core.new_struct("oxt_dip")
        bath_K = asked.high_K if row + 1 == rows else asked.low_K + share * (asked.high_K - asked.low_K)
        failed = lib.oxt_dip_predict(steel._handle, wanted, bath_K, options[0], dip, error)
        if not failed and dip.time_s <= asked.longest_s:
            dips.append(Dip._of(dip, unit))
    best = _core.new_struct("oxt_dip")
    _core.call(lib.oxt_plan_most_forgiving, steel._handle, wanted, asked, options[0], best)
    made._dips, made.best = tuple(dips), Dip._of(best, unit)
    made._remember(*made_by)
    return made


class DipTable(Dips):
    """A dip for each of several targets in each of several baths; make it by dip_table().

    It is a sequence of Dip, the baths of the first target first; printed, it has a line for each target.
    """

    def __init__(self) -> None:
        raise TypeError("make a DipTable by dip_table()")

    def report(self, unit: str | None = None, *, cautions: str = "brief") -> str:
        """The table to hang beside the bath; temperatures in "F", "C" or "K", cautions "brief" or "whole"."""
        unit = _core.unit_or(unit, self._unit)
        count = len(self._dips) // max(len(self._names), 1)
        baths = [dip.bath_K for dip in self._dips[:count]]
        part = f"; part: {self._dips[0].part_text}" if self._dips else ""
        wide = max(14, *(len(name) + 2 for name in self._names), 0)
        lines = [f"Lift after (colour visible from - to){part}",
                 f"{'bath at':<{wide}}" + "".join(f"{format_temperature(x, unit):>24}" for x in baths)]
        for first in range(0, len(self), len(baths) or 1):
            row = f"{self._names[first // len(baths)]:<{wide}}"
            for dip in self._dips[first:first + len(baths)]:
                aim, start, end = map(format_duration, (dip.time_s, dip.earliest_s, dip.latest_s))
                row += f"{f'{aim} ({start} - {end})':>24}"
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
    blue                1:55 (1:35 - 2:20)
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
