# SPDX-License-Identifier: GPL-3.0-or-later
"""A dip as it happens, from lines on standard input or by the clock alone."""
from __future__ import annotations

import argparse
import math
import re
import sys
import time
from collections.abc import Iterator

import oxtint

from .._core import kelvin, retell, seconds, unit_of
from .bench import dipped_part, paths_of, salt_bath_of
from .files import INPUT, film_of, input_lines, read_card
from .terminal import ring, swatch

_FAR_K = 30.0  # a reading so far from the bath that is meant is of another scale, or of another place
_WARMING_s = 60.0  # so long a part itself may be colder


class _Clock:
    """Time that passes; a test has one of its own."""

    def now(self) -> float:
        return time.monotonic()

    def wait(self, seconds: float) -> None:
        time.sleep(seconds)


_clock = _Clock()

_Sample = tuple[float, float]


def _number(text: str, unit: str) -> float:
    """K, of a bare number in the scale of the bath, or of a text with a scale of its own."""
    try:
        return oxtint.parse_temperature(f"{float(text)!r} {unit}")
    except ValueError:  # which what the library raises is too
        return oxtint.parse_temperature(text)


def _sample(line: str, unit: str) -> _Sample | None:
    """Time (s) and temperature (K) of a line such as "12 600", "12, 315.5 C" or "1:12 600F"; None for one that
    holds neither."""
    fields = line.replace(",", " ").split()
    if not fields or fields[0].startswith("#"):
        return None
    try:
        when = oxtint.parse_duration(fields[0]) if ":" in fields[0] else float(fields[0])
        return when, _number(" ".join(fields[1:]), unit)
    except (ValueError, oxtint.OxtintError):
        return math.nan, math.nan


def _typed(line: str, unit: str) -> str:
    """The temperature of a line as it was written, with its scale."""
    text = " ".join(line.replace(",", " ").split()[1:])
    return f"{text} {unit}" if re.fullmatch(r"[-+.0-9eE]+", text) else text


class _Bench:
    """What is printed of a dip while it goes on."""

    def __init__(self, options: argparse.Namespace, told: set[oxtint.Caution], measures_bath: bool) -> None:
        self.unit = options.read or unit_of(options.bath)
        self.every = seconds(options.every, "every")
        self.bath_K = kelvin(options.bath)
        self.bath, self.clock, self.measures_bath = options.bath, options.clock, measures_bath
        self.printed_s, self.due_s, self.foreseen_s = -math.inf, math.inf, math.inf
        self.told, self.is_far, self.is_late = told, False, False

    def _warn_if_far(self, now: oxtint.Tracking, reading_K: float) -> None:
        """Once, when the reading leaves the bath that is meant; a part may be cold for a while."""
        off_K = reading_K - self.bath_K
        cold_counts = self.measures_bath or now.time_s > _WARMING_s
        far = off_K > _FAR_K or (cold_counts and off_K < -_FAR_K)
        if far and not self.is_far:
            side = "above" if off_K > 0.0 else "below"
            off = abs(off_K) * (1.8 if self.unit == "F" else 1.0)
            print(f"WARNING: the reading, {oxtint.format_temperature(reading_K, self.unit)}, is {off:.0f} "
                  f"{self.unit} {side} the bath of {self.bath}:\n  check the thermocouple, its place, and its "
                  f"scale (bare numbers are read as {self.unit})")
        self.is_far = far

    def _state(self, now: oxtint.Tracking) -> str:
        if now.state == "past":
            return "too late: polish off and start again"
        if now.to_lift_s == 0.0:
            overdue_s = now.time_s - self.due_s
            return "LIFT NOW" + (f", {oxtint.format_duration(overdue_s)} overdue" if overdue_s > 0.0 else "")
        left = ("never at this heat" if math.isinf(now.to_lift_s)
                else f"in {oxtint.format_duration(now.to_lift_s)}")
        return f"wanted colour; best lift {left}" if now.state == "showing" else f"lift {left}"

    def show(self, now: oxtint.Tracking, reading_K: float) -> None:
        """A line about a sample when one is due, a bell at the lift and when it is too late."""
        self._warn_if_far(now, reading_K)
        for caution in now.cautions:
            if caution.kind == "forbids" and caution not in self.told:
                self.told.add(caution)
                print(caution.brief)
        is_due, is_late = now.to_lift_s == 0.0 and math.isinf(self.due_s), now.state == "past"
        if is_due:  # which the last sample foresaw, where samples are far apart
            self.due_s = self.foreseen_s if now.time_s - self.foreseen_s >= 1.0 else now.time_s
        self.foreseen_s = now.time_s + now.to_lift_s
        since_s = now.time_s - self.printed_s + 1e-6  # rounding must not swallow a line
        if not (is_due or is_late > self.is_late or since_s >= self.every):
            return
        reading = "" if self.clock else f"{oxtint.format_temperature(reading_K, self.unit):>8} "
        print(f"{swatch(now.srgb)}{oxtint.format_duration(now.time_s):>6} {reading}{now.thickness_nm:6.1f} nm  "
              f"{now.label or 'beyond second order':<19} {self._state(now)}", flush=True)
        if is_due or is_late > self.is_late:
            ring()
        self.printed_s, self.is_late = now.time_s, is_late


def _follow_input(tracker: oxtint.Tracker, bench: _Bench) -> None:
    """Each sample of standard input as it comes."""
    last = ""
    for number, line in enumerate(input_lines(), 1):
        sample = _sample(line, bench.unit)
        if sample is None:
            continue
        try:
            tracker.feed(*sample)
        except oxtint.OxtintError as error:
            retell(error, [("temperature_K", "reading", _typed(line, bench.unit))])
            is_early = error.parameter == "time_s" and error.value <= error.low
            why = (f"found '{line.strip()}', expected a time in s and a temperature" if math.isnan(sample[0])
                   else f"'{line.strip()}' is left out: " +
                   (f"expected a time after {last}, that of the last reading" if is_early else str(error)))
            print(f"oxtint: {INPUT}:{number}: {why}", file=sys.stderr)
            continue
        last = line.replace(",", " ").split()[0]
        bench.show(tracker.read(), sample[1])
    if tracker.read().sample_count == 0:
        raise oxtint.OxtintValueError(
            f"{INPUT}: no sample was read, expected lines of a time in s and a temperature")


def _ticks(tracker: oxtint.Tracker, every_s: float) -> Iterator[float]:
    """Seconds since the start, as they pass: one for each line, and one at the lift."""
    start_s, passed_s = _clock.now(), 0.0
    while True:
        yield passed_s
        now = tracker.read()
        step_s = max(every_s, 0.1)
        if 0.0 < now.to_lift_s < step_s:
            step_s = now.to_lift_s
        _clock.wait(max(start_s + passed_s + step_s - _clock.now(), 0.0))
        passed_s = max(_clock.now() - start_s, passed_s + 1e-3)


def _follow_clock(tracker: oxtint.Tracker, bench: _Bench) -> None:
    """A countdown in a bath that stays as it is, until it is too late."""
    if sys.stdin.isatty():
        print("Press Enter as the part goes in; Ctrl-C ends the countdown.", flush=True)
        sys.stdin.readline()
    for passed_s in _ticks(tracker, bench.every):
        tracker.feed(passed_s, bench.bath_K)
        now = tracker.read()
        bench.show(now, bench.bath_K)
        if now.state == "past" or math.isinf(now.to_lift_s):
            return


def watch(options: argparse.Namespace) -> None:
    """Say what to mind and what to expect; then follow the dip to its end."""
    steel = read_card(options.card)
    part, film = dipped_part(options), film_of(options)
    path = {"part": part, **paths_of(vars(options)), "salt_bath": salt_bath_of(options)}
    expected = steel.dip(options.target, options.bath, film=film, **path)
    tracker = oxtint.Tracker(steel, options.target, bath=options.bath, film=film, **path)
    follows_part = options.part != "none" and (part is not None or steel.coupon is not None)
    bench = _Bench(options, set(expected.cautions), follows_part)
    print(oxtint.cautions_report(expected.cautions, options.cautions), end="")
    print(f"{steel.text}: {expected.target.text} in a bath at {options.bath}, lift after about "
          f"{oxtint.format_duration(expected.time_s)}", flush=True)
    try:
        if options.clock:
            _follow_clock(tracker, bench)
        else:
            _follow_input(tracker, bench)
    except KeyboardInterrupt:  # which is how many end a dip
        print()  # below the ^C that a terminal shows
        raise
