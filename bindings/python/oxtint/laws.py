# SPDX-License-Identifier: GPL-3.0-or-later
"""Is growth parabolic at all? Laws of growth compared on the trials of one fit."""
from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Callable, Mapping, NamedTuple

from . import _core
from ._oxtint import lib
from .growth import LAWS, LawName

_VERDICTS = ("holds", "open", "contradicted")


class ShapeInterval(NamedTuple):
    """Limits of a shape; NaN where it is at a limit itself."""

    low: float
    high: float


@dataclass(frozen=True)
class LawResult:
    """One law on the trials; the numbers are NaN when it did not converge.

    Attributes:
        kind: "parabolic", "power", "linear-parabolic" or "logarithmic"
        converged: whether a minimum was found
        parameters: how many the law was offered
        k_ref: rate at T_ref: nm^2/s, nm^n/s with the power law, nm/s with the logarithmic
        ln_k_stderr: standard error of ln k_ref
        Q_J_per_mol: J/mol, activation energy of this k
        Q_stderr_J_per_mol: J/mol, 0 when Q was held
        shape: n of the power law, A or L in nm; NaN for the parabolic law
        shape_stderr, shape_low, shape_high: its standard error and limits; NaN at a limit
        shape_at_limit: whether n is 1 or 12, A is 0, L is a hundredth of the middle film, or A or L
            is effectively infinite
        initial_nm: nm, film before the dip
        initial_at_zero: whether less than nothing would fit best
        chi_square, dof: weighted sum of squares, and rows less parameters
        aicc, aicc_difference, weight: corrected Akaike criterion, from the lowest, and its weight
        lack_of_fit_F, lack_of_fit_p: lack of fit against pure error; NaN without like coupons
    """

    kind: LawName
    converged: bool
    parameters: int
    k_ref: float
    ln_k_stderr: float
    Q_J_per_mol: float
    Q_stderr_J_per_mol: float
    shape: float
    shape_stderr: float
    shape_low: float
    shape_high: float
    shape_at_limit: bool
    initial_nm: float
    initial_at_zero: bool
    chi_square: float
    dof: float
    aicc: float
    aicc_difference: float
    weight: float
    lack_of_fit_F: float
    lack_of_fit_p: float

    @property
    def shape_interval(self) -> ShapeInterval:
        """Limits of the shape."""
        return ShapeInterval(self.shape_low, self.shape_high)


class Laws(_core.Computed, Mapping[LawName, LawResult]):
    """Laws of growth by name, compared; make it by Fit.laws(). It never changes.

    Attributes:
        verdict: of the parabolic law: "holds", "open" or "contradicted"
        best: the law of lowest AICc
        rival: the lowest of the others than the parabolic law; parabolic when none of them converged
        exponent: n of the power law: x grows as time^(1/n)
        exponent_interval: its limits
        F, F_dof, p: power law against the parabolic one, 1 and F_dof degrees of freedom
        T_ref_K: K, middle bath
        middle_nm, thinnest_nm, thickest_nm: nm, films of the trials
        time_ratio_half, time_ratio_twice: time for half and twice the middle film by the rival over
            that by the parabolic law
        confidence: of the intervals and of the verdict
        row_count, replicate_count: trials, and of them beyond the first of each set of like coupons
        Q_held: whether Q was held in every law
        sentence: the verdict in words
    """

    _prefix = "oxt_laws"
    _how = "Laws by Fit.laws()"

    def to_json(self) -> str:
        """The same as JSON, for machines: fields by their names in C, null for what is not finite (docs/reference/json.md)."""
        return _core.text_of(lib.oxt_laws_json, self._handle)

    @classmethod
    def _of(cls, fit: Any, with_initial: bool, confidence: float,
            progress: Callable[[float], object] | None) -> Laws:
        options = _core.new_struct("oxt_laws_options")
        options.with_initial = _core.truth(with_initial, "with_initial")
        options.confidence = _core.number(confidence, "confidence")
        made = cls._run(lib.oxt_laws_run, options, progress, fit._handle)
        fields = made.to_dict()
        made.verdict = _VERDICTS[fields.pop("verdict")]
        made.best, made.rival = LAWS[fields.pop("best")], LAWS[fields.pop("rival")]
        made.exponent_interval = ShapeInterval(fields.pop("exponent_low"),
                                               fields.pop("exponent_high"))
        made.Q_held = bool(fields.pop("Q_held"))
        for name, value in fields.items():
            setattr(made, name, value)
        made._results = MappingProxyType({name: made._result(place)
                                          for place, name in enumerate(LAWS)})
        made._remember(type(fit).laws, (fit,), dict(with_initial=with_initial, confidence=confidence))
        return made

    def _result(self, kind: int) -> LawResult:
        fields = _core.filled("oxt_law_result", lib.oxt_laws_get_law, self._handle, kind)
        fields["kind"] = LAWS[kind]
        for name in ("converged", "shape_at_limit", "initial_at_zero"):
            fields[name] = bool(fields[name])
        return LawResult(**fields)

    _results: Mapping[LawName, LawResult]
    verdict: str
    best: LawName
    rival: LawName
    exponent: float
    exponent_interval: ShapeInterval
    F: float
    F_dof: float
    p: float
    T_ref_K: float
    middle_nm: float
    thinnest_nm: float
    thickest_nm: float
    time_ratio_half: float
    time_ratio_twice: float
    confidence: float
    row_count: int
    replicate_count: int
    Q_held: bool
    sentence: str

    def __getitem__(self, name: LawName) -> LawResult:
        return self._results[name]

    def __iter__(self) -> Any:
        return iter(self._results)

    def __len__(self) -> int:
        return len(self._results)

    def __repr__(self) -> str:
        return f"<Laws on {self.row_count} trials: {self.verdict}, n {self.exponent:.3g}>"
