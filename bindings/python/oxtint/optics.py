# SPDX-License-Identifier: GPL-3.0-or-later
"""What a film is made of and seen in: materials, finishes, lights."""
from __future__ import annotations

from dataclasses import dataclass
from typing import Any, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from . import _core, errors
from ._core import Array, Many, call
from ._oxtint import ffi, lib

_SUBSTANCES = {"iron": lib.OXT_IRON, "chromium": lib.OXT_CHROMIUM,
               "magnetite": lib.OXT_MAGNETITE, "hematite": lib.OXT_HEMATITE}
ILLUMINANTS = {"D65": lib.OXT_D65, "D50": lib.OXT_D50, "A": lib.OXT_A, "FL2": lib.OXT_FL2,
               "FL11": lib.OXT_FL11, "LED-B3": lib.OXT_LED_B3, "LED-V1": lib.OXT_LED_V1}
OBSERVERS = {2: lib.OXT_CIE_1931_2_DEGREE, 10: lib.OXT_CIE_1964_10_DEGREE}
GRADES = {"mirror": lib.OXT_MIRROR, "satin": lib.OXT_SATIN, "matte": lib.OXT_MATTE}


def choose(table: dict[Any, int], key: Any, name: str) -> int:
    """The C number of a choice, or an error that lists the choices."""
    try:
        return int(table[key])
    except (KeyError, TypeError):  # a list, which is not hashable
        raise errors.OxtintValueError(
            f"{name} is {key!r}, expected one of {', '.join(map(repr, table))}") from None


class Material(_core.Frozen):
    """A table of complex refractive index n + ik.

    Args:
        name: "iron", "chromium" (Johnson and Christy 1974), "magnetite" or "hematite" (ordinary ray;
            Querry 1985) for a published table; any name with the next three for your own
        wavelength_nm: nm, rising, reaching from 380 or below to 780 or above
        n: refractive index, above 0
        k: absorption index, 0 or more

    >>> Material("iron").index(550.0)
    (2.9496969696969697+2.931818181818182j)
    """

    def __init__(self, name: str, wavelength_nm: ArrayLike | None = None,
                 n: ArrayLike | None = None, k: ArrayLike | None = None) -> None:
        made = ffi.new("oxt_material **")
        self.name = name
        self._table: tuple[Array, Array, Array] | None = None
        if wavelength_nm is None or n is None or k is None:
            if not wavelength_nm is n is k is None:
                raise errors.OxtintValueError("give wavelength_nm, n and k together, or none of them")
            call(lib.oxt_material_new, made, choose(_SUBSTANCES, name, "name"))
        else:
            waves, real, imaginary = (
                _core.numbers(values, what).copy()
                for values, what in ((wavelength_nm, "wavelength_nm"), (n, "n"), (k, "k")))
            if not waves.shape == real.shape == imaginary.shape == (waves.size,):
                raise errors.OxtintValueError(
                    f"wavelength_nm, n and k have shapes {waves.shape}, {real.shape} and "
                    f"{imaginary.shape}, expected one column each of the same length")
            self._table = waves, real, imaginary
            call(lib.oxt_material_from_table, made, _core.encode(name, "name"), waves.size,
                 *(ffi.from_buffer("double[]", x) for x in self._table))
        self._handle = ffi.gc(made[0], lib.oxt_material_free)
        self._finish()

    @overload
    def index(self, wavelength_nm: float) -> complex: ...

    @overload
    def index(self, wavelength_nm: Many) -> NDArray[np.complex128]: ...

    def index(self, wavelength_nm: float | Many) -> complex | NDArray[np.complex128]:
        """Complex index n + ik at wavelengths of 380 to 780 nm."""
        waves = _core.numbers(wavelength_nm, "wavelength_nm")
        result = np.empty(waves.shape, dtype=np.complex128)
        n, k = ffi.new("double *"), ffi.new("double *")
        for place, wave in np.ndenumerate(waves):
            call(lib.oxt_material_index, self._handle, wave, n, k)
            result[place] = complex(n[0], k[0])
        return result if waves.shape else complex(result[()])

    def __repr__(self) -> str:
        return f"<Material {self.name}>"

    def __reduce__(self) -> tuple[Any, tuple[Any, ...]]:
        return Material, (self.name, *(self._table or ()))


@dataclass(frozen=True)
class Finish:
    """A surface as spreads: of thickness (standard deviation of ln) and of the tilt of its facets.

    >>> Finish.named("satin")
    Finish(thickness_spread=0.05, angle_spread_deg=8.0)
    """

    thickness_spread: float = 0.0
    angle_spread_deg: float = 0.0

    @classmethod
    def named(cls, grade: str) -> Finish:
        """ "mirror", "satin" or "matte"; their values are the project's own assumption."""
        thickness, angle = ffi.new("double *"), ffi.new("double *")
        call(lib.oxt_finish_grade, choose(GRADES, grade, "grade"), thickness, angle)
        return cls(float(thickness[0]), float(angle[0]))


@dataclass(frozen=True)
class Light:
    """A CIE illuminant ("D65", "D50", "A", "FL2", "FL11", "LED-B3", "LED-V1") and the observer's
    field in degrees (2 or 10).

    >>> Light("A").white_xyz.round(2).tolist()
    [109.85, 100.0, 35.58]
    """

    illuminant: str = "D65"
    observer_deg: int = 2

    def _numbers(self) -> tuple[int, int]:
        return (choose(ILLUMINANTS, self.illuminant, "illuminant"),
                choose(OBSERVERS, self.observer_deg, "observer_deg"))

    @property
    def white_xyz(self) -> Array:
        """XYZ of the white, Y = 100."""
        result = np.empty(3)
        call(lib.oxt_light_white, *self._numbers(), ffi.from_buffer("double[]", result))
        return result


def adapt_white(xyz: ArrayLike, from_xyz: ArrayLike, to_xyz: ArrayLike) -> Array:
    """The XYZ that looks, under the white to_xyz, as xyz does under from_xyz (CAT16, complete).

    >>> lamp, daylight = Light("A").white_xyz, Light("D65").white_xyz
    >>> bool(abs(adapt_white(lamp, lamp, daylight) - daylight).max() < 1e-9)
    True
    """
    colours = [_core.colour(values, name) for values, name in
               ((xyz, "xyz"), (from_xyz, "from_xyz"), (to_xyz, "to_xyz"))]
    result = np.empty(3)
    call(lib.oxt_adapt_white, *(ffi.from_buffer("double[]", x) for x in (*colours, result)))
    return result
