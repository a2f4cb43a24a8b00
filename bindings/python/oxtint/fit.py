# SPDX-License-Identifier: GPL-3.0-or-later
"""Trials -> growth constants; what is known beforehand."""
from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any, Literal, NamedTuple, TypedDict

import numpy as np

from . import _core
from ._core import Array, call, choose
from ._oxtint import ffi, lib
from .conditions import check_names, film_of
from .cross_validation import CrossValidation
from .drift import Drift, drift_of
from .film import Film
from .growth import LAWS, LawName
from .interval import Bootstrap, What, bootstrap, profile
from .laws import Laws
from .prior import Prior
from .steel import Steel
from .tables import columns, pandas
from .trials import LIFTED, Logged, Snapshot, log_of

if TYPE_CHECKING:
    from typing_extensions import Unpack

_ERRORS_IN_VARIABLES = {"effective-variance": lib.OXT_ERRORS_EFFECTIVE_VARIANCE,
                        "orthogonal": lib.OXT_ERRORS_ORTHOGONAL}
ROBUST = {None: lib.OXT_ROBUST_NONE, "huber": lib.OXT_ROBUST_HUBER,
           "tukey": lib.OXT_ROBUST_TUKEY}
_NAMES = {"as-bands": lib.OXT_NAMES_AS_BANDS, "as-middles": lib.OXT_NAMES_AS_MIDDLES}
ROUNDINGS = {"nearest": lib.OXT_ROUNDING_NEAREST, "cut": lib.OXT_ROUNDING_CUT, "none": lib.OXT_ROUNDING_NONE}


class StandardErrors(NamedTuple):
    """Standard errors of the constants."""

    ln_k_ref: float  #: of ln k_ref, which is the relative error of k_ref
    k_ref_nm2_per_s: float
    Q_J_per_mol: float


@dataclass(frozen=True, repr=False)
class FitRow:
    """One trial as the fit read it.

    Attributes:
        trial: index in the log, from 0
        line: line of the file, 0 when there was none
        used: 1 when it was used
        order: order of interference that it was read in, 0 for a thickness
        low_nm, high_nm: nm, interval of thickness that was seen
        observed_nm: nm, middle of the interval; NaN when not used
        predicted_nm: nm, by the fit
        residual: ln(observed / predicted)
        sigma: standard deviation of the residual: width seen and scatter
        studentized: residual over its own standard error, the row left out
        leverage: 0 to 1, share of its own prediction that the row determines
        reason: why it was not used
        weight: 0 to 1, its robust weight; 1 without them
        cooks_distance: by how much the constants move when it is left out, in their errors
        dip_change: change of ln of the time of any dip in its bath when it is left out
        equivalent_s: s, equivalent time at bath temperature, with heating up and lift where the trial states
            them
        steel, finish: names, as logged
        bath_K: K, as logged
        time_s: s, as logged
        seen: what was seen, in words: "dark straw", "57 nm", "#2b3a67", "L* 40, a* 5, b* -20"
        index: the row's label in the index of the DataFrame that was fitted; as trial without one
    """

    trial: int
    line: int
    used: int
    order: int
    low_nm: float
    high_nm: float
    observed_nm: float
    predicted_nm: float
    residual: float
    sigma: float
    studentized: float
    leverage: float
    reason: str
    weight: float
    cooks_distance: float
    dip_change: float
    equivalent_s: float
    steel: str
    finish: str
    bath_K: float
    time_s: float
    seen: str
    index: Any

    def __repr__(self) -> str:
        found = (f"residual {self.residual:+.3f}, leverage {self.leverage:.2f}" if self.used else
                 f"not used: {self.reason}")
        return (f"<FitRow {self.trial}: {self.steel}, {self.bath_K:.1f} K, {self.time_s:g} s, "
                f"{self.seen}: {found}>")


class Fit(_core.Computed):
    """A finished fit; make it by fit(). It never changes.

    It can be copied and pickled: a pickle holds the log and the options, and is fitted again where it
    is opened.

    Attributes:
        k_ref_nm2_per_s: rate at T_ref_K
        T_ref_K: middle of the trials in 1/T
        Q_J_per_mol: activation energy
        covariance: of (ln k_ref, Q), shape (2, 2)
        stderr: standard errors (ln_k_ref, k_ref_nm2_per_s, Q_J_per_mol)
        k_ref_interval_nm2_per_s, Q_interval_J_per_mol: limits at `confidence`; those of Q are NaN when Q was given
        correlation: of ln k_ref and Q
        scatter: standard deviation of ln thickness from one dip to the next
        scatter_dof: degrees of freedom behind it: the fewer, the less is known of it
        time_exponent, time_exponent_stderr: m of x growing as time^m by the rows alone, 1/2 where growth is
            parabolic, and its standard error; 0 with fewer than 6 rows
        middle_nm: nm, film about which the law bends
        chi_square, dof, reduced_chi_square, r_squared, aicc, condition: quality of the fit
        day_count: days that the used trials state, each that states none counting as one; 0: none does
        day_sd: standard deviation of ln thickness from one day to the next, beside the scatter
        reader_offset, reader_offset_stderr: ln thickness by which the reader's names lie at thicker films than
            by the optics, and its standard error; 0 and reader_sd where it was not fitted
        law_shape, ln_shape_stderr: n, A in nm or L in nm of the law that was asked for, and the standard error of its
            logarithm; 0 of the parabolic law
        law_middle_nm: nm, film that grows as by the parabolic law
        initial_nm, initial_stderr_nm2: nm, film before every dip (with_initial), and the standard error of the exposure
            that it stands for; 0 where it was not fitted
        row_count, used_count: trials of this steel, and how many were used
        Q_held: whether Q was given
        prior_share_Q, prior_share_ln_k: 0 to 1, share of the information that comes from the prior
        residuals: ln(observed / predicted) of each row, NaN where it was not used
        rows: each trial as the fit read it
        warnings: sentences on what to look at
        steel: the Steel that was found
    """

    _prefix = "oxt_fit"
    _how = "a Fit by oxtint.fit()"
    k_ref_nm2_per_s = _core.Field[float]("growth", "k_ref_nm2_per_s")
    T_ref_K = _core.Field[float]("growth", "T_ref_K")
    Q_J_per_mol = _core.Field[float]("growth", "Q_J_per_mol")
    law_shape = _core.Field[float]("growth", "shape")
    law_middle_nm = _core.Field[float]("growth", "middle_nm")
    initial_nm = _core.Field[float]("growth", "initial_nm")
    initial_stderr_nm2 = _core.Field[float]()
    confidence = _core.Field[float]()
    correlation = _core.Field[float]()
    scatter = _core.Field[float]()
    chi_square = _core.Field[float]()
    dof = _core.Field[float]()
    scatter_dof = _core.Field[float]()
    time_exponent = _core.Field[float]()
    time_exponent_stderr = _core.Field[float]()
    middle_nm = _core.Field[float]()
    reduced_chi_square = _core.Field[float]()
    r_squared = _core.Field[float]()
    aicc = _core.Field[float]()
    condition = _core.Field[float]()
    row_count = _core.Field[int]()
    used_count = _core.Field[int]()
    prior_share_Q = _core.Field[float]()
    prior_share_ln_k = _core.Field[float]()
    day_count = _core.Field[int]()
    day_sd = _core.Field[float]()
    reader_offset = _core.Field[float]()
    reader_offset_stderr = _core.Field[float]()
    ln_shape_stderr = _core.Field[float]()

    def to_json(self) -> str:
        """The same as JSON, for machines: fields by their names in C, null for what is not finite (docs/reference/json.md)."""
        return _core.text_of(lib.oxt_fit_json, self._handle)

    @property
    def law(self) -> LawName:
        """The law by which the film grows."""
        return LAWS[int(self._fields["growth"]["law"])]

    @property
    def Q_held(self) -> bool:
        """Whether Q was given."""
        return bool(self._fields["Q_held"])

    @property
    def stderr(self) -> StandardErrors:
        """Standard errors (ln_k_ref, k_ref_nm2_per_s, Q_J_per_mol)."""
        of_ln_k = self._fields["ln_k_stderr"]
        return StandardErrors(of_ln_k, self.k_ref_nm2_per_s * of_ln_k, self._fields["Q_stderr_J_per_mol"])

    @property
    def k_ref_interval_nm2_per_s(self) -> tuple[float, float]:
        """Limits of k_ref at `confidence`."""
        return self._fields["k_ref_low_nm2_per_s"], self._fields["k_ref_high_nm2_per_s"]

    @property
    def Q_interval_J_per_mol(self) -> tuple[float, float]:
        """Limits of Q at `confidence`; NaN when Q was given."""
        return self._fields["Q_low_J_per_mol"], self._fields["Q_high_J_per_mol"]

    @functools.cached_property
    def covariance(self) -> Array:
        """Of (ln k_ref, Q), shape (2, 2)."""
        both = self._fields["covariance_J_per_mol"]
        made = np.array([[self._fields["variance_ln_k"], both], [both, self._fields["variance_Q_J2_per_mol2"]]])
        made.flags.writeable = False
        return made

    @functools.cached_property
    def rows(self) -> tuple[FitRow, ...]:
        """Each trial as the fit read it."""
        found, log = [], self._made_by[1][0]
        for index in range(self.row_count):
            fields = _core.filled("oxt_fit_row", lib.oxt_fit_get_row, self._handle, index)
            place = fields["trial"]
            trial = log[place]
            found.append(FitRow(**fields, steel=trial.steel, finish=trial.finish, bath_K=trial.bath_K,
                                time_s=trial.time_s, seen=trial._seen(),
                                index=place if log.labels is None else log.labels[place]))
        return tuple(found)

    def to_frame(self) -> Any:
        """The rows as a DataFrame of pandas, which must be installed; the index is that of the DataFrame
        that was fitted, or the place in the log."""
        library, table = pandas(), columns(self.rows)
        places, labels = table["trial"], self._made_by[1][0].labels
        del table["index"]
        return library.DataFrame(table, index=library.Index(places, name="trial") if labels is None else
                                labels.take(places))

    @property
    def residuals(self) -> Array:
        """ln(observed / predicted) of each row, NaN where it was not used."""
        return np.array([row.residual for row in self.rows])

    @functools.cached_property
    def warnings(self) -> tuple[str, ...]:
        """Warnings, a sentence each."""
        return tuple(_core.text_of(lib.oxt_fit_warning, self._handle, index)
                     for index in range(self._fields["warning_count"]))

    @functools.cached_property
    def steel(self) -> Steel:
        """The Steel that was found."""
        made = ffi.new("oxt_steel **")
        call(lib.oxt_fit_steel, self._handle, made)
        return Steel._owning(made[0])

    def _record(self) -> dict[str, Any]:
        """What a table of fits has of it."""
        return {"steel": self.steel.name, "finish": self.steel.finish, **self.to_dict()}

    def drift(self, *, false_alarm: float = 0.01, confidence: float = 0.95) -> Drift:
        """Look for a drift in the log, whose order is taken for that of time.

        Args:
            false_alarm: chance that a stable log is called, 0.001 to 0.1
            confidence: of the limits, 0.5 to 0.9999
        """
        return drift_of(self, false_alarm, confidence)

    def cross_validate(self, *, by_bath: bool = False, confidence: float = 0.95, threads: int = 0,
                       progress: Callable[[float], object] | None = None) -> CrossValidation:
        """Predict each coupon from the others: are the colours and their chances what came out?

        Args:
            by_bath: leave out each coupon with all others within 5 K of its bath, which shows how far the fit
                carries to a bath that it has not seen
            confidence: of all limits, 0.5 to 0.9999
            threads: 1 to 256; 0: one for each processor
            progress: as in fit()
        """
        return CrossValidation._of(self, by_bath, confidence, threads, progress)

    def laws(self, *, with_initial: bool = False, confidence: float = 0.95,
             progress: Callable[[float], object] | None = None) -> Laws:
        """Is growth parabolic at all? Compare laws of growth on the trials of this fit.

        Args:
            with_initial: each law may have a film that was there before the dip
            confidence: of the intervals and of the verdict, 0.5 to 0.9999
            progress: as in fit()
        """
        return Laws._of(self, with_initial, confidence, progress)

    def profile(
        self,
        what: What,
        bath: float | str | None = None,
        *,
        confidence: float = 0.95,
        scale: Literal["stated", "reduced"] = "stated",
        progress: Callable[[float], object] | None = None,
    ) -> tuple[float, float]:
        """Limits by the rise of chi-square when one number is held and the other fitted anew.

        Args:
            what: "ln-k" (of k_ref), "Q" (J/mol), or "dip-time": factors on the mean time of any dip
            bath: K, or a text such as "600 F"; for "dip-time"
            confidence: 0.5 to 0.9999
            scale: errors of the rows as "stated", like the fit's own intervals, or times the root of
                the "reduced" chi-square
            progress: called now and then with the share done, 1 at the end; what it raises stops it
        """
        return profile(self._handle, what, bath, confidence, scale, progress)

    def bootstrap(
        self,
        replicates: int = 2000,
        *,
        kind: Literal["pairs", "residual"] = "pairs",
        random_seed: int = 1,
        threads: int = 0,
        progress: Callable[[float], object] | None = None,
    ) -> Bootstrap:
        """Fit many logs drawn from the rows of this one.

        Args:
            replicates: 100 to 1,000,000
            kind: draw whole rows ("pairs"), or their errors alone ("residual")
            random_seed: the same one gives the same numbers on any number of threads
            threads: 0 for one per processor
            progress: called now and then with the share done, 1 at the end; what it raises stops the
                bootstrap
        """
        return bootstrap(self, replicates, kind, random_seed, threads, progress)

    def _repr_html_(self) -> str | None:
        return _core.as_html(self)

    def __repr__(self) -> str:
        return (f"<Fit of {self.used_count} trial{'s' * (self.used_count != 1)}: k_ref "
                f"{self.k_ref_nm2_per_s:.4g} nm^2/s at "
                f"{self.T_ref_K:.1f} K, Q {self.Q_J_per_mol / 1e3:.3g} kJ/mol>")


class FitOptions(TypedDict, total=False):
    """What fit() and fit_each() may be told by name; declared here once for both.

    Attributes:
        Q: J/mol, hold the activation energy at this value; None to fit it
        Q_stderr: J/mol, standard error of a held Q; 0
        scatter: standard deviation of ln thickness from dip to dip; None to estimate it
        thickness_uncertainty: relative standard error of a measured thickness; 0.02
        colour_tolerance: CIEDE2000 by which a measured colour may be wrong; 3
        confidence: of the intervals, 0.5 to 0.9999; 0.95
        bath_sd_K: K or a text such as "5 F", standard deviation of each logged bath; 0
        time_sd_s: s or a text, standard deviation of each logged time; 0
        errors_in_variables: how these two enter: as "effective-variance" of the row (the default), or
            by an "orthogonal" fit of the true baths and times with the constants
        robust: "huber" or "tukey" to weigh rows less that lie far from the rest; None
        prior: what is known beforehand, such as Prior.mild_steel(); None
        names: how a trade name is read: as a film between the ends of its band ("as-bands", the default),
            or at its middle, with its width as the error ("as-middles")
        lifted: where in the band of its colour a coupon was lifted that states nothing: as soon as the colour was
            there ("first"), at its best ("middle"), as the next one came ("last"), or by the clock and read
            "after" (the default)
        rounding: how times and baths were read that are all multiples of a coarse step: rounded to the
            "nearest" (the default), "cut", or "none": they are exact
        reader_sd: standard deviation of ln thickness by which whoever gave the names may see each colour
            begin and end elsewhere than the film has it, 0 to 1, such as 0.1; fitted where the log holds
            measured films or colours too; 0
        law: by which the film grows: "parabolic" (the default), "power", "linear-parabolic" or "logarithmic"; of
            one steel alone also "best", the law that its trials show: parabolic unless they contradict it
        law_shape: of the law: n (1 to 12), A in nm or L in nm; 0: fitted
        ln_shape_sd: standard deviation of ln shape about law_shape, with which it is fitted; 0: it is held
        law_middle_nm: nm, film at which the law is scaled; 0: the middle one of the trials
        with_initial: whether a film that every coupon had before its dip is fitted, with a law_shape that is held
    """

    Q: float | None
    Q_stderr: float
    scatter: float | None
    thickness_uncertainty: float
    colour_tolerance: float
    confidence: float
    bath_sd_K: float | str
    time_sd_s: float | str
    errors_in_variables: Literal["effective-variance", "orthogonal"]
    robust: Literal["huber", "tukey"] | None
    prior: Prior | None
    names: Literal["as-bands", "as-middles"]
    lifted: Literal["first", "middle", "last", "after"] | None
    rounding: Literal["nearest", "cut", "none"]
    reader_sd: float
    law: LawName | Literal["best"]
    law_shape: float
    ln_shape_sd: float
    law_middle_nm: float
    with_initial: bool


#: The field of oxt_fit_options that each goes to, and what makes it of a value and its name.
OPTIONS: dict[str, tuple[str, Callable[[Any, str], Any]]] = {
    "Q": ("Q_J_per_mol", _core.number),
    "Q_stderr": ("Q_stderr_J_per_mol", _core.number),
    "scatter": ("scatter", _core.number),
    "thickness_uncertainty": ("thickness_uncertainty", _core.number),
    "colour_tolerance": ("colour_tolerance", _core.number),
    "confidence": ("confidence", _core.number),
    "bath_sd_K": ("bath_sd_K", _core.kelvin_difference),
    "time_sd_s": ("time_sd_s", _core.seconds),
    "errors_in_variables": ("errors_in_variables", functools.partial(choose, _ERRORS_IN_VARIABLES)),
    "robust": ("robust", functools.partial(choose, ROBUST)),
    "prior": ("prior", lambda prior, name: _core.expect(prior, Prior, name)._struct()),
    "names": ("names", functools.partial(choose, _NAMES)),
    "lifted": ("lifted", functools.partial(choose, LIFTED)),
    "rounding": ("rounding", functools.partial(choose, ROUNDINGS)),
    "reader_sd": ("reader_sd", _core.number),
    "law": ("law", functools.partial(choose, {name: i for i, name in enumerate(LAWS)})),
    "law_shape": ("law_shape", _core.number),
    "ln_shape_sd": ("ln_shape_sd", _core.number),
    "law_middle_nm": ("law_middle_nm", _core.number),
    "with_initial": ("with_initial", _core.truth),
}
_MAY_BE_NONE = {"Q", "scatter", "robust", "prior", "lifted", "between_sd", "between_Q_sd_J_per_mol"}


def put_options(options: Any, told: Mapping[str, Any], known: Mapping[str, tuple[str, Callable[[Any, str], Any]]]) -> list[Any]:
    """Fill an options struct with what was told by name; gives what must live as long as it is used."""
    keep = []
    for name, value in told.items():
        if value is not None or name not in _MAY_BE_NONE:
            field, make = known[name]
            keep.append(make(value, name))
            setattr(options, field, keep[-1])
    return keep


def fit_options(
    function: Callable[..., Any], steel: str | None, finish: str | None, told: FitOptions
) -> tuple[Any, list[Any], bool]:
    """An oxt_fit_options, what must live as long as it is used, and whether the trials choose the law."""
    options = _core.new_struct("oxt_fit_options")
    keep: list[Any] = []  # the texts and the prior live as long as the call
    for name, text in (("steel", steel), ("finish", finish)):
        if text is not None:
            keep.append(ffi.new("char[]", _core.encode(text, name)))
            setattr(options, name, keep[-1])
    check_names(dict(told), function, FitOptions)
    best = told.get("law") == "best"
    keep += put_options(options, {name: value for name, value in told.items() if name != "law" or not best}, OPTIONS)
    return options, keep, best


def fit(
    log: Logged,
    steel: str | None = None,
    finish: str | None = None,
    *,
    film: Film | None = None,
    progress: Callable[[float], object] | None = None,
    **told: Unpack[FitOptions],
) -> Fit:
    """Fit the growth constants of one steel by weighted least squares.

    >>> import oxtint
    >>> log = oxtint.read_trials_text('''steel,bath_F,time_s,thickness_nm
    ... Alder 1,550,60,35.0
    ... Alder 1,550,240,71.5
    ... Alder 1,600,60,51.0
    ... Alder 1,650,30,49.0
    ... ''')
    >>> found = oxtint.fit(log)
    >>> round(found.k_ref_nm2_per_s, 1), round(found.T_ref_K, 1), round(found.Q_J_per_mol, -3), found.used_count
    (35.0, 580.9, 70000.0, 4)

    Args:
        log: the trials: a TrialLog or some of its trials, the path of a CSV file, or a table: a
            DataFrame, a dict of columns, a list of dicts, as TrialLog.from_columns() takes it
        steel: only trials of this steel; None when the log holds just one
        finish: only trials of this finish; None for all
        film: film that colours are read with; the one as tabulated when None
        progress: called about every 50 ms with the share done, and with 1 at the end; what it raises
            stops the fit and comes out here
        told: Q, Q_stderr, scatter, thickness_uncertainty, colour_tolerance, confidence, bath_sd_K, time_sd_s,
            errors_in_variables, robust, prior, names, lifted, rounding: as in FitOptions

    Raises:
        OxtintValueError: several steels and none chosen, too few usable trials, baths all alike, or
            trials that contradict each other; the message says what to do
    """
    options, keep, best = fit_options(fit, steel, finish, told)
    log = log_of(log)
    found = Fit._run(lib.oxt_laws_fit if best else lib.oxt_fit_run, options, progress, log._handle,
                     film_of(film)._handle)
    del keep
    found._remember(fit, (Snapshot(log), steel, finish), {"film": film, **told})
    return found
