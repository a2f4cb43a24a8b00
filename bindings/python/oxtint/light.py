# SPDX-License-Identifier: GPL-3.0-or-later
"""The light that a film is seen in."""
from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ._core import Array, call, choose
from ._oxtint import ffi, lib

ILLUMINANTS = {"D65": lib.OXT_ILLUMINANT_D65, "D50": lib.OXT_ILLUMINANT_D50, "A": lib.OXT_ILLUMINANT_A, "FL2": lib.OXT_ILLUMINANT_FL2,
               "FL11": lib.OXT_ILLUMINANT_FL11, "LED-B3": lib.OXT_ILLUMINANT_LED_B3, "LED-V1": lib.OXT_ILLUMINANT_LED_V1}
OBSERVERS = {2: lib.OXT_OBSERVER_1931_2_DEGREE, 10: lib.OXT_OBSERVER_1964_10_DEGREE}


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
