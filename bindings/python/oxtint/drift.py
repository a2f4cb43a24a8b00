# SPDX-License-Identifier: GPL-3.0-or-later
"""Has the rate changed in the course of a log?"""
from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from . import _core
from ._core import call
from ._oxtint import lib
from .caution import Caution, cautions_of


@dataclass(frozen=True, repr=False)
class Drift(_core.Remade):
    """Whether a log has drifted, and by how much; make it by Fit.drift().

    Attributes:
        called: whether it has
        coupon_count: coupons that the fit used
        since: first coupon after the change, index in the log, of a trend the first of all; None when not called
        line: its line of the file, 0 when there was none
        after_count: coupons used from there on
        rate_factor: rate after over rate before, 0.88 is 12 % slow, of a trend that of the last day over that
            of the first; 1 when not called
        rate_factor_interval: its limits, NaN when not called
        anchor_factor: what to multiply the fit's k_ref by, Q kept, to have the rate after, of a trend on
            the last day
        confidence: of the limits
        statistic: largest t of a step, without its sign; NaN with too few coupons
        limit: from which on it is called; NaN with too few coupons
        cautions: about the baths of the log
        trend: whether what is called is a trend over the days, and not a step
        day_count: days of those coupons, 0 when the log states none
        rate_factor_per_day: of a trend, rate of a day over that of the day before; else 1
        trend_statistic: t of the trend, without its sign; NaN with fewer than 5 days
        trend_limit: from which on a trend is called; NaN with fewer than 5 days
    """

    called: bool
    coupon_count: int
    since: int | None
    line: int
    after_count: int
    rate_factor: float
    rate_factor_interval: tuple[float, float]
    anchor_factor: float
    confidence: float
    statistic: float
    limit: float
    cautions: tuple[Caution, ...]
    trend: bool
    day_count: int
    rate_factor_per_day: float
    trend_statistic: float
    trend_limit: float
    _struct: Any = field(repr=False, compare=False)
    _made_by: Any = field(repr=False, compare=False)

    def report(self, *, cautions: str = "brief") -> str:
        """The drift in one sentence, what to do about it, and the cautions, "brief" or "whole"."""
        return _core.text_of(lib.oxt_drift_report, self._struct, _core.detail_number(cautions))

    def __str__(self) -> str:
        return self.report().rstrip("\n")

    def __repr__(self) -> str:
        found = (f"rate times {self.rate_factor_per_day:.3g} a day" if self.trend else
                 f"rate times {self.rate_factor:.3g} since coupon {self.since}" if self.called else "none")
        return f"<Drift over {self.coupon_count} coupons: {found}>"


def drift_of(fit: Any, false_alarm: float, confidence: float) -> Drift:
    """What Fit.drift() does."""
    options = _core.new_struct("oxt_drift_options")
    _core.put(options, _core.number, false_alarm=false_alarm, confidence=confidence)
    struct = _core.new_struct("oxt_drift")
    call(lib.oxt_drift_find, fit._handle, options, struct)
    fields = _core.take(struct)
    called, since, trend = bool(fields.pop("called")), fields.pop("since"), bool(fields.pop("trend"))
    interval = fields.pop("rate_factor_low"), fields.pop("rate_factor_high")
    fields["cautions"] = cautions_of(fields["cautions"])
    made_by = type(fit).drift, (fit,), dict(false_alarm=false_alarm, confidence=confidence)
    return Drift(called=called, since=since if called else None, trend=trend, rate_factor_interval=interval,
                 _struct=struct, _made_by=made_by, **fields)
