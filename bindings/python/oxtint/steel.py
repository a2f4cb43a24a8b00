# SPDX-License-Identifier: GPL-3.0-or-later
"""What is known of one steel, and what it predicts."""
from __future__ import annotations

import dataclasses
import os
import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from . import _core
from ._core import call, choose
from ._oxtint import ffi, lib
from .advise import Advice, advise
from .caution import Caution, CautionWarning, cautions_of
from .conditions import DipOptions, check_names, film_of, options_of, put_spread
from .dip import Baths, Dip, baths, most_forgiving
from .error import OxtintTypeError
from .film import Film, default_film, film_in
from .tint import Target, Wanted
from .growth import LAWS, Growth, LawName
from .heat import SHAPES, Lift, Part
from .record import Record, RecordedDip, record, record_of, recorded
from .trials import Logged, Trial, log_of
from .words import Words, WordsLike, handle_of, words_of

if TYPE_CHECKING:
    from typing_extensions import Unpack


_SHAPES = tuple(SHAPES)
_BASES = ("coupons", "steel")  # in the order of oxt_basis
_FOUND = ("change_count", "cautions", "record_count")  # of oxt_steel_values: what is found in a card, not stated


def _bath_range(low: float | str, high: float | str, longest: float | str, rows: int = 9) -> Any:
    made = _core.new_struct("oxt_bath_range")
    made.low_K, made.high_K = _core.kelvin(low, "low"), _core.kelvin(high, "high")
    made.longest_s = _core.seconds(longest, "longest")
    made.rows = _core.whole(rows, "rows")
    return made


@dataclass(frozen=True)
class SteelEntry:
    """One thing that was done to a card after it was made.

    Attributes:
        what: what was done and found, in words
        label: the caller's own, such as a date
        k_ref_before_nm2_per_s, k_ref_after_nm2_per_s: rate at T_ref before and after
        trial_count: coupons that it was done with
        origin: where the numbers before came from
    """

    what: str
    label: str
    k_ref_before_nm2_per_s: float
    k_ref_after_nm2_per_s: float
    trial_count: int
    origin: str

    def __str__(self) -> str:
        return f"{self.label}: {self.what}" if self.label else self.what


class Steel(Growth):
    """One steel with one finish: growth constants, their errors, and what the trials covered.

    Make it from a fit, by load_steel(), or by from_values(). It never changes and may be shared by
    threads; it can be copied and pickled.

    >>> steel = Steel.from_values(steel="Alder 1", k_ref_nm2_per_s=30.0, T_ref_K=588.7,
    ...     Q_J_per_mol=76e3, dof=10.0, bath_low_K=560.0, bath_high_K=620.0, thickness_low_nm=20.0,
    ...     thickness_high_nm=80.0)
    >>> round(steel.thickness(588.7, 120.0), 6), round(steel.time_for(60.0, 588.7), 6)
    (60.0, 120.0)
    >>> steel.thickness([560.0, 588.7], [[30.0], [120.0]]).round(1).tolist()
    [[20.2, 30.0], [40.3, 60.0]]
    >>> dip = steel.dip("blue", "600 F")
    >>> f"{dip.earliest_s:.0f} to {dip.latest_s:.0f} s, aim {dip.time_s:.0f} s"
    '90 to 134 s, aim 110 s'
    >>> round(steel.bath_for("blue", "1:00"), 1)
    612.6
    >>> round(steel.most_forgiving("blue", "560 F", "640 F", time_wander_s=3.0).bath_K, 1)
    566.5
    >>> Steel.from_card(steel.to_card()) == steel
    True
    """

    def __init__(self) -> None:
        raise OxtintTypeError("make a Steel by Fit.steel, load_steel() or Steel.from_values()")

    @classmethod
    def _made(cls, function: Callable[..., int], *arguments: Any) -> Steel:
        """What a fallible function makes as its first argument."""
        made = ffi.new("oxt_steel **")
        call(function, made, *arguments)
        return cls._owning(made[0])

    @classmethod
    def _owning(cls, handle: Any) -> Steel:
        steel = cls.__new__(cls)
        steel._handle = ffi.gc(handle, lib.oxt_steel_free)
        values = _core.new_struct("oxt_steel_values")
        call(lib.oxt_steel_get, steel._handle, values)
        steel._growth = values.growth
        steel._constants = ffi.addressof(values, "growth")
        steel._values = values  # keeps the growth alive
        steel._fields = {name: value for name, value in _core.take(values).items() if name not in _FOUND}
        steel._fields["basis"] = _BASES[values.basis]
        steel._fields["coupon_shape"] = _SHAPES[values.coupon_shape]
        words = ffi.new("oxt_words **")
        call(lib.oxt_steel_words, steel._handle, words)
        steel._words = Words._owning(words[0]) if words[0] else None
        steel._finish()
        return steel

    _growth: Any
    _values: Any
    _fields: dict[str, Any]
    _words: Words | None

    @classmethod
    def from_values(cls, **values: Any) -> Steel:
        """A steel from known values; the names are those of to_dict().

        Args:
            values: needed are steel, k_ref_nm2_per_s, T_ref_K, dof (degrees of freedom of the errors), and what
                its trials covered: bath_low_K, bath_high_K, thickness_low_nm and thickness_high_nm. Left out,
                Q_J_per_mol is 0, a rate alike in all baths; variance_ln_k, variance_Q_J2_per_mol2,
                covariance_J_per_mol and scatter are 0, a rate known exactly; scatter_dof is 0, as dof; time_exponent,
                time_exponent_stderr, middle_nm, day_sd and ln_shape_stderr are 0, not known; law is "parabolic",
                law_shape and law_middle_nm are those of another one; initial_nm and initial_stderr_nm2 are 0, bare steel
                before a dip; trial_count is 0; finish, description and
                origin are ""; basis is "coupons", and nothing is known of the coupon itself

        Raises:
            TypeError: there is no value of a name
            OxtintValueError: a value that is needed is missing, or one is out of its range
        """
        struct = _core.new_struct("oxt_steel_values")
        texts = {"steel", "finish", "description", "origin"}
        growth = {"k_ref_nm2_per_s": "k_ref_nm2_per_s", "T_ref_K": "T_ref_K", "Q_J_per_mol": "Q_J_per_mol",
                  "law_shape": "shape", "law_middle_nm": "middle_nm", "initial_nm": "initial_nm"}
        choices: dict[str, Sequence[str]] = {"basis": _BASES, "coupon_shape": _SHAPES}
        plain = set(dir(struct)) - texts - {"struct_size", "growth", *_FOUND}
        for name, value in values.items():
            if name in texts:
                _core.put_text(getattr(struct, name), value, name)
            elif name in growth:
                setattr(struct.growth, growth[name], _core.number(value, name))
            elif name == "law":
                struct.growth.law = choose({word: number for number, word in enumerate(LAWS)}, value, name)
            elif name in choices:
                numbers = {word: number for number, word in enumerate(choices[name])}
                setattr(struct, name, choose(numbers, value, name))
            elif name in plain:
                count = isinstance(getattr(struct, name), int)
                _core.put(struct, _core.whole if count else _core.number, **{name: value})
            else:
                known = ", ".join(sorted(texts | set(growth) | {"law"} | plain))
                raise OxtintTypeError(f"unknown value {name!r}, expected some of {known}")
        return cls._made(lib.oxt_steel_new, struct)

    @classmethod
    def from_card(cls, text: str) -> Steel:
        """A steel from the text of its card (JSON)."""
        data = _core.encode(text, "text")
        return cls._made(lib.oxt_steel_load, ffi.NULL, data, len(data))

    def to_card(self) -> str:
        """The text of the card (JSON), which reads back number for number."""
        return _core.text_of(lib.oxt_steel_save_text, self._handle)

    def save(self, path: str | os.PathLike[str], *, overwrite: bool = False) -> None:
        """Save the card, whole or not at all.

        Args:
            path: where to; a card that is there is replaced
            overwrite: whether any other file is replaced too

        Raises:
            OxtintFileExistsError: there is a file that is no card
            OxtintOSError: the file cannot be written, or it is a directory, a device or a pipe
        """
        call(lib.oxt_steel_save, self._handle, _core.encode_path(path), _core.replace(overwrite))

    def to_dict(self) -> dict[str, Any]:
        """The values by name, as from_values() takes them."""
        fields = {name: value for name, value in self._fields.items() if name != "growth"}
        growth = self._fields["growth"]
        return fields | {name: growth[name] for name in ("k_ref_nm2_per_s", "T_ref_K", "Q_J_per_mol")} | {
            "law": self.law, "law_shape": growth["shape"], "law_middle_nm": growth["middle_nm"],
            "initial_nm": growth["initial_nm"]}

    @property
    def name(self) -> str:
        """Name of the steel."""
        return str(self._fields["steel"])

    @property
    def finish(self) -> str:
        """Name of the finish, may be ""."""
        return str(self._fields["finish"])

    @property
    def text(self) -> str:
        """The steel in words, with its finish where it has one."""
        return self.name + (f", {self.finish}" if self.finish else "")

    @property
    def k_ref_nm2_per_s(self) -> float:
        """Rate at T_ref, nm^2/s."""
        return float(self._growth.k_ref_nm2_per_s)

    @property
    def law(self) -> LawName:
        """The law by which the film grows."""
        return LAWS[int(self._growth.law)]

    @property
    def law_shape(self) -> float:
        """n of the power law, or A or L in nm; 0 of the parabolic law."""
        return float(self._growth.shape)

    @property
    def law_middle_nm(self) -> float:
        """Film that grows as by the parabolic law, nm; 0 of that law."""
        return float(self._growth.middle_nm)

    @property
    def initial_nm(self) -> float:
        """Film (nm) that every part has before a dip, 0 on bare steel."""
        return float(self._growth.initial_nm)

    @property
    def T_ref_K(self) -> float:
        """Reference temperature, K."""
        return float(self._growth.T_ref_K)

    @property
    def Q_J_per_mol(self) -> float:
        """Activation energy, J/mol."""
        return float(self._growth.Q_J_per_mol)

    @property
    def scatter(self) -> float:
        """Standard deviation of ln thickness from dip to dip."""
        return float(self._fields["scatter"])

    @property
    def day_sd(self) -> float:
        """Standard deviation of ln thickness from one day to the next, beside the scatter; 0 where it is not known."""
        return float(self._fields["day_sd"])

    @property
    def bath_range_K(self) -> tuple[float, float]:
        """Coldest and hottest bath of the trials, K."""
        return self._fields["bath_low_K"], self._fields["bath_high_K"]

    @property
    def words(self) -> Words | None:
        """The shop's own words for colours that the card keeps, which are those of the log that it was fitted
        to, or else of the film; None where it has none."""
        return self._words

    @property
    def film(self) -> Film:
        """The film that targets are read with, and named by, where no other is given, which is the one as
        tabulated, in the card's words."""
        return default_film() if self._words is None else film_in(self._words)

    def with_words(self, words: WordsLike | None) -> Steel:
        """The same steel with other words, a Words or what makes one, or with none; all else the same."""
        return Steel._made(lib.oxt_steel_with_words, self._handle, handle_of(words_of(words)))

    @property
    def basis(self) -> str:
        """What the constants describe, "steel" or "coupons".

        "steel" at temperature, where the trials stated their coupons; "coupons" where the constants
        include the heating-up and the lift of the trials.
        """
        return str(self._fields["basis"])

    @property
    def coupon(self) -> Part | None:
        """The usual coupon of the trials, which every prediction takes as its part unless told otherwise;
        None where the card does not state it, or one without a size."""
        values = self._fields
        if not values["coupon_size_m"]:
            return None
        given = {name: values[f"coupon_{name}"] for name in ("start_K", "transfer_W_per_m2K")}
        given = {name.removesuffix("_K"): value for name, value in given.items() if value}
        return Part(values["coupon_size_m"], values["coupon_shape"], **given)

    @property
    def coupon_lift(self) -> Lift | None:
        """The way of the usual coupon to the quench; None where the card states none."""
        return Lift(self._fields["coupon_lift_s"]) if self._fields["coupon_lift_s"] else None

    @property
    def coupon_text(self) -> str:
        """How the coupons were run, in words, with the range of sizes and lifts; "not stated" where their
        heating-up is inside the constants."""
        return _core.text_of(lib.oxt_steel_coupon_text, self._handle)

    def equivalent_time(self, trial: Trial) -> float:
        """Time (s) at bath temperature that grows as much as a coupon's own time did: its heating-up taken
        off, its lift added. A coupon that states no part is the usual one; where `basis` is "coupons" it
        is the coupon's own time."""
        # What was seen does not enter, and may be a shop's own word.
        plain = dataclasses.replace(trial, colour=None, lab=None, srgb=None, thickness_nm=1.0)
        return _core.number_of(lib.oxt_dip_equivalent_time, self._handle, plain._struct())

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What to mind about the baths that its trials were run in."""
        return cautions_of(self._values.cautions)

    @property
    def history(self) -> tuple[SteelEntry, ...]:
        """What was done to the card after it was made, the oldest first."""
        return tuple(SteelEntry(**_core.filled("oxt_steel_change", lib.oxt_steel_history, self._handle, index))
                     for index in range(self._values.change_count))

    @property
    def recorded(self) -> tuple[RecordedDip, ...]:
        """Dips by the card that were recorded, the oldest first."""
        return recorded(self, _SHAPES)

    def record(self, dip: Dip, seen: str, *, time: float | str | None = None, label: str = "",
               film: Film | None = None) -> Steel:
        """This steel with a dip recorded: what it promised, and what came out.

        Args:
            dip: what was promised by this steel
            seen: what came out: a trade name, "bright" among them, "57 nm" or "#2b3a67"
            time: s, or a text such as "1:30", when it was lifted; as predicted when None. More than 2 % and more
                than a second off, the dip is kept as a coupon and counts for no promise
            label: kept with it, such as a date
            film: film that `seen` is read with; as in dip()
        """
        made: Steel = record(self, film_of(film, self), _core.expect(dip, Dip, "dip"), seen, time, label)
        return made

    def track_record(self, *, false_alarm: float = 0.01) -> Record:
        """What came of the recorded dips beside what was promised.

        Args:
            false_alarm: chance that a card which keeps its promises is said not to, at one look, 0.001 to 0.1
        """
        return record_of(self, false_alarm)

    def anchor(
        self,
        log: Logged,
        *,
        film: Film | None = None,
        shift_stderr: float = 0.3,
        thickness_uncertainty: float = 0.02,
        colour_tolerance: float = 3.0,
        label: str = "",
    ) -> Steel:
        """This steel brought up to date by a new coupon or more: new salt, another thermometer.

        k_ref moves towards what they show; Q, T_ref and the scatter stay. The renewed steel has one
        more entry in its history. A path is read in the card's words.

        Args:
            log: the coupons, as fit() takes them; those of this steel count, and of its finish where it has
                one
            film: film that colours are read with; as in dip()
            shift_stderr: how far ln k may have moved since the card was made, a standard deviation
            thickness_uncertainty: relative standard error of a measured thickness
            colour_tolerance: CIEDE2000 by which a measured colour may be wrong
            label: kept with the entry, such as a date
        """
        log = log_of(log, self.words)
        options = _core.new_struct("oxt_anchor_options")
        _core.put(options, _core.number, shift_stderr=shift_stderr, thickness_uncertainty=thickness_uncertainty,
                  colour_tolerance=colour_tolerance)
        keep = ffi.new("char[]", _core.encode(label, "label"))
        options.label = keep
        return Steel._made(lib.oxt_anchor_steel, self._handle, log._handle, film_of(film, self)._handle, options)

    def __repr__(self) -> str:
        return (f"<Steel {self.text}: k_ref {self.k_ref_nm2_per_s:.4g} nm^2/s at {self.T_ref_K:.1f} K, "
                f"Q {self.Q_J_per_mol / 1e3:.3g} kJ/mol>")

    def _repr_html_(self) -> str | None:
        return _core.as_html(self)

    def __eq__(self, other: object) -> bool:
        return (isinstance(other, Steel) and self._fields == other._fields
                and self.history == other.history and self.words == other.words
                and self.recorded == other.recorded)

    def __hash__(self) -> int:
        return hash((self.name, self.finish, self.k_ref_nm2_per_s, self.T_ref_K, self.Q_J_per_mol))

    def __reduce__(self) -> tuple[Any, tuple[str]]:
        return Steel.from_card, (self.to_card(),)

    def _record(self) -> dict[str, Any]:
        """What a table of steels has of it; from_values() takes it back."""
        return self.to_dict()

    def _asked(
        self,
        caller: Callable[..., Any],
        told: DipOptions,
        target: Wanted,
        film: Film | None,
        bath_wander_K: float | str,
        time_wander_s: float | str,
        confidence: float = 0.95,
    ) -> tuple[Target, Any, Any]:
        """What a prediction is to be of: the target, an oxt_dip_options, and what must live as long as that."""
        chosen = film_of(film, self)
        wanted = chosen.target(target)
        options, kept = options_of(chosen, told, caller)
        options.confidence = _core.number(confidence, "confidence")
        put_spread(options, bath_wander_K, time_wander_s)
        return wanted, options, kept

    @_core.in_words
    def dip(
        self,
        target: Wanted,
        bath: float | str,
        *,
        film: Film | None = None,
        confidence: float = 0.95,
        bath_wander_K: float | str = 0.0,
        time_wander_s: float | str = 0.0,
        **told: Unpack[DipOptions],
    ) -> Dip:
        """Predict the dip for a target in a bath.

        Where the log stated its coupons, the card has them (`basis` is "steel"): the part and its lift are
        like them unless others are named. The times of any other card hold what its coupons lost to
        heating up and gained on the way to the quench: name the coupon and the part, and the difference
        between the two is included.

        Args:
            target: as in Film.target(): "blue", "second order blue", "57 nm", "#2b3a67", ...
            bath: K, or a text such as "650 F"
            film: film that the target is read with; the one as tabulated, in the card's words, when None
            confidence: of the intervals, 0.5 to 0.9999
            bath_wander_K: K or a text such as "5 F", standard deviation of the bath beyond that of the
                trials
            time_wander_s: s or a text, standard deviation of the lift beyond that of the trials
            told: part, lift, coupon, coupon_lift, initial, salt_bath, load_kg, last_temper: as in
                DipOptions
        """
        wanted, options, _kept = self._asked(Steel.dip, told, target, film, bath_wander_K, time_wander_s, confidence)
        dip = _core.new_struct("oxt_dip")
        call(lib.oxt_dip_predict, self._handle, wanted._struct(), _core.kelvin(bath), options, dip)
        return Dip._of(dip, _core.unit_of(bath), wanted)

    @_core.in_words
    def bath_for(
        self,
        target: Wanted,
        time: float | str,
        *,
        film: Film | None = None,
        **told: Unpack[DipOptions],
    ) -> float:
        """Bath temperature (K) at which a target comes in a given time; the rest as in dip().

        A bare number carries no cautions: dip_for_time() gives the whole dip. Where a caution forbids it,
        this warns.

        Warns:
            CautionWarning: the bath is not to be run, or the dip would soften the part
        """
        check_names(dict(told), Steel.bath_for)
        dip = self.dip_for_time(target, time, film=film, **told)
        for caution in dip.cautions:
            if caution.kind == "forbids":
                warnings.warn(f"bath_for: {caution.text}", CautionWarning, stacklevel=3)
        return dip.bath_K

    @_core.in_words
    def dip_for_time(
        self,
        target: Wanted,
        time: float | str,
        *,
        unit: str | None = None,
        film: Film | None = None,
        confidence: float = 0.95,
        bath_wander_K: float | str = 0.0,
        time_wander_s: float | str = 0.0,
        **told: Unpack[DipOptions],
    ) -> Dip:
        """The dip, and with it the bath, that gives a target in a given time.

        Args:
            target: as in dip()
            time: s, or a text such as "1:30"
            unit: scale of its report, "F", "C" or "K"; when None that of a temper or a wander that is told as
                a text, or else C
            film, confidence, bath_wander_K, time_wander_s, told: as in dip()
        """
        wanted, options, _kept = self._asked(Steel.dip_for_time, told, target, film, bath_wander_K, time_wander_s,
                                             confidence)
        last = told.get("last_temper")  # which holds, or it would have been refused by now
        texts = [text for text in (last[0] if last is not None else None, bath_wander_K) if isinstance(text, str)]
        unit = _core.unit_or(unit, _core.unit_of(texts[0]) if texts else "C").upper()
        dip = _core.new_struct("oxt_dip")
        call(lib.oxt_dip_for_time, self._handle, wanted._struct(), _core.seconds(time), options, dip)
        return Dip._of(dip, unit)

    @_core.in_words
    def most_forgiving(
        self,
        target: Wanted,
        low: float | str = "500 F",
        high: float | str = "700 F",
        *,
        longest: float | str = 3600.0,
        film: Film | None = None,
        confidence: float = 0.95,
        bath_wander_K: float | str = 0.0,
        time_wander_s: float | str = 0.0,
        **told: Unpack[DipOptions],
    ) -> Dip:
        """The dip that has the best chance of hitting a target, among the baths allowed.

        State the wander of bath and clock: without it only the fit and the scatter count.

        Args:
            target: as in dip()
            low, high: K, or texts; coldest and hottest bath allowed
            longest: s or a text, longest dip allowed
            others: as in dip()
        """
        wanted, options, _kept = self._asked(Steel.most_forgiving, told, target, film, bath_wander_K, time_wander_s,
                                             confidence)
        return most_forgiving(self, wanted, _bath_range(low, high, longest), options, _core.unit_of(low))

    @_core.in_words
    def baths(
        self,
        target: Wanted,
        low: float | str = "500 F",
        high: float | str = "700 F",
        *,
        longest: float | str = 3600.0,
        rows: int = 9,
        unit: str | None = None,
        film: Film | None = None,
        bath_wander_K: float | str = 0.0,
        time_wander_s: float | str = 0.0,
        **told: Unpack[DipOptions],
    ) -> Baths:
        """The dip in each of several baths, with its window and chance: why hotter is riskier.

        The dips can be gone through; printed, they are a table with the cautions of all of them. Baths
        in which the target takes longer than allowed are left out.

        Args:
            rows: number of baths, evenly from low to high
            unit: scale for temperatures, "F", "C" or "K"; that of `low` when None
            others: as in most_forgiving()
        """
        wanted, options, _kept = self._asked(Steel.baths, told, target, film, bath_wander_K, time_wander_s)
        made_by = Steel.baths, (self, target, low, high), dict(
            longest=longest, rows=rows, unit=unit, film=film, bath_wander_K=bath_wander_K,
            time_wander_s=time_wander_s, **told)
        return baths(self, wanted, _bath_range(low, high, longest, rows), options,
                     _core.unit_or(unit, _core.unit_of(low)), made_by)

    @_core.in_words
    def advise(
        self,
        target: Wanted | None = None,
        bath: float | str | None = None,
        *,
        low: float | str = "500 F",
        high: float | str = "700 F",
        shortest: float | str = 15.0,
        longest: float | str = 3600.0,
        count: int = 3,
        criterion: str = "dip",
        highest_order: int = 1,
        film: Film | None = None,
    ) -> Advice:
        """The next coupons that help most, chosen together.

        Args:
            target: what the dip that they are for is to show; any when None, the advice is the same
            bath: K or a text, bath of that dip; the middle of the range when None
            low, high: K, or texts; coldest and hottest bath allowed
            shortest: s or a text, shortest time that can be kept well
            longest: s or a text, longest time allowed
            count: coupons wanted, 1 to 4
            criterion: "dip", for the time of one dip, or "constants", for k_ref and Q together,
                or "law", to tell laws of growth apart
            highest_order: 2 lets colours of the second order count too
            film: film that the colours will be read with; as in dip()
        """
        return advise(self, target, bath, low, high, shortest, longest, count, criterion,
                      highest_order, film)


def load_steel(path: str | os.PathLike[str]) -> Steel:
    """Load a steel from its card.

    Raises:
        OxtintValueError: the card is damaged, or of a newer format
        OxtintOSError: the file cannot be read
    """
    return Steel._made(lib.oxt_steel_load, _core.encode_path(path), ffi.NULL, 0)
