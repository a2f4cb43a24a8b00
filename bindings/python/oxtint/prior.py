# SPDX-License-Identifier: GPL-3.0-or-later
"""What is known of a steel before its trials, and a steel by that alone."""
from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from . import _core
from ._core import call
from ._oxtint import lib
from .conditions import film_of
from .film import Film
from .steel import Steel


@dataclass(frozen=True)
class Prior:
    """What is known of a steel's growth constants before its trials: the rate, Q, or both.

    >>> Prior(Q_J_per_mol=71e3, Q_stderr_J_per_mol=20e3).ln_k_stderr
    0.0

    Attributes:
        temperature_K: K, at which ln_k holds
        ln_k: ln of the rate in nm^2/s
        ln_k_stderr: its standard error; 0 when nothing is known of the rate
        Q_J_per_mol: J/mol, activation energy
        Q_stderr_J_per_mol: its standard error; 0 when nothing is known of Q
    """

    temperature_K: float = 0.0
    ln_k: float = 0.0
    ln_k_stderr: float = 0.0
    Q_J_per_mol: float = 0.0
    Q_stderr_J_per_mol: float = 0.0

    @classmethod
    def mild_steel(cls, film: Film | None = None) -> Prior:
        """What is known of mild steel in a nitrate bath: published Q, and a minute at 650 F for blue."""
        struct = _core.new_struct("oxt_prior")
        call(lib.oxt_prior_mild_steel, struct, film_of(film)._handle)
        return cls(**_core.take(struct))

    def __repr__(self) -> str:
        known = (f"{one.name}={getattr(self, one.name):.6g}" for one in fields(self)
                 if getattr(self, one.name) != one.default)
        return f"Prior({', '.join(known)})"

    def _struct(self) -> Any:
        struct = _core.new_struct("oxt_prior")
        for name in self.__dataclass_fields__:
            setattr(struct, name, _core.number(getattr(self, name), name))
        return struct


def starting_steel(name: str, finish: str = "", *, film: Film | None = None) -> Steel:
    """A steel of which nothing has been tried, from Prior.mild_steel() alone, to dip a first coupon by.

    >>> starting_steel("Dogwood 4").dip("blue", "600 F").chance < 0.5
    True

    Args:
        name: of the steel
        finish: name of the finish
        film: film that its colours are read with; the one as tabulated when None
    """
    return Steel._made(lib.oxt_prior_steel, _core.encode(name, "name"), _core.encode(finish, "finish"),
                       film_of(film)._handle)
