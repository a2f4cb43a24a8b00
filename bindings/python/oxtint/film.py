# SPDX-License-Identifier: GPL-3.0-or-later
"""Film -> colour -> trade name, and a wanted colour -> thickness."""
from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from . import _core, errors
from ._core import Array, call
from ._oxtint import ffi, lib


@dataclass(frozen=True)
class Tint:
    """One band of trade colour on one film.

    Attributes:
        index: number of the band, in order of thickness, from 0 (bright)
        order: order of interference, 1 or 2
        other_index: band of the other order with the same name of colour, -1 when none
        name: trade name, such as "dark straw"
        label: name with its order where needed, such as "second-order blue"
        low_nm, high_nm: nm, where the band begins and ends
        centre_nm: nm, geometric mean of the two
    """

    index: int
    order: int
    other_index: int
    name: str
    label: str
    low_nm: float
    high_nm: float
    centre_nm: float


@dataclass(frozen=True)
class Target:
    """A wanted colour as thickness.

    Attributes:
        aim_nm: nm, thickness to aim for
        low_nm, high_nm: nm, between what bounds the colour still shows
        other_nm: nm, the same colour in another order, NaN when there is none
        order: order of interference of the aim; 0 for a bare thickness
        text: the target in words
        description: film it was computed with, "" for a bare thickness
    """

    aim_nm: float
    low_nm: float
    high_nm: float
    other_nm: float
    order: int
    text: str
    description: str

    @classmethod
    def _of(cls, struct: Any) -> Target:
        return cls(**_core.take(struct))

    def _struct(self) -> Any:
        struct = _core.new_struct("oxt_target")
        struct.aim_nm, struct.low_nm, struct.high_nm = self.aim_nm, self.low_nm, self.high_nm
        struct.other_nm, struct.order = self.other_nm, self.order
        _core.put_text(struct.text, self.text, "text")
        _core.put_text(struct.description, self.description, "description")
        return struct


class Film:
    """Air | magnetite | iron seen straight on in daylight (CIE D65, 1931 2 degree observer).

    A film never changes and may be shared by threads.

    Args:
        absorption_scale: factor on the tabulated absorption of the oxide, 0 to 5

    >>> Film().lab([0.0, 57.0]).shape
    (2, 3)
    """

    def __init__(self, absorption_scale: float = 1.0) -> None:
        options = _core.new_struct("oxt_film_options")
        options.absorption_scale = _core.number(absorption_scale, "absorption_scale")
        made = ffi.new("oxt_film **")
        call(lib.oxt_film_new, made, options)
        self._handle = ffi.gc(made[0], lib.oxt_film_free)
        self.absorption_scale = float(absorption_scale)

    @property
    def description(self) -> str:
        """What the film is, in words; films of the same description give the same colours."""
        return _core.text_of(lib.oxt_film_description, self._handle)

    def __repr__(self) -> str:
        return f"<Film {self.description}>"

    def __reduce__(self) -> tuple[type[Film], tuple[float]]:
        return Film, (self.absorption_scale,)

    def reflectance(
        self, thickness_nm: float, wavelength_nm: ArrayLike | None = None
    ) -> tuple[Array, Array]:
        """Wavelengths (nm) and reflectance (0 to 1) of a film.

        Args:
            thickness_nm: nm, 0 to 1000
            wavelength_nm: nm, 380 to 780; every 5 nm when None
        """
        if wavelength_nm is None:
            wavelength_nm = lib.OXT_WAVELENGTH_LOW_NM + lib.OXT_WAVELENGTH_STEP_NM * np.arange(
                lib.OXT_WAVELENGTH_COUNT)
        waves = np.ascontiguousarray(wavelength_nm, dtype=np.float64)
        result = np.empty_like(waves)
        call(lib.oxt_film_reflectance, self._handle, _core.number(thickness_nm, "thickness_nm"),
             waves.size, ffi.from_buffer("double[]", waves.reshape(-1)),
             ffi.from_buffer("double[]", result.reshape(-1)))
        return waves, result

    def xyz(self, thickness_nm: float) -> Array:
        """XYZ (white Y = 100) of a film of 0 to 1000 nm."""
        result = np.empty(3)
        call(lib.oxt_film_xyz, self._handle, _core.number(thickness_nm, "thickness_nm"),
             ffi.from_buffer("double[]", result))
        return result

    def lab(self, thickness_nm: ArrayLike) -> Array:
        """CIE L*, a*, b* of films of 0 to 1000 nm; shape (..., 3)."""
        return _core.map_colours(lib.oxt_film_lab_n, self._handle, thickness_nm, False)[0]

    def srgb(self, thickness_nm: ArrayLike) -> Array:
        """sRGB (0 to 1) of films of 0 to 1000 nm, clipped to the gamut; shape (..., 3)."""
        return _core.map_colours(lib.oxt_film_srgb_n, self._handle, thickness_nm, True)[0]

    def out_of_gamut(self, thickness_nm: ArrayLike) -> NDArray[np.bool_]:
        """Where a screen cannot show the colour, so that srgb() was clipped."""
        return _core.map_colours(lib.oxt_film_srgb_n, self._handle, thickness_nm, True)[1]

    def tint(self, thickness_nm: float) -> Tint:
        """The band of trade colour that a thickness lies in (from 0 to the end of the second order)."""
        tint = _core.new_struct("oxt_tint")
        call(lib.oxt_tint_at, self._handle, _core.number(thickness_nm, "thickness_nm"), tint)
        return Tint(**_core.take(tint))

    def tints(self) -> tuple[Tint, ...]:
        """All bands, in order of thickness."""
        bands = []
        for index in range(lib.OXT_TINT_COUNT):
            tint = _core.new_struct("oxt_tint")
            call(lib.oxt_tint_band, self._handle, index, tint)
            bands.append(Tint(**_core.take(tint)))
        return tuple(bands)

    def find_tint(self, name: str) -> Tint:
        """The band that a trade name means, such as "blue" or "second order blue"."""
        tint = _core.new_struct("oxt_tint")
        call(lib.oxt_tint_find, self._handle, _core.encode(name, "name"), tint)
        return Tint(**_core.take(tint))

    def target(
        self,
        wanted: str | float | Sequence[float] | Target,
        *,
        tolerance: float = 10.0,
        order: int = 0,
    ) -> Target:
        """A wanted colour as an aim and an interval of thickness.

        Args:
            wanted: a trade name ("blue", "second order blue"), a thickness ("57 nm", or a number in
                nm, with bounds 5 % to either side), an sRGB colour ("#2b3a67"), or L*, a*, b*
            tolerance: largest CIEDE2000 that still counts as the colour L*, a*, b*
            order: order of interference wanted of L*, a*, b*: 1, 2, or 0 for the nearest of both
        """
        if isinstance(wanted, Target):
            return wanted
        target = _core.new_struct("oxt_target")
        if isinstance(wanted, str):
            call(lib.oxt_target_parse, self._handle, _core.encode(wanted, "target"), target)
        elif np.ndim(wanted) == 0:
            text = f"{_core.number(wanted, 'target')!r} nm"
            call(lib.oxt_target_parse, self._handle, text.encode(), target)
        else:
            lab = np.ascontiguousarray(wanted, dtype=np.float64)
            if lab.shape != (3,):
                raise errors.OxtintValueError(
                    f"target has shape {lab.shape}, expected L*, a*, b*: shape (3,)")
            call(lib.oxt_target_from_lab, self._handle, ffi.from_buffer("double[]", lab),
                 _core.number(tolerance, "tolerance"), order, target)
        return Target._of(target)


@functools.cache
def default_film() -> Film:
    """The film as tabulated, made once."""
    return Film()


def film_lab(thickness_nm: ArrayLike) -> Array:
    """CIE L*, a*, b* of magnetite films of 0 to 1000 nm on iron; shape (..., 3).

    >>> film_lab([0.0, 57.0]).shape
    (2, 3)
    """
    return default_film().lab(thickness_nm)


def film_srgb(thickness_nm: ArrayLike) -> Array:
    """sRGB (0 to 1) of magnetite films of 0 to 1000 nm on iron, clipped to the gamut; (..., 3)."""
    return default_film().srgb(thickness_nm)


def film_reflectance(thickness_nm: float) -> tuple[Array, Array]:
    """Wavelengths (nm, every 5 from 380 to 780) and reflectance (0 to 1) of a film of 0 to 1000 nm."""
    return default_film().reflectance(thickness_nm)


def name_of(thickness_nm: ArrayLike) -> Any:
    """Trade name of a film, with its order where needed; an array of names for an array.

    >>> name_of(57.0)
    'blue'
    >>> name_of(175.0)
    'second-order blue'
    """
    thickness = np.asarray(thickness_nm, dtype=np.float64)
    if thickness.ndim == 0:
        return default_film().tint(float(thickness)).label
    names = [default_film().tint(float(x)).label for x in thickness.ravel()]
    return np.array(names, dtype=object).reshape(thickness.shape)


def delta_e2000(lab1: ArrayLike, lab2: ArrayLike) -> float | Array:
    """CIEDE2000 difference of colours L*, a*, b* of shape (..., 3), which broadcast.

    >>> round(delta_e2000([50, 2.6772, -79.7751], [50, 0, -82.7485]), 4)
    2.0425
    """
    a, b = np.asarray(lab1, dtype=np.float64), np.asarray(lab2, dtype=np.float64)
    if a.shape[-1:] != (3,) or b.shape[-1:] != (3,):
        raise errors.OxtintValueError(
            f"lab1 and lab2 have shapes {a.shape} and {b.shape}, expected (..., 3)")
    shape = np.broadcast_shapes(a.shape[:-1], b.shape[:-1])
    result = np.empty(shape)
    if result.size:
        rows = [np.ascontiguousarray(x if x.ndim == 1 else np.broadcast_to(x, (*shape, 3)))
                for x in (a, b)]
        strides = [0 if row.ndim == 1 else 3 * row.itemsize for row in rows]
        call(lib.oxt_delta_e2000_n, result.size,
             ffi.from_buffer("double[]", rows[0].reshape(-1)), strides[0],
             ffi.from_buffer("double[]", rows[1].reshape(-1)), strides[1],
             ffi.from_buffer("double[]", result.reshape(-1)), result.itemsize, ffi.NULL)
    return result if shape else float(result)
