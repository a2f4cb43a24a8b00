# SPDX-License-Identifier: GPL-3.0-or-later
"""Several steels and finishes of one log, fitted together."""
from __future__ import annotations

import functools
from typing import Any, Callable, Literal

from . import _core
from ._core import call, choose
from ._oxtint import ffi, lib
from .conditions import film_of
from .film import Film
from .fit import OPTIONS, put_options
from .growth import LAWS, LawName
from .prior import Prior
from .steel import Steel
from .trials import Logged, Snapshot, log_of

_MODELS = {"shared-q": lib.OXT_POOL_SHARED_Q, "finish-factors": lib.OXT_POOL_FINISH_FACTORS,
           "separate": lib.OXT_POOL_SEPARATE, "best": lib.OXT_POOL_BEST}
_MODEL_NAMES = {number: name for name, number in _MODELS.items()}
_OPTIONS = OPTIONS | {
    "model": ("model", functools.partial(choose, _MODELS)),
    "shrink": ("shrink", _core.truth),
    "between_sd": ("between_sd", _core.number),
    "between_Q_sd_J_per_mol": ("between_Q_sd_J_per_mol", _core.number),
}


class Pool(_core.Computed):
    """Steels and finishes of one log fitted together; make it by pool(). It never changes.

    Attributes:
        model: what the steels have in common: "shared-q", "finish-factors" or "separate"
        shrunk: whether rates were shrunk towards each other
        T_ref_K: at which the rates of all hold
        Q_J_per_mol: the shared activation energy, or the mean of those that are draws; NaN when each has
            its own
        Q_stderr_J_per_mol: J/mol, its standard error
        Q_interval_J_per_mol: its limits at `confidence`
        scatter: standard deviation of ln thickness from one dip to the next
        scatter_dof: degrees of freedom behind it
        day_sd: standard deviation of ln x from one day to the next; 0 where no group states two days
        dof, chi_square, aicc: quality of the fit, before shrinking
        between_sd: standard deviation of ln k between the groups (or steels); NaN for one
        between_Q_sd_J_per_mol: that of Q where the Qs are draws as well, with shrink; NaN otherwise
        parameter_count, group_count, row_count, used_count: how many there are
        law: by which the films of all groups grow
        law_shape, ln_shape_stderr: n, A in nm or L in nm, of all groups, and the standard error of its logarithm
        law_middle_nm: nm, film that grows as by the parabolic law, at which the rates of the groups hold
        table: a dict for each steel and finish, with the names of the C library
        comparison: a dict for each of the three models
        warnings: sentences on what to look at
        steels: the Steel of each, by (steel, finish)
    """

    _prefix = "oxt_pool"
    _how = "a Pool by oxtint.pool()"
    model = _core.Field[str]()
    shrunk = _core.Field[bool]()
    T_ref_K = _core.Field[float]()
    Q_J_per_mol = _core.Field[float]()
    Q_stderr_J_per_mol = _core.Field[float]()
    confidence = _core.Field[float]()
    scatter = _core.Field[float]()
    dof = _core.Field[float]()
    scatter_dof = _core.Field[float]()
    day_sd = _core.Field[float]()
    chi_square = _core.Field[float]()
    aicc = _core.Field[float]()
    between_sd = _core.Field[float]()
    between_Q_sd_J_per_mol = _core.Field[float]()
    parameter_count = _core.Field[int]()
    group_count = _core.Field[int]()
    row_count = _core.Field[int]()
    used_count = _core.Field[int]()
    law = _core.Field[LawName]()
    law_shape = _core.Field[float]()
    law_middle_nm = _core.Field[float]()
    ln_shape_stderr = _core.Field[float]()

    def to_json(self) -> str:
        """The same as JSON, for machines: fields by their names in C, null for what is not finite (docs/reference/json.md)."""
        return _core.text_of(lib.oxt_pool_json, self._handle)

    @property
    def Q_interval_J_per_mol(self) -> tuple[float, float]:
        """Limits of Q at `confidence`."""
        return self._fields["Q_low_J_per_mol"], self._fields["Q_high_J_per_mol"]

    @property
    def table(self) -> list[dict[str, Any]]:
        """A dict for each steel and finish, in the order of the log."""
        rows = []
        for index in range(self.group_count):
            rows.append(_core.filled("oxt_pool_group", lib.oxt_pool_get_group, self._handle, index))
            rows[-1]["growth"]["law"] = self.law
        return rows

    @property
    def comparison(self) -> list[dict[str, Any]]:
        """A dict for each of the three models, at common weights."""
        rows = []
        for model in (lib.OXT_POOL_FINISH_FACTORS, lib.OXT_POOL_SHARED_Q, lib.OXT_POOL_SEPARATE):
            fields = _core.filled("oxt_pool_comparison", lib.oxt_pool_get_comparison, self._handle, model)
            rows.append(fields | {"model": _MODEL_NAMES[model], "fitted": bool(fields["fitted"])})
        return rows

    @functools.cached_property
    def warnings(self) -> tuple[str, ...]:
        """Warnings, a sentence each."""
        return tuple(_core.text_of(lib.oxt_pool_warning, self._handle, index)
                     for index in range(self._fields["warning_count"]))

    @functools.cached_property
    def steels(self) -> dict[tuple[str, str], Steel]:
        """The Steel of each, by (steel, finish)."""
        found = {}
        for index, group in enumerate(self.table):
            made = ffi.new("oxt_steel **")
            call(lib.oxt_pool_steel, self._handle, index, made)
            found[group["steel"], group["finish"]] = Steel._owning(made[0])
        return found

    def __repr__(self) -> str:
        return (f"<Pool of {self.used_count} trials, {self.group_count} steels and finishes: "
                f"{self.model}>")


def pool(
    log: Logged,
    *,
    model: Literal["shared-q", "finish-factors", "separate", "best"] = "shared-q",
    shrink: bool = False,
    between_sd: float | None = None,
    between_Q_sd_J_per_mol: float | None = None,
    film: Film | None = None,
    scatter: float | None = None,
    thickness_uncertainty: float = 0.02,
    colour_tolerance: float = 3.0,
    confidence: float = 0.95,
    bath_sd_K: float | str = 0.0,
    time_sd_s: float | str = 0.0,
    robust: Literal["huber", "tukey"] | None = None,
    prior: Prior | None = None,
    names: Literal["as-bands", "as-middles"] = "as-bands",
    lifted: Literal["first", "middle", "last", "after"] | None = None,
    rounding: Literal["nearest", "cut", "none"] = "nearest",
    law: LawName = "parabolic",
    law_shape: float = 0.0,
    ln_shape_sd: float = 0.0,
    law_middle_nm: float = 0.0,
    progress: Callable[[float], object] | None = None,
) -> Pool:
    """Fit all steels and finishes of a log together.

    >>> import oxtint
    >>> log = oxtint.read_trials_text('''steel,bath_F,time_s,thickness_nm
    ... Alder 1,550,60,35.0
    ... Alder 1,600,60,51.0
    ... Alder 1,650,30,49.0
    ... Birch 2,560,60,30.5
    ... Birch 2,620,60,47.0
    ... ''')
    >>> together = oxtint.pool(log)
    >>> list(together.steels), round(together.steels["Birch 2", ""].Q_J_per_mol, -3)
    ([('Alder 1', ''), ('Birch 2', '')], 71000.0)

    Args:
        log: the trials, as fit() takes them
        model: what they have in common: one Q ("shared-q"); also one factor of each finish for all
            steels ("finish-factors"); nothing but the scatter ("separate"); or that with the lowest
            AICc ("best")
        shrink: shrink a rate with few coupons towards the others, and with a shared Q each steel's Q
            towards a common mean
        between_sd: standard deviation of ln k between them, for shrink; None to estimate it
        between_Q_sd_J_per_mol: J/mol, that of Q; 0 for one Q, None to estimate it
        film: film that colours are read with; the one as tabulated when None
        scatter: standard deviation of ln thickness from dip to dip; None to estimate it
        thickness_uncertainty: relative standard error of a measured thickness
        colour_tolerance: CIEDE2000 by which a measured colour may be wrong
        confidence: of the intervals, 0.5 to 0.9999
        bath_sd_K: K or a text such as "5 F", standard deviation of each logged bath
        time_sd_s: s or a text, standard deviation of each logged time
        robust: "huber" or "tukey" to weigh rows less that lie far from the rest
        prior: what is known of Q beforehand; its rate is not used
        names, lifted, rounding: how names, times and baths are read, as in fit()
        law: by which the films of all groups grow: "parabolic", "power", "linear-parabolic" or "logarithmic"
        law_shape: of the law, one for all groups: n (1 to 12), A in nm or L in nm; 0: fitted
        ln_shape_sd: standard deviation of ln shape about law_shape, with which it is fitted; 0: it is held
        law_middle_nm: nm, film at which the law is scaled; 0: the middle one of the trials
        progress: called about every 50 ms with the share done, and with 1 at the end; what it raises
            stops the pool and comes out here

    Raises:
        OxtintValueError: too few usable trials, baths all alike, or trials that contradict each other
    """
    log = log_of(log)
    told = dict(
        model=model, shrink=shrink, between_sd=between_sd,
        between_Q_sd_J_per_mol=between_Q_sd_J_per_mol, scatter=scatter,
        thickness_uncertainty=thickness_uncertainty, colour_tolerance=colour_tolerance,
        confidence=confidence, bath_sd_K=bath_sd_K, time_sd_s=time_sd_s, robust=robust, prior=prior,
        names=names, lifted=lifted, rounding=rounding, law=law, law_shape=law_shape, ln_shape_sd=ln_shape_sd,
        law_middle_nm=law_middle_nm)
    options = _core.new_struct("oxt_pool_options")
    keep = put_options(options, told, _OPTIONS)
    found = Pool._run(lib.oxt_pool_run, options, progress, log._handle, film_of(film)._handle)
    del keep
    found._fields |= {"model": _MODEL_NAMES[found._fields["model"]], "shrunk": bool(found._fields["shrunk"]),
                      "law": LAWS[found._fields["law"]]}
    found._remember(pool, (Snapshot(log),), {"film": film, **told})
    return found
