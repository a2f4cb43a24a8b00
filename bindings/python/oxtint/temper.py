# SPDX-License-Identifier: GPL-3.0-or-later
"""What a dip does to hardened steel: the parameter of Hollomon and Jaffe, and hardness."""
from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any

from . import _core
from ._core import call
from ._oxtint import ffi, lib
from .conditions import LastTemper, last_temper_of
from .caution import Caution, cautions_of

_SOFTENS = {1: True, 0: False, -1: None}


@dataclass(frozen=True, repr=False)
class Temper:
    """What a dip or a history does to a hardened part.

    Attributes:
        parameter: T (C + log10 t), T in K and t in h, of the dip or history alone
        one_hour_K: K, temperature at which one hour has this parameter
        last_parameter: of the part's last temper; NaN when it is not stated
        total_parameter: of the last temper and the dip together
        hardness_before_HRC, hardness_after_HRC: Rockwell C; NaN where no table covers it
        softens: whether parameter is above last_parameter; None when that is not known
        below_floor: it counts as less than 10 s at its hottest, the shortest the rule was tried on
        cautions: what to mind
    """

    parameter: float
    one_hour_K: float
    last_parameter: float
    total_parameter: float
    hardness_before_HRC: float
    hardness_after_HRC: float
    softens: bool | None
    below_floor: bool
    cautions: tuple[Caution, ...]
    _bits: int = field(repr=False)
    _unit: str = field(repr=False, compare=False)

    @classmethod
    def _of(cls, struct: Any, unit: str) -> Temper:
        fields = _core.take(struct)
        bits = fields["cautions"]
        return cls(**fields | {"softens": _SOFTENS[fields["softens"]],
                               "below_floor": bool(fields["below_floor"]),
                               "cautions": cautions_of(bits), "_bits": bits, "_unit": unit})

    def _struct(self) -> Any:
        struct = _core.new_struct("oxt_temper")
        for name in ("parameter", "one_hour_K", "last_parameter", "total_parameter",
                     "hardness_before_HRC", "hardness_after_HRC", "below_floor"):
            setattr(struct, name, getattr(self, name))
        struct.softens = -1 if self.softens is None else self.softens
        struct.cautions = self._bits
        return struct

    def report(self, unit: str | None = None, *, cautions: str = "brief") -> str:
        """The temper to read at the bench; temperatures in "F", "C" or "K", cautions "brief" or "whole"."""
        number = _core.unit_number(unit or self._unit)
        return _core.text_of(lib.oxt_temper_report, self._struct(), number, _core.detail_number(cautions))

    def __str__(self) -> str:
        return self.report().rstrip("\n")

    def __repr__(self) -> str:
        softens = {True: "softens the part", False: "does not soften the part"}.get(
            self.softens, "not known whether it softens the part")  # type: ignore[arg-type]
        return f"<Temper of parameter {self.parameter:.0f}: {softens}, {len(self.cautions)} cautions>"

    def to_dict(self) -> dict[str, Any]:
        """The fields as plain values."""
        fields = {name: getattr(self, name) for name in self.__dataclass_fields__ if name[0] != "_"}
        fields["cautions"] = [asdict(caution) for caution in self.cautions]
        return fields


def options_of(steel: str | None, last: LastTemper | None, constant: float) -> tuple[Any, Any]:
    """The options for C, and what must be kept as long as they are used."""
    options = _core.new_struct("oxt_temper_options")
    options.constant = _core.number(constant, "constant")
    keep = None
    if steel is not None:
        keep = ffi.new("char[]", _core.encode(steel, "steel"))
        options.steel = keep
    if last is not None:
        options.last_K, options.last_s = last_temper_of(last, "last")
    return options, keep


@_core.in_words
def temper_dip(
    bath: float | str,
    time: float | str,
    *,
    steel: str | None = None,
    last: LastTemper | None = None,
    constant: float = lib.OXT_TEMPER_CONSTANT,
) -> Temper:
    """What a stay in a bath does to a hardened part.

    Args:
        bath: K, or a text such as "600 F"
        time: s, or a text such as "5 min"
        steel: AISI/SAE number of a steel whose hardness is tabulated, such as "1095"
        last: temperature and time of the part's last temper, such as ("400 F", "2 h")
        constant: C of the parameter

    >>> temper_dip("600 F", "5 min", steel="1095", last=("400 F", "2 h")).softens
    True
    >>> temper_dip("350 F", "1 min", steel="1095", last=("400 F", "2 h")).softens
    False
    """
    options, keep = options_of(steel, last, constant)
    temper = _core.new_struct("oxt_temper")
    call(lib.oxt_temper_dip, _core.kelvin(bath), _core.seconds(time), options, temper)
    del keep
    return Temper._of(temper, _core.unit_of(bath))


@_core.in_words
def temper_parameter(
    temperature: float | str, time: float | str, *, constant: float = lib.OXT_TEMPER_CONSTANT
) -> float:
    """T (C + log10 t) of a stay at one temperature, T in K and t in h.

    >>> temper_parameter("300 C", "1 h")
    11463.0
    """
    return _core.number_of(lib.oxt_temper_parameter, _core.kelvin(temperature, "temperature"), _core.seconds(time),
                           _core.number(constant, "constant"))


@_core.in_words
def temper_temperature(
    parameter: float, time: float | str, *, constant: float = lib.OXT_TEMPER_CONSTANT
) -> float:
    """Temperature (K) that gives a parameter in a time.

    >>> round(temper_temperature(11463.0, "10 min") - 273.15, 4)
    323.2026
    """
    return _core.number_of(lib.oxt_temper_temperature, _core.number(parameter, "parameter"), _core.seconds(time),
                           _core.number(constant, "constant"))


@_core.in_words
def temper_time(
    parameter: float, temperature: float | str, *, constant: float = lib.OXT_TEMPER_CONSTANT
) -> float:
    """Time (s) that gives a parameter at a temperature.

    >>> round(temper_time(11463.0, "300 C"), 6)
    3600.0
    """
    return _core.number_of(lib.oxt_temper_time, _core.number(parameter, "parameter"), _core.kelvin(temperature, "temperature"),
                           _core.number(constant, "constant"))


def temper_hardness(steel: str, parameter: float) -> float:
    """Hardness (Rockwell C) of a quenched and tempered steel, such as "1095", within its table.

    >>> round(temper_hardness("1095", temper_parameter("500 F", "1 h")), 1)
    57.2
    """
    return _core.number_of(lib.oxt_temper_hardness, _core.encode(steel, "steel"),
                           _core.number(parameter, "parameter"))
