# SPDX-License-Identifier: GPL-3.0-or-later
"""A dip as it happens, from lines on standard input."""
from __future__ import annotations

import argparse
import math
import sys
import textwrap

import oxtint

from .bench import lift_of, part_of
from .files import INPUT, film_of, input_lines, read_card
from .terminal import swatch


def _sample(line: str, unit: str) -> tuple[float, float] | None:
    """Time (s) and temperature (K) of a line; None for one that holds neither."""
    fields = line.replace(",", " ").split()
    if not fields or fields[0].startswith("#"):
        return None
    try:
        time, temperature = (float(field) for field in fields)
        return time, oxtint.parse_temperature(f"{temperature!r} {unit}")
    except (ValueError, oxtint.OxtintError):
        return math.nan, math.nan


def _left(seconds: float) -> str:
    return "never at this heat" if math.isinf(seconds) else f"in {oxtint.format_duration(seconds)}"


def _line(now: oxtint.Tracking) -> str:
    state = {"growing": f"lift {_left(now.to_lift_s)}", "past": "past it: polish off, start again",
             "showing": "LIFT NOW" if now.to_lift_s == 0.0 else
                        f"it shows; best {_left(now.to_lift_s)}"}[now.state]
    return (f"{swatch(now.srgb)}{oxtint.format_duration(now.time_s):>7}  {now.thickness_nm:6.1f} nm  "
            f"{now.label or 'beyond the second order':<20}  {state}")


def _follow(tracker: oxtint.Tracker, options: argparse.Namespace) -> None:
    """Each sample of standard input as it comes, and a line about it when one is due."""
    every, said, called = oxtint.parse_duration(options.every), -math.inf, False
    for number, line in enumerate(input_lines(), 1):
        sample = _sample(line, options.read)
        if sample is None:
            continue
        try:
            tracker.feed(*sample)
        except oxtint.OxtintError as error:
            why = f"found '{line.strip()}', expected a time in s and a temperature"
            print(f"oxtint: {INPUT}:{number}: {why if math.isnan(sample[0]) else error}", file=sys.stderr)
            continue
        now = tracker.read()
        due = now.to_lift_s == 0.0 and not called
        if now.time_s - said >= every or due:
            said, called = now.time_s, called or due
            print(_line(now), flush=True)


def watch(options: argparse.Namespace) -> None:
    """Feed a tracker from standard input and print how the dip stands; at its end, what to mind."""
    tracker = oxtint.Tracker(
        read_card(options.card), options.target, bath=options.bath, film=film_of(options),
        part=part_of(options.part, options.shape), lift=lift_of(options.lift))
    try:
        _follow(tracker, options)
    except KeyboardInterrupt:  # which is how many end a dip
        print()  # below the ^C that a terminal shows
        raise
    finally:
        for caution in tracker.read().cautions:
            print(textwrap.fill(caution.text, 78, initial_indent="  - ", subsequent_indent="    "))
    if tracker.read().sample_count == 0:
        raise oxtint.OxtintValueError(
            f"{INPUT}: no sample was read, expected lines of a time in s and a temperature")
