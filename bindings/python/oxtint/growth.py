# SPDX-License-Identifier: GPL-3.0-or-later
"""How films grow by the constants of a steel."""
from __future__ import annotations

from typing import Any, Literal, TypeVar, overload

from . import _core
from ._core import PLAIN, Array, Many
from ._oxtint import lib
from .error import OxtintTypeError

#: A law by which a film grows, in the order of oxt_law.
LawName = Literal["parabolic", "power", "linear-parabolic", "logarithmic"]
LAWS: tuple[LawName, ...] = ("parabolic", "power", "linear-parabolic", "logarithmic")

Kind = TypeVar("Kind")


class Growth(_core.Frozen):
    """What has growth constants; a Steel is one."""

    _handle: Any
    _constants: Any

    @overload
    def thickness(self, bath: float | str, time: float | str) -> float: ...

    @overload
    def thickness(self, bath: Many, time: float | str | Many) -> Array: ...

    @overload
    def thickness(self, bath: float | str, time: Many) -> Array: ...

    def thickness(self, bath: float | str | Many, time: float | str | Many) -> float | Array:
        """Thickness (nm) on bare steel after a time in a bath; arrays broadcast, NaN in one gives NaN.

        Args:
            bath: K, or texts such as "650 F"
            time: s, or texts such as "1:30"
        """
        if type(bath) in PLAIN and type(time) in PLAIN:
            found: float = lib.short_thickness(self._constants, bath, time)
            if found == found:  # not NaN
                return found
        return _core.map_pairs(lib.oxt_thickness_n, self._constants,
                               _core.quantities(bath, _core.kelvin, "bath"),
                               _core.quantities(time, _core.seconds, "time"))

    @overload
    def time_for(self, thickness_nm: float | str, bath: float | str) -> float: ...

    @overload
    def time_for(self, thickness_nm: Many, bath: float | str | Many) -> Array: ...

    @overload
    def time_for(self, thickness_nm: float | str, bath: Many) -> Array: ...

    def time_for(self, thickness_nm: float | str | Many, bath: float | str | Many) -> float | Array:
        """Time (s) that grows a thickness in a bath; arrays broadcast, NaN in one gives NaN.

        Args:
            thickness_nm: nm, or texts such as "57 nm"
            bath: K, or texts such as "650 F"
        """
        if type(thickness_nm) in PLAIN and type(bath) in PLAIN:
            found: float = lib.short_time_for(self._constants, thickness_nm, bath)
            if found == found:  # not NaN
                return found
        return _core.map_pairs(lib.oxt_time_for_thickness_n, self._constants,
                               _core.quantities(thickness_nm, _core.nanometres, "thickness_nm"),
                               _core.quantities(bath, _core.kelvin, "bath"))


def steel_of(steel: Kind) -> Kind:
    """A steel, and nothing else."""
    if not isinstance(steel, Growth):
        raise OxtintTypeError(f"steel is {type(steel).__name__}, expected Steel")
    return steel
