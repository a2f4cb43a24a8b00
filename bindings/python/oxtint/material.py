# SPDX-License-Identifier: GPL-3.0-or-later
"""What films and the metal under them are made of."""
from __future__ import annotations

from typing import Any, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from . import _core
from ._core import Array, Many, call
from ._oxtint import ffi, lib
from .error import OxtintValueError


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
                raise OxtintValueError("give wavelength_nm, n and k together, or none of them")
            call(lib.oxt_material_new, made, _core.encode(name, "name"), 0, ffi.NULL, ffi.NULL, ffi.NULL)
        else:
            waves, real, imaginary = (
                _core.numbers(values, what).copy()
                for values, what in ((wavelength_nm, "wavelength_nm"), (n, "n"), (k, "k")))
            if not waves.shape == real.shape == imaginary.shape == (waves.size,):
                raise OxtintValueError(
                    f"wavelength_nm, n and k have shapes {waves.shape}, {real.shape} and "
                    f"{imaginary.shape}, expected one column each of the same length")
            self._table = waves, real, imaginary
            call(lib.oxt_material_new, made, _core.encode(name, "name"), waves.size,
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
