# SPDX-License-Identifier: GPL-3.0-or-later
"""Trade colours as bands of thickness, and wanted colours as targets."""
from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from . import _core
from ._core import Array


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

    @functools.lru_cache(maxsize=256)
    def _struct(self) -> Any:
        """As a struct of C, which is shared: to be read only."""
        struct = _core.new_struct("oxt_target")
        struct.aim_nm, struct.low_nm, struct.high_nm = self.aim_nm, self.low_nm, self.high_nm
        struct.other_nm, struct.order = self.other_nm, self.order
        _core.put_text(struct.text, self.text, "text")
        _core.put_text(struct.description, self.description, "description")
        return struct

    def __repr__(self) -> str:
        return f"<Target {self.text}: {self.aim_nm:.1f} nm, shows from {self.low_nm:.1f} to {self.high_nm:.1f} nm>"

    def _repr_html_(self) -> str | None:
        return _core.as_html(self)


Wanted = str | float | Sequence[float] | Array | Target  #: a wanted colour, as in Film.target()
