# SPDX-License-Identifier: GPL-3.0-or-later
"""A shop's own words for colours."""
from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, overload

from . import _core
from ._oxtint import ffi, lib
from .error import OxtintTypeError, OxtintValueError, TrialFileError
from .faults import read_csv
from .tables import csv_of


@dataclass(frozen=True)
class Word:
    """One word of a shop: a band of trade colour, or a range of thickness.

    Attributes:
        word: as the shop writes it
        index: number of the band (Film.tints()), None for a range
        low_nm, high_nm: nm, the films that a range stands for; None for a band
        line: line of the file that it came from, 0 when it came from memory
    """

    word: str
    index: int | None
    low_nm: float | None
    high_nm: float | None
    line: int = 0


class Words(Sequence[Word]):
    """A shop's own words, which films, logs and reports then read and print; a word overrides a trade name of
    the same letters.

    Args:
        words: a CSV file with the columns word and band, or low_nm and high_nm (docs/reference/words.md); or a
            mapping of each word to a trade name, or to a thinnest and a thickest film in nm

    Raises:
        TrialFileError: a file is at fault; it lists every fault

    >>> words = Words({"lamp blue": "blue", "clock blue": (47.0, 55.0)})
    >>> len(words), words[1].high_nm
    (2, 55.0)
    """

    _handle: Any
    _list: tuple[Word, ...]

    def __init__(self, words: str | os.PathLike[str] | Mapping[str, str | Sequence[float]]) -> None:
        if not isinstance(words, (str, os.PathLike, Mapping)):
            raise OxtintTypeError(f"words is {type(words).__name__}, expected Words, the path of a CSV file, or a "
                            "mapping of words to trade names")
        source = _csv_of(words) if isinstance(words, Mapping) else words
        self._own(read_csv("oxt_words", TrialFileError, source), isinstance(words, Mapping))

    def _own(self, handle: Any, from_memory: bool) -> None:
        self._handle = handle
        found: list[Word] = []
        struct = _core.new_struct("oxt_word")
        while not lib.oxt_words_get(handle, len(found), struct, ffi.NULL):
            ranged = struct.index < 0
            found.append(Word(_core.decode(struct.word), None if ranged else struct.index,
                              struct.low_nm if ranged else None, struct.high_nm if ranged else None,
                              0 if from_memory else struct.line))
        self._list = tuple(found)

    @classmethod
    def _owning(cls, handle: Any) -> Words:
        words = cls.__new__(cls)
        words._own(ffi.gc(handle, lib.oxt_words_free), True)
        return words

    def _alike(self) -> tuple[tuple[Any, ...], ...]:
        return tuple((one.word, one.index, one.low_nm, one.high_nm) for one in self)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Words) and self._alike() == other._alike()

    def __hash__(self) -> int:
        return hash(self._alike())

    def __len__(self) -> int:
        return len(self._list)

    @overload
    def __getitem__(self, index: int) -> Word: ...

    @overload
    def __getitem__(self, index: slice) -> Sequence[Word]: ...

    def __getitem__(self, index: int | slice) -> Word | Sequence[Word]:
        if isinstance(index, slice):
            return list(self._list[index])
        if not -len(self) <= index < len(self):
            raise IndexError(f"index {index} of {len(self)} words")
        return self._list[index]

    def __repr__(self) -> str:
        return f"<Words {', '.join(one.word for one in self)}>"


WordsLike = Words | str | os.PathLike[str] | Mapping[str, str | Sequence[float]]  #: what is taken for words


def words_of(words: WordsLike | None) -> Words | None:
    """Words as they are, or read; None for none."""
    return words if words is None or isinstance(words, Words) else Words(words)


def handle_of(words: Words | None) -> Any:
    """For C, where none is NULL."""
    return ffi.NULL if words is None else words._handle


def _csv_of(words: Mapping[str, str | Sequence[float]]) -> bytes:
    cells: dict[str, list[str]] = {"word": [], "band": [], "low_nm": [], "high_nm": []}
    for word, meaning in words.items():
        low, high = ("", "") if isinstance(meaning, str) else map(_number, _two(word, meaning))
        row = (word, meaning if isinstance(meaning, str) else "", low, high)
        for column, cell in zip(cells.values(), row):
            column.append(cell)
    return csv_of(cells)


def _two(word: str, meaning: Any) -> Sequence[float]:
    try:
        low, high = meaning
    except (TypeError, ValueError):
        raise OxtintValueError(
            f"{word!r} is {meaning!r}, expected a trade name, or a thinnest and a thickest film in nm") from None
    return low, high


def _number(thickness_nm: Any) -> str:
    return repr(_core.number(thickness_nm, "words"))
