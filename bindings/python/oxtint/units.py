# SPDX-License-Identifier: GPL-3.0-or-later
"""Temperatures, durations and lengths to and from text."""
from __future__ import annotations

from . import _core
from ._oxtint import lib


def parse_temperature(text: str) -> float:
    """Kelvin of a text such as "650 F", "343 C" or "616 K".

    >>> parse_temperature("650 F")
    616.4833333333333
    """
    return _core.parsed(lib.oxt_parse_temperature, text, "text")


def parse_temperature_difference(text: str) -> float:
    """Kelvin of a difference of two temperatures, such as "5 F", "3 C" or "-2.5 K".

    >>> parse_temperature_difference("9 F")
    5.0
    """
    return _core.parsed(lib.oxt_parse_temperature_difference, text, "text")


def parse_duration(text: str) -> float:
    """Seconds of a text such as "90 s", "1:30" or "2 min".

    >>> parse_duration("1:30")
    90.0
    """
    return _core.parsed(lib.oxt_parse_duration, text, "text")


def parse_length(text: str) -> float:
    """Metres of a text such as "6 mm", "0.25 in" or "1/4 in".

    >>> parse_length("1/4 in")
    0.00635
    """
    return _core.parsed(lib.oxt_parse_length, text, "text")


def format_temperature(temperature_K: float, unit: str = "C") -> str:
    """A temperature with at most one decimal in "F", "C" or "K".

    >>> format_temperature(616.483, "F")
    '650 F'
    """
    return _core.text_of(lib.oxt_format_temperature, _core.number(temperature_K, "temperature_K"),
                         _core.unit_number(unit))


def format_duration(time_s: float) -> str:
    """A duration as it is read off a clock.

    >>> format_duration(90.2)
    '1:30'
    """
    return _core.text_of(lib.oxt_format_duration, _core.number(time_s, "time_s"))


def format_length(length_m: float, unit: str = "mm") -> str:
    """The length of a part in "mm" or "in", with at most three decimals.

    >>> format_length(0.00635, "in")
    '0.25 in'
    """
    units = {"mm": lib.OXT_UNIT_MILLIMETRE, "in": lib.OXT_UNIT_INCH}
    return _core.text_of(lib.oxt_format_length, _core.number(length_m, "length_m"),
                         _core.choose(units, unit, "unit"))
