# SPDX-License-Identifier: GPL-3.0-or-later
"""What to mind about a dip, a bath or a temper."""
from __future__ import annotations

import functools
import textwrap
from collections.abc import Iterable
from dataclasses import dataclass

from . import _core
from ._oxtint import lib


class CautionWarning(UserWarning):
    """A number that came without its cautions has one that forbids it."""


@dataclass(frozen=True)
class Caution:
    """One caution of a result.

    Attributes:
        name: such as "WATER"
        text: the whole text for the bench
        source: where it comes from
        brief: the same in short, a lead word first
        kind: "forbids" the dip, is particular to this "case", or true of every "bath"
    """

    name: str
    text: str
    source: str
    brief: str
    kind: str

    def __str__(self) -> str:
        return self.text

    def __repr__(self) -> str:
        return f"<Caution {self.name} ({self.kind}): {textwrap.shorten(self.brief.partition(': ')[2], 70, placeholder=' ...')}>"


_KINDS = {lib.OXT_CAUTION_KIND_FORBIDS: "forbids", lib.OXT_CAUTION_KIND_CASE: "case",
          lib.OXT_CAUTION_KIND_BATH: "bath"}


@functools.lru_cache(maxsize=256)
def cautions_of(bits: int) -> tuple[Caution, ...]:
    """The cautions of a result, from its bits, in the order in which they are read."""
    found = []
    while (one := lib.oxt_caution_get(bits)).bit:
        bits &= ~one.bit
        found.append(Caution(_core.decode(one.name).removeprefix("OXT_CAUTION_"), _core.decode(one.text),
                             _core.decode(one.source), _core.decode(one.brief), _KINDS[one.kind]))
    return tuple(found)


def _bits_of(cautions: Iterable[Caution]) -> int:
    bits = 0
    for caution in {_core.expect(caution, Caution, "cautions") for caution in cautions}:
        bits |= int(getattr(lib, f"OXT_CAUTION_{caution.name}"))
    return bits


def in_order(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    """Each of several cautions once, in the order in which they are read."""
    return cautions_of(_bits_of(cautions))


def cautions_report(cautions: Iterable[Caution], detail: str = "brief") -> str:
    """Cautions as lists to read at the bench: what forbids a dip, what is particular to it, what is always
    so; each once, however many results it comes from.

    Args:
        cautions: those of one result or of several
        detail: "brief" or "whole"
    """
    return _core.text_of(lib.oxt_caution_report, _bits_of(cautions), _core.detail_number(detail))
