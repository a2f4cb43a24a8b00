# SPDX-License-Identifier: GPL-3.0-or-later
"""What is known of one steel, and what it predicts."""
from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from numpy.typing import ArrayLike

from . import _core
from ._core import Array, call
from ._oxtint import ffi, lib
from .film import Film, Target, default_film


@dataclass(frozen=True)
class Caution:
    """One caution of a result: its name, and what it says to the person at the bench."""

    name: str
    text: str

    def __str__(self) -> str:
        return self.text


def cautions_of(bits: int) -> tuple[Caution, ...]:
    """The cautions of a result, from its bits."""
    names = (1 << place for place in range(32) if bits >> place & 1)
    return tuple(
        Caution(_core.decode(lib.oxt_caution_name(bit)).removeprefix("OXT_CAUTION_"),
                _core.decode(lib.oxt_caution_text(bit)))
        for bit in names)


@dataclass(frozen=True)
class Dip:
    """A predicted dip; times count from when the part is at bath temperature, as in the trials.

    Attributes:
        target: what was asked for
        bath_K: K
        time_s: s, when to lift
        earliest_s, latest_s: s, between them the part shows the target
        interval_s: s, where the mean aim time lies (error of the fit)
        next_interval_s: s, where the next dip reaches the aim (with its scatter)
        confidence: of the two intervals
        chance: 0 to 1, that the next dip, lifted at time_s, shows the target
        cautions: what to mind
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
    _bits: int = field(repr=False)
    _unit: str = field(repr=False, compare=False)

    @classmethod
    def _of(cls, struct: Any, unit: str) -> Dip:
        fields = _core.take(struct)
        return cls(
            target=Target(**fields["target"]),
            bath_K=fields["bath_K"],
            time_s=fields["time_s"],
            earliest_s=fields["earliest_s"],
            latest_s=fields["latest_s"],
            interval_s=(fields["interval_low_s"], fields["interval_high_s"]),
            next_interval_s=(fields["next_low_s"], fields["next_high_s"]),
            confidence=fields["confidence"],
            chance=fields["chance"],
            cautions=cautions_of(fields["cautions"]),
            _bits=fields["cautions"],
            _unit=unit,
        )

    def _struct(self) -> Any:
        struct = _core.new_struct("oxt_dip")
        struct.target = self.target._struct()[0]
        struct.bath_K, struct.time_s = self.bath_K, self.time_s
        struct.earliest_s, struct.latest_s = self.earliest_s, self.latest_s
        struct.interval_low_s, struct.interval_high_s = self.interval_s
        struct.next_low_s, struct.next_high_s = self.next_interval_s
        struct.confidence, struct.chance, struct.cautions = (
            self.confidence, self.chance, self._bits)
        return struct

    def report(self, unit: str | None = None) -> str:
        """The dip to read at the bench, with its cautions; temperatures in "F", "C" or "K"."""
        number = _core.unit_number(unit or self._unit)
        return _core.text_of(lib.oxt_dip_report, self._struct(), number)

    def __str__(self) -> str:
        return self.report().rstrip("\n")

    def to_dict(self) -> dict[str, Any]:
        """The fields as plain values."""
        fields = {name: getattr(self, name) for name in self.__dataclass_fields__ if name[0] != "_"}
        fields["target"] = asdict(self.target)
        fields["cautions"] = [asdict(caution) for caution in self.cautions]
        return fields


class Steel:
    """One steel with one finish: growth constants, their errors, and what the trials covered.

    Make it from a fit, by load_steel(), or by from_values(). It never changes and may be shared by
    threads; it can be copied and pickled.
    """

    def __init__(self) -> None:
        raise TypeError("make a Steel by Fit.steel, load_steel() or Steel.from_values()")

    @classmethod
    def _owning(cls, handle: Any) -> Steel:
        steel = cls.__new__(cls)
        steel._handle = ffi.gc(handle, lib.oxt_steel_free)
        values = _core.new_struct("oxt_steel_values")
        call(lib.oxt_steel_get, steel._handle, values)
        steel._growth = values.growth
        steel._values = values  # keeps the growth alive
        steel._fields = _core.take(values)
        return steel

    _handle: Any
    _growth: Any
    _values: Any
    _fields: dict[str, Any]

    @classmethod
    def from_values(cls, **values: Any) -> Steel:
        """A steel from known values; the names are those of to_dict()."""
        struct = _core.new_struct("oxt_steel_values")
        texts = {"steel", "finish", "description", "origin"}
        growth = {"k_ref_nm2_per_s", "T_ref_K", "Q_J_per_mol"}
        plain = set(dir(struct)) - texts - {"struct_size", "growth"}
        for name, value in values.items():
            if name in texts:
                _core.put_text(getattr(struct, name), value, name)
            elif name in growth:
                setattr(struct.growth, name, _core.number(value, name))
            elif name in plain:
                setattr(struct, name, value)
            else:
                known = ", ".join(sorted(texts | growth | plain))
                raise TypeError(f"unknown value {name!r}, expected some of {known}")
        made = ffi.new("oxt_steel **")
        call(lib.oxt_steel_new, made, struct)
        return cls._owning(made[0])

    @classmethod
    def from_card(cls, text: str) -> Steel:
        """A steel from the text of its card (JSON)."""
        data = text.encode("utf-8")
        made = ffi.new("oxt_steel **")
        call(lib.oxt_steel_load_text, made, data, len(data))
        return cls._owning(made[0])

    def to_card(self) -> str:
        """The text of the card (JSON), which reads back number for number."""
        return _core.text_of(lib.oxt_steel_save_text, self._handle)

    def save(self, path: str | os.PathLike[str]) -> None:
        """Save the card, whole or not at all."""
        call(lib.oxt_steel_save, self._handle, _core.encode_path(path))

    def to_dict(self) -> dict[str, Any]:
        """The values by name, as from_values() takes them."""
        fields = {name: value for name, value in self._fields.items() if name != "growth"}
        growth = self._fields["growth"]
        return fields | {name: growth[name] for name in ("k_ref_nm2_per_s", "T_ref_K",
                                                         "Q_J_per_mol")}

    @property
    def name(self) -> str:
        """Name of the steel."""
        return str(self._fields["steel"])

    @property
    def finish(self) -> str:
        """Name of the finish, may be ""."""
        return str(self._fields["finish"])

    @property
    def k_ref(self) -> float:
        """Rate at T_ref, nm^2/s."""
        return float(self._growth.k_ref_nm2_per_s)

    @property
    def T_ref(self) -> float:
        """Reference temperature, K."""
        return float(self._growth.T_ref_K)

    @property
    def Q(self) -> float:
        """Activation energy, J/mol."""
        return float(self._growth.Q_J_per_mol)

    @property
    def scatter(self) -> float:
        """Scatter from dip to dip: standard deviation of ln thickness."""
        return float(self._fields["scatter"])

    @property
    def bath_range_K(self) -> tuple[float, float]:
        """Coldest and hottest bath of the trials, K."""
        return self._fields["bath_low_K"], self._fields["bath_high_K"]

    def __repr__(self) -> str:
        finish = f", {self.finish}" if self.finish else ""
        return (f"<Steel {self.name}{finish}: k_ref {self.k_ref:.4g} nm^2/s at {self.T_ref:.1f} K, "
                f"Q {self.Q / 1e3:.3g} kJ/mol>")

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Steel) and self._fields == other._fields

    def __hash__(self) -> int:
        return hash((self.name, self.finish, self.k_ref, self.T_ref, self.Q))

    def __reduce__(self) -> tuple[Any, tuple[str]]:
        return Steel.from_card, (self.to_card(),)

    def thickness(self, bath: ArrayLike | str, time: ArrayLike | str) -> float | Array:
        """Thickness (nm) on bare steel after a time in a bath; arrays broadcast.

        Args:
            bath: K, or texts such as "650 F"
            time: s, or texts such as "1:30"
        """
        return _core.map_pairs(lib.oxt_thickness_n, ffi.addressof(self._growth),
                               _core.quantities(bath, _core.kelvin),
                               _core.quantities(time, _core.seconds))

    def time_for(self, thickness_nm: ArrayLike, bath: ArrayLike | str) -> float | Array:
        """Time (s) that grows a thickness (nm) in a bath; arrays broadcast."""
        return _core.map_pairs(lib.oxt_time_for_thickness_n, ffi.addressof(self._growth),
                               thickness_nm, _core.quantities(bath, _core.kelvin))

    def dip(
        self,
        target: str | float | Sequence[float] | Target,
        bath: float | str,
        *,
        film: Film | None = None,
        confidence: float = 0.95,
        bath_wander_K: float = 0.0,
        time_wander_s: float = 0.0,
    ) -> Dip:
        """Predict the dip for a target in a bath.

        Args:
            target: as in Film.target(): "blue", "second order blue", "57 nm", "#2b3a67", ...
            bath: K, or a text such as "650 F"
            film: film that the target is read with; the one as tabulated when None
            confidence: of the intervals, 0.5 to 0.9999
            bath_wander_K: K, standard deviation of the bath beyond that of the trials
            time_wander_s: s, standard deviation of the lift beyond that of the trials
        """
        wanted = (film or default_film()).target(target)._struct()
        options = _core.new_struct("oxt_dip_options")
        options.confidence = _core.number(confidence, "confidence")
        options.bath_wander_K = _core.number(bath_wander_K, "bath_wander_K")
        options.time_wander_s = _core.number(time_wander_s, "time_wander_s")
        dip = _core.new_struct("oxt_dip")
        call(lib.oxt_dip_predict, self._handle, wanted, _core.kelvin(bath), options, dip)
        unit = bath.strip()[-1].upper() if isinstance(bath, str) else "K"
        return Dip._of(dip, unit if unit in _core.UNITS else "C")

    def bath_for(
        self,
        target: str | float | Sequence[float] | Target,
        time: float | str,
        *,
        film: Film | None = None,
    ) -> float:
        """Bath temperature (K) at which a target comes in a given time."""
        wanted = (film or default_film()).target(target)._struct()
        result = ffi.new("double *")
        call(lib.oxt_dip_bath_for_time, self._handle, wanted, _core.seconds(time), result)
        return float(result[0])


def load_steel(path: str | os.PathLike[str]) -> Steel:
    """Load a steel from its card.

    Raises:
        OxtintValueError: the card is damaged, or of a newer format
        OxtintOSError: the file cannot be read
    """
    made = ffi.new("oxt_steel **")
    call(lib.oxt_steel_load, made, _core.encode_path(path))
    return Steel._owning(made[0])
