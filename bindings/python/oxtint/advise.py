# SPDX-License-Identifier: GPL-3.0-or-later
"""The next coupons that help most."""
from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from . import _core
from ._core import choose
from ._oxtint import lib
from .conditions import film_of
from .film import Film
from .tint import Wanted
from .caution import Caution, cautions_of
from .units import format_duration, format_temperature

CRITERIA = {"dip": lib.OXT_ADVISE_DIP, "constants": lib.OXT_ADVISE_CONSTANTS,
             "law": lib.OXT_ADVISE_LAW}


@dataclass(frozen=True, repr=False)
class Coupon:
    """One advised coupon.

    Attributes:
        bath_K: K, whole kelvins above the coldest bath, or the hottest
        time_s: s, whole
        label: band that is to be expected
        thickness_nm: nm, film that is to be expected
        chance: 0 to 1, that its colour is usable
        half_width: 95 % half-width of ln time of the dip after this coupon and those before, which three
            refits in four do not exceed
        interval_ratio: the half-width to be expected over the one now
        cautions: what to mind
        exponent_stderr: for the law of growth, standard error of m of x growing as time^m to be expected
            after this coupon and those before; else 0
    """

    bath_K: float
    time_s: float
    label: str
    thickness_nm: float
    chance: float
    half_width: float
    interval_ratio: float
    cautions: tuple[Caution, ...]
    exponent_stderr: float

    def __repr__(self) -> str:
        return (f"<Coupon at {format_temperature(self.bath_K)} for {format_duration(self.time_s)}: "
                f"{self.label}, leaves {100.0 * self.interval_ratio:.0f} % of the interval>")


@dataclass(frozen=True, repr=False)
class Advice(_core.Remade):
    """The next coupons that help most; make it by Steel.advise().

    Attributes:
        coupons: the one that helps most comes first
    """

    coupons: tuple[Coupon, ...]
    _handle: Any = field(repr=False, compare=False)
    _unit: str = field(repr=False, compare=False)
    _description: str = field(repr=False, compare=False)  # of the film that colours are read with
    _made_by: Any = field(repr=False, compare=False)

    def report(self, unit: str | None = None, *, cautions: str = "brief") -> str:
        """The advice to read at the bench; temperatures in "F", "C" or "K", cautions "brief" or "whole"."""
        return _core.text_of(lib.oxt_advise_report, self._handle,
                             _core.unit_number(unit or self._unit), _core.detail_number(cautions))

    def to_json(self) -> str:
        """The same as JSON, for machines: fields by their names in C, null for what is not finite (docs/reference/json.md)."""
        return _core.text_of(lib.oxt_advise_json, self._handle)

    def __str__(self) -> str:
        return self.report().rstrip("\n")

    def __repr__(self) -> str:
        return f"<Advice of {len(self.coupons)} coupons>"

    def _repr_html_(self) -> str | None:
        return _core.as_html(self)


def _coupon(handle: Any, index: int) -> Coupon:
    fields = _core.filled("oxt_advised_coupon", lib.oxt_advise_get, handle, index)
    del fields["count"]  # the length of the list
    return Coupon(**{**fields, "cautions": cautions_of(fields["cautions"])})


def advise(
    steel: Any,
    target: Wanted | None,
    bath: float | str | None,
    low: float | str,
    high: float | str,
    shortest: float | str,
    longest: float | str,
    count: int,
    criterion: str,
    highest_order: int,
    film: Film | None,
) -> Advice:
    """What Steel.advise() does."""
    chosen = film_of(film, steel)
    options = _core.new_struct("oxt_advise_options")
    options.low_K, options.high_K = _core.kelvin(low, "low"), _core.kelvin(high, "high")
    options.shortest_s = _core.seconds(shortest, "shortest")
    options.longest_s = _core.seconds(longest, "longest")
    _core.put(options, _core.whole, count=count, highest_order=highest_order)
    options.criterion = choose(CRITERIA, criterion, "criterion")
    if bath is not None:
        options.target_bath_K = _core.kelvin(bath)
    wanted = None if target is None else chosen.target(target)._struct()
    if wanted is not None:
        options.target = wanted
    handle = _core.owned("oxt_advise", lib.oxt_advise_run, steel._handle, chosen._handle, options)
    coupons = tuple(_coupon(handle, index) for index in range(options.count))
    made_by = type(steel).advise, (steel, target, bath), dict(
        low=low, high=high, shortest=shortest, longest=longest, count=count, criterion=criterion,
        highest_order=highest_order, film=film)
    return Advice(coupons, handle, _core.unit_of(low if bath is None else bath), chosen.description,
                  made_by)
