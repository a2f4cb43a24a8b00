# SPDX-License-Identifier: GPL-3.0-or-later
"""A predicted dip, and several as one table."""
from __future__ import annotations

import operator
import textwrap
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from . import _core
from ._oxtint import ffi, lib
from .caution import Caution, cautions_of
from .error import OxtintTypeError, OxtintValueError
from .tint import Target
from .growth import Growth
from .heat import SHAPES
from .units import format_duration, format_temperature

_SHAPES = tuple(SHAPES)
_SOURCES = ("inside", "coupon", "named")  # in the order of oxt_path_source
#: The fields of a Dip that are numbers in C and have the same name there.
_SAME = ("bath_K", "time_s", "earliest_s", "latest_s", "confidence", "chance", "lag_s", "lift_growth_nm", "initial_nm",
         "quench_nm", "part_size_m", "lift_s", "crust_s", "preheat_saves_s", "law_time_s", "sag_K",
         "coupon_time_s")
_same_of = operator.attrgetter(*_SAME)


@dataclass(frozen=True, repr=False)
class Dip:
    """A predicted dip; times count from entering the bath, as those of the trials do.

    Attributes:
        target: what was asked for
        bath_K: K
        time_s: s, when to lift
        earliest_s, latest_s: s, between them the part shows the target
        interval_s: s, lift-time uncertainty, fit only
        next_interval_s: s, lift-time uncertainty, next dip: with its scatter
        confidence: of the two intervals
        chance: 0 to 1, of the wanted colour, lifted at time_s
        cautions: what to mind
        lag_s: s, heating-up time included in time_s; 0 without a part
        lift_growth_nm: nm that grow between the lift and the quench; 0 without a lift
        initial_nm: nm, film that was already there
        quench_nm: nm, film in the quench; above the aim only where time_s is 0 and the lift alone grows
            more
        part_source, lift_source: where the part and the lift come from: "named", "coupon" (those of the
            coupons, as the card or the call states them), or "inside" (like the coupons, whose own
            heating-up is inside the constants)
        part_shape, part_size_m: of the part that was included; 0 m is at bath temperature at once
        lift_s: s, from leaving the bath to the quench
        crust_s: s, until salt that froze on the part has melted; 0 where none does, or the salt is not stated
        preheat_saves_s: s, by which the lift comes sooner if the part is warmed to the melting point first
        law_time_s: s, when to lift by the exponent of the trials' own growth; time_s where the card does not
            know it
        sag_K: K, by which the load cools the bath at most, included in time_s; 0 without a load
        coupon_time_s: s, after which a coupon of the trials, lifted in the same bath, has the same film from bare
            steel; 0 where the constants of the card stand for the steel itself
        part_text: part and lift in words, such as "2 mm plate, 4 s to the quench, as the coupons"
    """

    target: Target
    bath_K: float
    time_s: float
    earliest_s: float
    latest_s: float
    interval_s: tuple[float, float]
    next_interval_s: tuple[float, float]
    confidence: float
    chance: float
    cautions: tuple[Caution, ...]
    lag_s: float
    lift_growth_nm: float
    initial_nm: float
    quench_nm: float
    part_source: str
    lift_source: str
    part_shape: str
    part_size_m: float
    lift_s: float
    crust_s: float
    preheat_saves_s: float
    law_time_s: float
    sag_K: float
    coupon_time_s: float
    part_text: str
    _bits: int = field(repr=False)
    _unit: str = field(repr=False, compare=False)

    @classmethod
    def _of(cls, struct: Any, unit: str, target: Target | None = None) -> Dip:
        """Of a struct of C, all at once: a frozen dataclass sets one field after the other. `target`: where it is
        at hand."""
        made, bits = object.__new__(cls), struct.cautions
        vars(made).update(
            zip(_SAME, _same_of(struct)),
            target=target or Target(**_core.take(struct.target)),
            interval_s=(struct.interval_low_s, struct.interval_high_s),
            next_interval_s=(struct.next_low_s, struct.next_high_s),
            cautions=cautions_of(bits),
            part_source=_SOURCES[struct.part_source],
            lift_source=_SOURCES[struct.lift_source],
            part_shape=_SHAPES[struct.part_shape],
            part_text=_core.decode(struct.part_text),
            _bits=bits,
            _unit=unit)
        return made

    def _struct(self) -> Any:
        struct = _core.new_struct("oxt_dip")
        struct.target = self.target._struct()[0]
        for name in _SAME:
            setattr(struct, name, getattr(self, name))
        struct.interval_low_s, struct.interval_high_s = self.interval_s
        struct.next_low_s, struct.next_high_s = self.next_interval_s
        struct.cautions = self._bits
        struct.part_source = _SOURCES.index(self.part_source)
        struct.lift_source = _SOURCES.index(self.lift_source)
        struct.part_shape = _SHAPES.index(self.part_shape)
        _core.put_text(struct.part_text, self.part_text, "part_text")
        return struct

    def _bytes(self) -> bytes:
        """What two dips have in common that are the same, a colour of no other order too: NaN."""
        return bytes(ffi.buffer(self._struct()))

    def report(self, unit: str | None = None, *, cautions: str = "brief") -> str:
        """The dip to read at the bench; temperatures in "F", "C" or "K", cautions "brief" or "whole"."""
        number = _core.unit_number(unit or self._unit)
        return _core.text_of(lib.oxt_dip_report, self._struct(), number, _core.detail_number(cautions))

    def to_json(self) -> str:
        """The same as JSON, for machines: fields by their names in C, null for what is not finite (docs/reference/json.md)."""
        return _core.text_of(lib.oxt_dip_json, self._struct())

    def __str__(self) -> str:
        return self.report().rstrip("\n")

    def __repr__(self) -> str:
        aim, first, last = map(format_duration, (self.time_s, self.earliest_s, self.latest_s))
        return (f"<Dip {self.target.text} at {format_temperature(self.bath_K, self._unit)}: lift after "
                f"{aim} ({first} to {last}), chance {100.0 * self.chance:.0f} %, "
                f"{len(self.cautions)} cautions>")

    def _repr_html_(self) -> str | None:
        return _core.as_html(self)

    def to_dict(self) -> dict[str, Any]:
        """The fields as plain values."""
        fields = {name: getattr(self, name) for name in self.__dataclass_fields__ if name[0] != "_"}
        fields["target"] = asdict(self.target)
        fields["cautions"] = [asdict(caution) for caution in self.cautions]
        return fields


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

    def _repr_html_(self) -> str | None:
        return _core.as_html(self)


def dip_average(dips: Sequence[Dip], weights: Sequence[float]) -> Dip:
    """One dip of several predictions, of which each may be the right one, such as by cards of several laws of growth.

    Its limits are the wider the farther the predictions differ. It has the cautions of all, but OTHER_LAW.

    Args:
        dips: 1 to 64 predictions for one target in one bath at one confidence, each with time_s above 0
        weights: 0 to 1e300, how likely each is; only their ratios count. For laws: LawResult.weight

    Raises:
        OxtintError: another bath, target or confidence than the first one's; weights that are all 0

    Source: averaging by Akaike weights, K. P. Burnham and D. R. Anderson, Model Selection and Multimodel Inference, 2002,
    chapter 4 (from memory); a mixture in place of their sum of variances is oxtint's own.
    """
    given = _core.numbers(weights, "weights")
    if given.shape != (len(dips),):
        raise OxtintValueError(f"weights has shape {given.shape}, expected {len(dips)} numbers, one for each dip")
    structs, made = [_core.expect(dip, Dip, "dips")._struct() for dip in dips], _core.new_struct("oxt_dip")
    _core.call(lib.oxt_dip_average, ffi.new("oxt_dip *[]", structs), ffi.new("double[]", list(given)), len(structs), made)
    return Dip._of(made, dips[0]._unit)


class Baths(Dips):
    """Baths compared for one target: the dip in each of several, coldest first; make it by Steel.baths().

    It is a sequence of Dip; printed, it is a table with the most forgiving bath and all cautions.

    Attributes:
        best: the most forgiving dip
    """

    best: Dip

    def __init__(self) -> None:
        raise OxtintTypeError("make a Baths by Steel.baths()")

    def report(self, unit: str | None = None, *, cautions: str = "brief") -> str:
        """The table to read at the bench; temperatures in "F", "C" or "K", cautions "brief" or "whole"."""
        structs = [dip._struct() for dip in self]
        return _core.text_of(lib.oxt_plan_baths_report, ffi.new("oxt_dip *[]", structs), len(structs),
                             self.best._struct(), _core.unit_number(_core.unit_or(unit, self._unit)),
                             _core.detail_number(cautions))


def most_forgiving(steel: Growth, target: Target, asked: Any, options: Any, unit: str) -> Dip:
    """What Steel.most_forgiving() does."""
    best = _core.new_struct("oxt_dip")
    _core.call(lib.oxt_plan_baths, steel._handle, target._struct(), asked, options, best, ffi.NULL, ffi.NULL)
    return Dip._of(best, unit)


def baths(steel: Growth, target: Target, asked: Any, options: Any, unit: str, made_by: Any) -> Baths:
    """What Steel.baths() does."""
    dips = [_core.new_struct("oxt_dip") for _ in range(min(asked.rows, 200))]
    best, count = _core.new_struct("oxt_dip"), ffi.new("size_t *")
    _core.call(lib.oxt_plan_baths, steel._handle, target._struct(), asked, options, best,
               ffi.new("oxt_dip *[]", dips), count)
    made = Baths.__new__(Baths)
    made._unit, made.best = unit, Dip._of(best, unit)
    made._dips = tuple(Dip._of(dip, unit) for dip in dips[:count[0]])
    made._remember(*made_by)
    return made
