# SPDX-License-Identifier: GPL-3.0-or-later
"""The salt, the bath that holds it, and how it sags under a load."""
from __future__ import annotations

from dataclasses import dataclass

from . import _core
from ._core import call, choose
from ._oxtint import ffi, lib
from .growth import Growth, steel_of
from .heat import Part, PartLike, _size_m
from .caution import Caution, cautions_of

_SURFACES = {"upright": lib.OXT_SURFACE_UPRIGHT, "lying": lib.OXT_SURFACE_LYING, "sphere": lib.OXT_SURFACE_SPHERE}
SALTS = {"unstated": lib.OXT_SALT_UNSTATED, "binary 60/40": lib.OXT_SALT_BINARY_60_40,
          "binary eutectic": lib.OXT_SALT_BINARY_EUTECTIC, "ternary": lib.OXT_SALT_TERNARY}


@dataclass(frozen=True)
class Salt:
    """A salt: between which temperatures it is used, and what it is like at one of them.

    Attributes:
        melting_low_K, melting_high_K: K, solid below the one, liquid above the other
        working_low_K, working_high_K: K, usual working range
        legal_high_K: K, a legal maximum for nitrate baths
        density_kg_per_m3, heat_J_per_kgK: density and specific heat; NaN where no temperature was given
        name, source: the salt, and where the limits are from
        viscosity_Pa_s, conductivity_W_per_mK, expansion_per_K: NaN where no temperature was given
    """

    melting_low_K: float
    melting_high_K: float
    working_low_K: float
    working_high_K: float
    legal_high_K: float
    density_kg_per_m3: float
    heat_J_per_kgK: float
    name: str
    source: str
    viscosity_Pa_s: float
    conductivity_W_per_mK: float
    expansion_per_K: float


@dataclass(frozen=True, repr=False)
class Sag:
    """How a bath sags under a load.

    Attributes:
        lowest_K: K, the coldest that the bath gets
        lowest_s: s, when; infinite when it only creeps up to it (no heater)
        sag_K: K, start minus lowest_K
        recovery_s: s, until it is back within 0.1 K; infinite when it never is
        heat_J: J, that the load takes in the end
        cautions: what to mind
    """

    lowest_K: float
    lowest_s: float
    sag_K: float
    recovery_s: float
    heat_J: float
    cautions: tuple[Caution, ...]

    def __repr__(self) -> str:
        return (f"<Sag of {self.sag_K:.3g} K, back after {self.recovery_s:.3g} s, "
                f"{len(self.cautions)} cautions>")


@dataclass(frozen=True)
class Crust:
    """Salt that freezes on a cold part: a dull grey crust, under which no colour is seen.

    Attributes:
        melting_K: K, of the salt, in the middle of its melting range; NaN of an unstated one
        melted_s: s, when it has melted; 0: none freezes
        thickest_m: m, its thickness at most
    """

    melting_K: float
    melted_s: float
    thickest_m: float


@dataclass(frozen=True)
class Convection:
    """Natural convection in a still bath.

    Attributes:
        transfer_W_per_m2K: heat transfer at the difference asked for
        exponent: by which it falls with the difference from there to a tenth of it
        film_K: K, at which the salt's properties were taken
        rayleigh, prandtl, nusselt: the numbers that it follows from
    """

    transfer_W_per_m2K: float
    exponent: float
    film_K: float
    rayleigh: float
    prandtl: float
    nusselt: float


@_core.in_words
def salt(salt: str, temperature: float | str | None = None) -> Salt:
    """Limits of a salt, and where a temperature (K or a text) is given its properties.

    The salt is "unstated", "binary 60/40", "binary eutectic" or "ternary".

    >>> round(salt("ternary").melting_high_K - 273.15)
    142
    >>> round(salt("binary 60/40", "300 C").density_kg_per_m3, 1)
    1899.2
    """
    temperature_K = 0.0 if temperature is None else _core.kelvin(temperature, "temperature")
    return Salt(**_core.filled("oxt_salt_values", lib.oxt_bath_salt, choose(SALTS, salt, "salt"), temperature_K))


class Bath(_core.Held):
    """A bath with its thermometer and heater; it never changes.

    Args:
        salt: "unstated" (a nitrate tempering salt), "binary 60/40" (NaNO3 and KNO3 by weight), "binary
            eutectic" (the same, half and half by mole) or "ternary" (KNO3, NaNO2 and NaNO3, 53/40/7
            by weight)
        thermometer_offset_K: K or a text such as "5 F", to add to what the thermometer reads
        thermometer_sd_K: K or a text, standard deviation of its error
        wander_K: K or a text, standard deviation of the bath from dip to dip
        salt_kg: kg; 0: unlimited, never cooled
        heater_W: power beyond the bath's own losses

    >>> Bath("ternary", thermometer_offset_K=3.0).true(600.0)
    603.0
    """

    _held = "_bath", "oxt_bath"

    def __init__(
        self,
        salt: str = "unstated",
        *,
        thermometer_offset_K: float | str = 0.0,
        thermometer_sd_K: float | str = 0.0,
        wander_K: float | str = 0.0,
        salt_kg: float = 0.0,
        heater_W: float = 0.0,
    ) -> None:
        bath = _core.new_struct("oxt_bath")
        bath.salt = choose(SALTS, salt, "salt")
        _core.put(bath, _core.kelvin_difference, thermometer_offset_K=thermometer_offset_K,
                  thermometer_sd_K=thermometer_sd_K, wander_K=wander_K)
        _core.put(bath, _core.number, salt_kg=salt_kg, heater_W=heater_W)
        self._bath = bath
        self._finish()

    def __repr__(self) -> str:
        amount = f"{self._bath.salt_kg:g} kg of " if self._bath.salt_kg else ""
        return f"<Bath of {amount}salt, {self.salt}>"

    @property
    def salt(self) -> str:
        """The salt, by its name."""
        return next(name for name, number in SALTS.items() if number == self._bath.salt)

    def _reads(self, reading: float | str) -> tuple[float, tuple[Caution, ...]]:
        true_K, bits = ffi.new("double *"), ffi.new("uint32_t *")
        call(lib.oxt_bath_read, self._bath, _core.kelvin(reading, "reading"), true_K, bits)
        return float(true_K[0]), cautions_of(int(bits[0]))

    @_core.in_words
    def true(self, reading: float | str) -> float:
        """True temperature (K) from what the thermometer reads."""
        return self._reads(reading)[0]

    @_core.in_words
    def cautions(self, reading: float | str) -> tuple[Caution, ...]:
        """What to mind at this bath when its thermometer reads so."""
        return self._reads(reading)[1]

    @_core.in_words
    def sag(self, part: PartLike, load_kg: float, bath: float | str) -> Sag:
        """How far the bath sags from its true temperature when a load of such parts goes in."""
        fields = _core.filled("oxt_sag", lib.oxt_bath_sag, self._bath, Part._read(part, "part")._part,
                              _core.number(load_kg, "load_kg"), _core.kelvin(bath))
        return Sag(**{**fields, "cautions": cautions_of(fields["cautions"])})

    @_core.in_words
    def exposure(self, steel: Growth, part: PartLike, load_kg: float, bath: float | str,
                 time: float | str) -> float:
        """Exposure (nm^2) of each part of a load in the sagging bath; its root is the film in nm."""
        return _core.number_of(
            lib.oxt_bath_exposure, steel_of(steel)._constants, self._bath, Part._read(part, "part")._part,
            _core.number(load_kg, "load_kg"), _core.kelvin(bath), _core.seconds(time))

    @_core.in_words
    def crust(self, part: PartLike, bath: float | str) -> Crust:
        """The crust of salt that freezes on a cold part in a bath at its true temperature."""
        return Crust(**_core.filled("oxt_crust", lib.oxt_bath_crust, self._bath, Part._read(part, "part")._part,
                                    _core.kelvin(bath)))

    @_core.in_words
    def convection(self, size: float | str, bath: float | str, difference: float | str = 100.0,
                   surface: str = "upright") -> Convection:
        """Heat transfer of the still bath by natural convection, where none is measured.

        Args:
            size: m or a text, height of what hangs upright, diameter of a bar that lies or of a sphere
            bath: K or a text, true temperature
            difference: K or a text, between bath and surface
            surface: "upright" (a plate or a bar), "lying" (a bar) or "sphere"

        >>> still = Bath("binary 60/40").convection("50 mm", "600 F")
        >>> part = Part("6 mm", flow="still", transfer_W_per_m2K=still.transfer_W_per_m2K,
        ...             transfer_at_K=100.0, transfer_exponent=still.exponent)
        >>> round(still.transfer_W_per_m2K), round(still.exponent, 2)
        (783, 0.26)
        """
        return Convection(**_core.filled(
            "oxt_convection", lib.oxt_bath_convection, self._bath, choose(_SURFACES, surface, "surface"),
            _size_m(size, "size"), _core.kelvin(bath), _core.kelvin_difference(difference, "difference")))
