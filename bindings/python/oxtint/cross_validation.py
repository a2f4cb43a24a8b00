# SPDX-License-Identifier: GPL-3.0-or-later
"""Does a fit predict its own coupons? Each is predicted from the others."""
from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from . import _core
from ._oxtint import lib


@dataclass(frozen=True)
class CrossValidationRow:
    """One coupon, predicted from the others.

    Attributes:
        trial: index in the log, from 0
        line: line of the file, 0 when there was none
        bath_K, time_s: K and s, as logged
        seen: what was seen, in words
        observed_nm: nm, geometric mean of what was seen
        predicted: whether the others predict it; else what follows is NaN, False and ""
        predicted_nm: nm, by the fit of the others
        low_nm, high_nm: nm, limits of its film: error of that fit and scatter of one dip, of a measured coupon
            also the error of the measurement
        colour: trade colour of predicted_nm
        chance: 0 to 1, that such a coupon shows this colour
        hit: whether it does
        reason: why the others do not predict it, "" when they do
    """

    trial: int
    line: int
    bath_K: float
    time_s: float
    seen: str
    observed_nm: float
    predicted: bool
    predicted_nm: float
    low_nm: float
    high_nm: float
    colour: str
    chance: float
    hit: bool
    reason: str


class CrossValidation(_core.Computed):
    """Each coupon of a fit predicted from the others; make it by Fit.cross_validate(). It never changes.

    Attributes:
        coupon_count: coupons that the fit used
        predicted_count: of which the others predict
        hit_count: of which show the colour predicted
        expected_hits: sum of the chances that were promised
        hits_interval: limits of the hits to be expected, by those there were; NaN when none was predicted
        confidence: of all limits
        by_bath: whether each was left out with all coupons of its bath
        rows: each coupon, in the order of the log
    """

    _prefix = "oxt_cross_validation"
    _how = "a CrossValidation by Fit.cross_validate()"
    coupon_count = _core.Field[int]()
    predicted_count = _core.Field[int]()
    hit_count = _core.Field[int]()
    expected_hits = _core.Field[float]()
    confidence = _core.Field[float]()

    @classmethod
    def _of(cls, fit: Any, by_bath: bool, confidence: float, threads: int,
            progress: Callable[[float], object] | None) -> CrossValidation:
        options = _core.new_struct("oxt_cross_validation_options")
        options.by_bath = _core.truth(by_bath, "by_bath")
        options.confidence = _core.number(confidence, "confidence")
        options.threads = _core.whole(threads, "threads")
        made = cls._run(lib.oxt_cross_validation_run, options, progress, fit._handle)
        made._remember(type(fit).cross_validate, (fit,), dict(by_bath=by_bath, confidence=confidence))
        return made

    @property
    def by_bath(self) -> bool:
        """Whether each was left out with all coupons of its bath."""
        return bool(self._fields["by_bath"])

    @property
    def hits_interval(self) -> tuple[float, float]:
        """Limits of the hits to be expected, by those there were."""
        return self._fields["hits_low"], self._fields["hits_high"]

    @functools.cached_property
    def rows(self) -> tuple[CrossValidationRow, ...]:
        """Each coupon, in the order of the log."""
        return tuple(self._row(index) for index in range(self.coupon_count))

    def _row(self, index: int) -> CrossValidationRow:
        fields = _core.filled("oxt_cross_validation_row", lib.oxt_cross_validation_get_row, self._handle, index)
        return CrossValidationRow(**{**fields, "predicted": bool(fields["predicted"]), "hit": bool(fields["hit"])})

    def __repr__(self) -> str:
        return (f"<CrossValidation: {self.hit_count} of {self.predicted_count} coupons as predicted, "
                f"{self.expected_hits:.1f} expected>")
