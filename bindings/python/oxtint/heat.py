# SPDX-License-Identifier: GPL-3.0-or-later
"""How a part warms up in the bath, and what that costs in time."""
from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple, Union

from . import _core
from ._core import choose
from ._oxtint import ffi, lib
from .error import OxtintValueError
from .growth import Growth, steel_of

PartLike = Union["Part", float, str]
LiftLike = Union["Lift", float, str]

SHAPES = {"plate": lib.OXT_SHAPE_PLATE, "cylinder": lib.OXT_SHAPE_CYLINDER, "sphere": lib.OXT_SHAPE_SPHERE,
          "any": lib.OXT_SHAPE_ANY}
_FLOWS = {"stirred": lib.OXT_FLOW_STIRRED, "still": lib.OXT_FLOW_STILL}
_METALS = {"steel": lib.OXT_METAL_STEEL, "brass": lib.OXT_METAL_BRASS, "bronze": lib.OXT_METAL_BRONZE,
           "nickel silver": lib.OXT_METAL_NICKEL_SILVER}


_LARGEST_m = 1.0  # of a part, as in C


def _size_m(size: Any, name: str, expected: str = "m, or a text such as '6 mm'") -> float:
    """A size of a part; refused by the name and in the unit in which it was given."""
    if isinstance(size, str):
        return _core.metres(size, name)  # C refuses one that is too large, by what was typed
    size_m = _core.number(size, name, expected)
    if not 0.0 <= size_m <= _LARGEST_m:
        meant = f"; for {size_m:g} mm give '{size_m:g} mm'" if size_m > 1.0 else ""
        raise OxtintValueError(f"{name} is {size_m:g} m, expected 0 to {_LARGEST_m:g} m{meant}")
    return size_m


@dataclass(frozen=True)
class Warming:
    """How a part warms up.

    Attributes:
        lumped: whether it is one temperature throughout, as a part of any shape is
        biot: heat transfer times volume over surface, over conductivity
        tau_s: s, time constant (of the slowest term)
        heat_J_per_kgK, conductivity_W_per_mK: the properties that were used
        conduction_length_m: m, sections farther apart than this warm up each at its own pace
    """

    lumped: bool
    biot: float
    tau_s: float
    heat_J_per_kgK: float
    conductivity_W_per_mK: float
    conduction_length_m: float


class TimeInBath(NamedTuple):
    """Time from entering the bath, and how much of it is heating-up time; both in s."""

    time_s: float
    lag_s: float


class LiftExposure(NamedTuple):
    """Exposure (nm^2) between leaving the bath and the quench, and the temperature (K) there."""

    exposure_nm2: float
    quench_K: float


class Lift(_core.Held):
    """The way of a part from the bath to the quench, through air; it never changes.

    Args:
        delay: s or a text, from leaving the bath to the quench
        air: K or a text
        convection_W_per_m2K: heat transfer to the air; 2 to 25 is usual in still air
        emissivity: of the surface, 0 to 1
    """

    _held = "_lift", "oxt_lift"

    @_core.in_words
    def __init__(
        self,
        delay: float | str,
        *,
        air: float | str = 293.15,
        convection_W_per_m2K: float = 10.0,
        emissivity: float = 0.3,
    ) -> None:
        lift = _core.new_struct("oxt_lift")
        lift.delay_s = _core.seconds(delay, "delay")
        lift.air_K = _core.kelvin(air, "air")
        _core.put(lift, _core.number, convection_W_per_m2K=convection_W_per_m2K, emissivity=emissivity)
        self._lift = lift
        self._typed = [("delay_s", delay)] if isinstance(delay, str) else []
        self._finish()

    @classmethod
    def _read(cls, lift: LiftLike, name: str) -> Lift:
        """A lift as it is, or in still air from its delay."""
        if isinstance(lift, cls):
            return lift
        if isinstance(lift, str):
            return cls(_core.seconds(lift, name))
        return cls(_core.number(lift, name, "s, a text such as '4 s', or a Lift"))

    @property
    def delay_s(self) -> float:
        """s, from leaving the bath to the quench."""
        return float(self._lift.delay_s)

    def __repr__(self) -> str:
        return f"<Lift of {self.delay_s:.4g} s>"


class Part(_core.Held):
    """A part on its way into a bath; it never changes.

    Args:
        size: m or a text such as "6 mm": full thickness of a plate, diameter of a cylinder or sphere,
            volume over surface of any other shape; 0 for none, at bath temperature at once
        shape: "plate", "cylinder", "sphere" or "any"
        start: K or a text, temperature before the dip
        transfer_W_per_m2K: heat transfer of the bath; 250 to 1100 for natural convection in quiet
            nitrate salt, 1100 to 2200 for a part that is moved through it
        density_kg_per_m3, heat_J_per_kgK, conductivity_W_per_mK: of its steel; carbon steel by
            EN 1993-1-2 when None
        flow: "stirred", for a heat transfer that is the same at every difference of temperatures, or "still",
            for natural convection, whose transfer falls with the difference
        transfer_at_K: K or a text, difference at which a still bath has transfer_W_per_m2K
        transfer_exponent: by which it falls in a still bath; 1/4 for laminar natural convection
        wetted: share of the surface that the salt reaches; 0.5 for a part flat against the pot
        metal: "steel"; "brass", "bronze" and "nickel silver" are known, and refused when used

    >>> Part("6 mm").warming("650 F").lumped
    False
    """

    _held = "_part", "oxt_part"

    @_core.in_words
    def __init__(
        self,
        size: float | str,
        shape: str = "plate",
        *,
        start: float | str = 293.15,
        transfer_W_per_m2K: float = 600.0,
        density_kg_per_m3: float = 7850.0,
        heat_J_per_kgK: float | None = None,
        conductivity_W_per_mK: float | None = None,
        metal: str = "steel",
        flow: str = "stirred",
        transfer_at_K: float | str = 100.0,
        transfer_exponent: float = 0.25,
        wetted: float = 1.0,
    ) -> None:
        part = _core.new_struct("oxt_part")
        part.size_m = _size_m(size, "size")
        part.shape = choose(SHAPES, shape, "shape")
        part.start_K = _core.kelvin(start, "start")
        _core.put(part, _core.number, transfer_W_per_m2K=transfer_W_per_m2K, density_kg_per_m3=density_kg_per_m3,
                  transfer_exponent=transfer_exponent, wetted=wetted)
        if heat_J_per_kgK is not None:
            part.heat_J_per_kgK = _core.number(heat_J_per_kgK, "heat_J_per_kgK")
        if conductivity_W_per_mK is not None:
            part.conductivity_W_per_mK = _core.number(conductivity_W_per_mK, "conductivity_W_per_mK")
        part.metal = choose(_METALS, metal, "metal")
        part.flow = choose(_FLOWS, flow, "flow")
        part.transfer_at_K = _core.kelvin_difference(transfer_at_K, "transfer_at_K")
        if part.wetted == 0.0:
            raise OxtintValueError("wetted is 0, expected a share of the surface above 0, up to 1")
        self._part = part
        self._typed = [("size_m", size)] if isinstance(size, str) else []
        self._finish()

    @classmethod
    def _read(cls, part: PartLike, name: str) -> Part:
        """A part as it is, or a plate of steel from its thickness."""
        if isinstance(part, cls):
            return part
        size = _size_m(part, name, "m, a text such as '6 mm', or a Part")
        if not size > 0.0:
            raise OxtintValueError(f"{name} is {part if isinstance(part, str) else f'{size:g} m'}, "
                                          "expected above 0")
        return cls(size)

    @property
    def text(self) -> str:
        """The part in words."""
        if self._part.size_m == 0.0:
            return "at bath temperature at once"
        shape = next(name for name, number in SHAPES.items() if number == self._part.shape)
        return f"{shape} of {self._part.size_m * 1e3:.4g} mm"

    def __repr__(self) -> str:
        return f"<Part {self.text}>"

    @_core.in_words
    def warming(self, bath: float | str) -> Warming:
        """Whether the part is one temperature throughout, its Biot number and time constant."""
        fields = _core.filled("oxt_warming", lib.oxt_heat_warming, self._part, _core.kelvin(bath))
        return Warming(**{**fields, "lumped": bool(fields["lumped"])})

    @_core.in_words
    def surface_temperature(self, bath: float | str, time: float | str) -> float:
        """Temperature (K) of the surface after a time in the bath."""
        return _core.number_of(lib.oxt_heat_surface_temperature, self._part, _core.kelvin(bath), _core.seconds(time))

    @_core.in_words
    def exposure(self, steel: Growth, bath: float | str, time: float | str) -> float:
        """Exposure (nm^2) of the surface from entering the bath; its root is the film on bare steel."""
        return _core.number_of(lib.oxt_bath_exposure, steel_of(steel)._constants, ffi.NULL, self._part, 0.0,
                               _core.kelvin(bath), _core.seconds(time))

    @_core.in_words
    def time_for(self, steel: Growth, thickness_nm: float | str, bath: float | str) -> TimeInBath:
        """Time from entering the bath that grows a thickness (nm) on bare steel, and the lag in it."""
        constants = steel_of(steel)._constants
        at_once = _core.number_of(lib.oxt_time_for_thickness, constants, _core.nanometres(thickness_nm), constants.T_ref_K)
        return TimeInBath(*_core.two_of(lib.oxt_heat_time_for_exposure, constants, self._part, _core.kelvin(bath),
                                        at_once * constants.k_ref_nm2_per_s))

    @_core.in_words
    def lift_exposure(self, steel: Growth, start: float | str, lift: LiftLike) -> LiftExposure:
        """What grows between leaving the bath at a temperature and the quench.

        The salt that clings to the part is neglected; it keeps the part hot a little longer.
        """
        return LiftExposure(*_core.two_of(
            lib.oxt_heat_lift_exposure, steel_of(steel)._constants, self._part, Lift._read(lift, "lift")._lift,
            _core.kelvin(start, "start")))
