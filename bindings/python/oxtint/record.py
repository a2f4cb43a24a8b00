# SPDX-License-Identifier: GPL-3.0-or-later
"""Dips made by a card, recorded: does it keep what it promises?"""
from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from . import _core
from ._core import call
from ._oxtint import ffi, lib
from .error import OxtintValueError


@dataclass(frozen=True)
class RecordedDip:
    """A dip by a card: what was promised, and what came out.

    Attributes:
        bath_K: K, as its thermometer read
        time_s: s, when it was lifted
        low_nm, high_nm: nm, bounds of what was wanted
        chance: 0 to 1, promised, of the wanted colour; -1 where it was lifted at another time than predicted
        hit: whether the wanted colour came out
        k_ref_nm2_per_s: rate of the card that promised it
        part_shape: "plate", "cylinder", "sphere" or "any"
        part_size_m: m; 0: as the coupons of the card
        lift_s: s, from leaving the bath to the quench; 0: as the coupons
        coupon_time_s: s, when a coupon of the card would have been lifted with the same film; 0: as the part, or
            the constants of the card stand for the steel itself
        target, seen, label: what was wanted; what came out, as it was typed; the caller's own, such as a date
    """

    bath_K: float
    time_s: float
    low_nm: float
    high_nm: float
    chance: float
    hit: bool
    k_ref_nm2_per_s: float
    part_shape: str
    part_size_m: float
    lift_s: float
    target: str
    seen: str
    label: str
    coupon_time_s: float


@dataclass(frozen=True, repr=False)
class Record(_core.Remade):
    """What came of the dips of a card beside what was promised; make it by Steel.track_record().

    Attributes:
        name: steel and finish
        dip_count: dips recorded
        promised_count: of which lifted as predicted, by the rate that the card has now; the rest is about these
        hit_count: of which showed the wanted colour
        expected_hits: sum of the chances promised
        hits_interval: limits of the hits to be expected of so many such dips, by the hits there were; NaN without
            a dip
        confidence: of the limits
        p_value: chance of so few hits if every promise were kept
        recent_p_value: the same of the last 20
        false_alarm: chance that a card which keeps its promises is said not to
        kept: whether it keeps them, as far as the dips show
        bin_count, bin_expected, bin_hits: dips, sum of chances and hits by the chance promised: up to 50, 70, 85,
            95 and 100 %
    """

    name: str
    dip_count: int
    promised_count: int
    hit_count: int
    expected_hits: float
    hits_interval: tuple[float, float]
    confidence: float
    p_value: float
    recent_p_value: float
    false_alarm: float
    kept: bool
    bin_count: tuple[float, ...]
    bin_expected: tuple[float, ...]
    bin_hits: tuple[float, ...]
    _struct: Any = field(repr=False, compare=False)
    _made_by: Any = field(repr=False, compare=False)

    def report(self) -> str:
        """Hits against promises, a calibration table, and whether the card keeps its promises."""
        return _core.text_of(lib.oxt_record_report, self._struct)

    def __str__(self) -> str:
        return self.report().rstrip("\n")

    def __repr__(self) -> str:
        return (f"<Record: {self.hit_count} of {self.promised_count} dips as promised, "
                f"{self.expected_hits:.1f} expected>")


def recorded(steel: Any, shapes: tuple[str, ...]) -> tuple[RecordedDip, ...]:
    """Steel.recorded."""
    found = []
    for index in range(steel._values.record_count):
        fields = _core.filled("oxt_recorded_dip", lib.oxt_steel_recorded_dip, steel._handle, index)
        fields["hit"], fields["part_shape"] = bool(fields["hit"]), shapes[fields["part_shape"]]
        found.append(RecordedDip(**fields))
    return tuple(found)


def record(steel: Any, film: Any, dip: Any, seen: str, time: float | str | None, label: str) -> Any:
    """What Steel.record() does."""
    options, keep = _core.new_struct("oxt_record_options"), ffi.new("char[]", _core.encode(label, "label"))
    options.time_s = 0.0 if time is None else _core.seconds(time)
    if time is not None and options.time_s == 0.0:  # which is the default in C
        raise OxtintValueError("time is 0 s, expected when it was lifted; leave it out for a lift as predicted")
    options.label = keep
    return type(steel)._made(lib.oxt_record_add, steel._handle, film._handle, dip._struct(), _core.encode(seen, "seen"),
                             options)


def record_of(steel: Any, false_alarm: float) -> Record:
    """What Steel.track_record() does."""
    struct = _core.new_struct("oxt_record")
    call(lib.oxt_record_get, steel._handle, _core.number(false_alarm, "false_alarm"), struct)
    fields = _core.take(struct)
    interval = fields.pop("hits_low"), fields.pop("hits_high")
    for name in ("bin_count", "bin_expected", "bin_hits"):
        fields[name] = tuple(fields[name])
    fields["kept"] = bool(fields["kept"])
    made_by = type(steel).track_record, (steel,), dict(false_alarm=false_alarm)
    return Record(hits_interval=interval, _struct=struct, _made_by=made_by, **fields)
