# SPDX-License-Identifier: GPL-3.0-or-later
"""Colours as numbers: how far apart two are, and how one looks under another white."""
from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from . import _core
from ._core import Array, call
from ._oxtint import ffi, lib
from .error import OxtintValueError
from .light import Light

_ROW = np.dtype([("lab", np.float64, 3)])  #: one colour as one element


def delta_e2000(lab1: ArrayLike, lab2: ArrayLike) -> float | Array:
    """CIEDE2000 difference of colours L*, a*, b* of shape (..., 3), which broadcast; NaN in an array of
    colours gives NaN.

    >>> round(delta_e2000([50, 2.6772, -79.7751], [50, 0, -82.7485]), 4)
    2.0425
    """
    a, b = _core.numbers(lab1, "lab1"), _core.numbers(lab2, "lab2")
    if a.shape[-1:] != (3,) or b.shape[-1:] != (3,):
        raise OxtintValueError(
            f"lab1 and lab2 have shapes {a.shape} and {b.shape}, expected (..., 3)")
    rows = tuple(np.ascontiguousarray(x).view(_ROW)[..., 0] for x in (a, b))
    result = np.empty(np.broadcast_shapes(rows[0].shape, rows[1].shape))
    _core.map_arrays(lib.oxt_delta_e2000, (), rows, result)
    return result if result.shape else float(result)


def adapt_white(xyz: ArrayLike, from_xyz: ArrayLike, to_xyz: ArrayLike) -> Array:
    """The XYZ that looks, under the white to_xyz, as xyz does under from_xyz (CAT16, complete).

    >>> lamp, daylight = Light("A").white_xyz, Light("D65").white_xyz
    >>> bool(abs(adapt_white(lamp, lamp, daylight) - daylight).max() < 1e-9)
    True
    """
    colours = [_core.colour(values, name) for values, name in
               ((xyz, "xyz"), (from_xyz, "from_xyz"), (to_xyz, "to_xyz"))]
    result = np.empty(3)
    call(lib.oxt_light_adapt, *(ffi.from_buffer("double[]", x) for x in (*colours, result)))
    return result
