# SPDX-License-Identifier: GPL-3.0-or-later
"""What pictures show, as numbers: the chart of a steel, the spread of a time, the map of the next coupon, the sheet."""
from __future__ import annotations

import datetime
import os
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from . import _core
from ._core import Array, call
from ._oxtint import ffi, lib
from .caution import Caution, cautions_of
from .conditions import DipOptions, film_of, options_of
from .dip import Dip
from .error import OxtintValueError
from .film import Film
from .interval import Bootstrap
from .steel import Steel
from .tables import is_table
from .tint import Wanted
from .trials import Logged, Trial, TrialLog, log_of
from .units import format_duration

if TYPE_CHECKING:
    from typing_extensions import Unpack

PAPERS = {"A4": lib.OXT_PAPER_A4, "letter": lib.OXT_PAPER_LETTER}


@dataclass(frozen=True)
class ChartBand:
    """A band of trade colour in a chart.

    Attributes:
        index: as in Tint
        label: its name, as in Tint
        low_nm, high_nm: nm, where it begins and ends
        label_s: s, where its name belongs on the hottest edge: in the middle of what is in view there
        leaves_below: whether it leaves the chart below before that edge
        srgb: 0 to 1, colour of its middle film
    """

    index: int
    label: str
    low_nm: float
    high_nm: float
    label_s: float
    leaves_below: bool
    srgb: tuple[float, float, float]


@dataclass(frozen=True)
class ChartMark:
    """A coupon on a chart.

    Attributes:
        trial: its index in the log
        bath_K: K
        equivalent_s: s, as Steel.equivalent_time()
        seen_nm: nm, film that was seen; NaN for an sRGB colour, which is taken as it is
        srgb: 0 to 1, the colour that was seen
        label: its trade name, where the chart has another colour there, else ""
    """

    trial: int
    bath_K: float
    equivalent_s: float
    seen_nm: float
    srgb: tuple[float, float, float]
    label: str


@dataclass(frozen=True, repr=False)
class Chart:
    """The frame of a chart, and what stands on it; make it by chart_data().

    Attributes:
        name: steel and finish in words
        bath_range_K: K, coldest and hottest bath
        time_range_s: s, shortest and longest time
        window_s: s, equivalent times of the dip: from when its colour shows, its lift, until when; None without one
        ticks_s: s, times at which a clock would be read
        time_label: what the times are, in words
        bands: the trade colours in view, the thinnest first
        marks: the coupons of the steel, in the order of the log
        cautions: of the dip, or else of the steel's baths
    """

    name: str
    bath_range_K: tuple[float, float]
    time_range_s: tuple[float, float]
    window_s: tuple[float, float, float] | None
    ticks_s: tuple[float, ...]
    time_label: str
    bands: tuple[ChartBand, ...]
    marks: tuple[ChartMark, ...]
    cautions: tuple[Caution, ...]

    def __repr__(self) -> str:
        first, last = map(format_duration, self.time_range_s)
        return (f"<Chart of {self.name}: {self.bath_range_K[0]:.0f} to {self.bath_range_K[1]:.0f} K, {first} to "
                f"{last}, {len(self.bands)} bands, {len(self.marks)} coupons>")


@dataclass(frozen=True, repr=False)
class Sheet:
    """What stands on a sheet for the wall; make it by chart_sheet().

    Attributes:
        name: steel and finish in words
        dips: for each target those of each bath
        path_text, film_text: part, coupons and salt; the film of the colours; in words
        coverage: what the trials cover, in words
        cautions: of all dips, in the order in which they are read
        outside_count: dips beyond what the trials cover
        missing_count: empty cells: dips that cannot be given, such as where the coupon named is still cold; their
            times are NaN, and coverage says why
    """

    name: str
    dips: tuple[tuple[Dip, ...], ...]
    path_text: str
    film_text: str
    coverage: str
    cautions: tuple[Caution, ...]
    outside_count: int
    missing_count: int

    def __repr__(self) -> str:
        return f"<Sheet of {self.name}: {len(self.dips)} targets in {len(self.dips[0])} baths>"


def _structs(name: str, count: int) -> Any:
    """Structs one after another, each with its defaults."""
    made = ffi.new(f"{name}[]", count)
    for index in range(count):
        made[index] = _core.new_struct(name)[0]
    return made


def log_or_none(steel: Steel, trials: Logged | Iterable[Trial]) -> TrialLog | None:
    """A log, or None where nothing is given."""
    if isinstance(trials, (TrialLog, str)) or hasattr(trials, "__fspath__") or is_table(trials):
        return log_of(trials, steel.words)  # type: ignore[arg-type]
    rows = _core.listed(trials, "trials")
    return log_of(rows, steel.words) if rows else None


def _asked(steel: Steel, trials: Logged | Iterable[Trial], dip: Dip | None, film: Film | None,
           bath_range: tuple[float | str, float | str] | None,
           time_range: tuple[float | str, float | str] | None) -> tuple[tuple[Any, Any, Any], list[Any]]:
    """Steel, film and options for C, and what must be kept as long as these."""
    _core.expect(steel, Steel, "steel")
    film = film_of(film, steel)
    options = _core.new_struct("oxt_chart_options")
    log = log_or_none(steel, trials)
    kept: list[Any] = [log, film]
    if log is not None:
        options.trials = log._handle
    if dip is not None:
        kept.append(_core.expect(dip, Dip, "dip")._struct())
        options.dip = kept[-1]
    if bath_range is not None:
        options.bath_low_K, options.bath_high_K = map(_core.kelvin, bath_range)
    if time_range is not None:
        options.time_low_s, options.time_high_s = map(_core.seconds, time_range)
    return (steel._handle, film._handle, options), kept


def chart_data(
    steel: Steel,
    trials: Logged = (),
    *,
    dip: Dip | None = None,
    film: Film | None = None,
    bath_range: tuple[float | str, float | str] | None = None,
    time_range: tuple[float | str, float | str] | None = None,
) -> Chart:
    """What a colour chart shows, as numbers: its ends, bands, coupons and dip.

    The films of a grid are Steel.thickness() of its baths and times, their colours Film.srgb(); the edge of a band
    is Steel.time_for() of its films.

    >>> from oxtint import starting_steel
    >>> chart = chart_data(starting_steel("Dogwood 4"), bath_range=("500 F", "700 F"), time_range=("10 s", "30 min"))
    >>> [band.label for band in chart.bands][:3]
    ['faint straw', 'straw', 'dark straw']

    Args:
        steel, trials, dip, film, bath_range, time_range: as in colour_chart()
    """
    asked, _kept = _asked(steel, trials, dip, film, bath_range, time_range)
    log = asked[2].trials
    most = lib.oxt_trials_count(log) if log else 0
    frame = _core.new_struct("oxt_chart")
    bands, marks = _structs("oxt_chart_band", lib.OXT_TINT_COUNT), _structs("oxt_chart_mark", most)
    call(lib.oxt_chart_data, *asked, frame, lib.OXT_TINT_COUNT, bands, most, marks)
    return Chart(
        _core.decode(frame.name), (frame.bath_low_K, frame.bath_high_K), (frame.time_low_s, frame.time_high_s),
        None if dip is None else (frame.earliest_s, frame.aim_s, frame.latest_s),
        tuple(frame.ticks_s[0:frame.tick_count]), _core.decode(frame.time_label),
        tuple(ChartBand(**{**fields, "leaves_below": bool(fields["leaves_below"])})
              for fields in (_core.take(bands[index]) for index in range(frame.band_count))),
        tuple(ChartMark(**_core.take(marks[index])) for index in range(frame.mark_count)),
        cautions_of(frame.cautions))


def chart_spread(
    steel: Steel,
    bootstrap: Bootstrap,
    target: Wanted,
    bath: float | str,
    *,
    film: Film | None = None,
    **told: Unpack[DipOptions],
) -> Array:
    """How far the time of a dip may be off: when to lift (s) by each replicate of a bootstrap of the steel's fit, NaN
    where it was left out or has no such dip.

    Args:
        steel: the steel of the fit
        bootstrap: from Fit.bootstrap()
        target, bath, film, told: as in Steel.dip()
    """
    wanted, options, _kept = _core.expect(steel, Steel, "steel")._asked(chart_spread, told, target, film, 0.0, 0.0, 0.95)
    _core.expect(bootstrap, Bootstrap, "bootstrap")
    times_s = np.empty(bootstrap.replicates)
    call(lib.oxt_chart_spread, steel._handle, bootstrap._handle, wanted._struct(), _core.kelvin(bath), options,
         times_s.size, ffi.from_buffer("double[]", times_s), ffi.NULL)
    return times_s


def chart_map(
    steel: Steel,
    baths: Iterable[float | str],
    time_edges: Iterable[float | str],
    *,
    target: Wanted | None = None,
    bath: float | str | None = None,
    highest_order: int = 1,
    film: Film | None = None,
) -> Array:
    """What one more coupon would leave of the interval of a dip, as a share of the one now: a row for each stretch
    between two times, a column for each bath; NaN where it gives no information.

    Args:
        steel: the steel
        baths: K, or texts
        time_edges: s, or texts, rising: equivalent times at bath temperature
        target, bath, highest_order, film: as in Steel.advise()
    """
    film = film_of(film, _core.expect(steel, Steel, "steel"))
    baths_K = np.array([_core.kelvin(one, "baths") for one in _core.listed(baths, "baths")])
    edges_s = np.array([_core.seconds(one, "time_edges") for one in _core.listed(time_edges, "time_edges")])
    options = _core.new_struct("oxt_advise_options")
    options.highest_order = _core.whole(highest_order, "highest_order")
    if bath is not None:
        options.target_bath_K = _core.kelvin(bath)
    elif baths_K.size:
        options.low_K, options.high_K = baths_K.min(), baths_K.max()
    wanted = None if target is None else film.target(target)._struct()
    if wanted is not None:
        options.target = wanted
    ratios = np.empty((max(edges_s.size - 1, 0), baths_K.size))
    call(lib.oxt_chart_map, steel._handle, film._handle, options, baths_K.size, ffi.from_buffer("double[]", baths_K),
         max(edges_s.size - 1, 0), ffi.from_buffer("double[]", edges_s), ffi.from_buffer("double[]", ratios))
    return ratios


def chart_svg(
    steel: Steel,
    trials: Logged = (),
    *,
    dip: Dip | None = None,
    film: Film | None = None,
    bath_range: tuple[float | str, float | str] | None = None,
    time_range: tuple[float | str, float | str] | None = None,
    unit: str = "F",
) -> str:
    """A colour chart as the text of an SVG file, drawn by C: without matplotlib.

    Args:
        steel, trials, dip, film, bath_range, time_range, unit: as in colour_chart()
    """
    number = _core.unit_number(unit)
    asked, _kept = _asked(steel, trials, dip, film, bath_range, time_range)
    return _core.text_of(lib.oxt_chart_svg, *asked, number)


def today() -> datetime.date:
    """The date, or that of SOURCE_DATE_EPOCH (reproducible-builds.org)."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    if epoch is None:
        return datetime.date.today()
    try:
        return datetime.datetime.fromtimestamp(int(epoch), datetime.timezone.utc).date()
    except (ValueError, OverflowError, OSError):
        raise OxtintValueError(
            f"SOURCE_DATE_EPOCH is {epoch!r}, expected whole seconds since 1970") from None


def _sheet_options(steel: Steel, baths: Iterable[float | str] | None, targets: Iterable[Wanted] | None, unit: str,
                   film: Film, told: DipOptions) -> tuple[Any, list[Any]]:
    """An oxt_sheet_options, and what must be kept as long as it."""
    _core.expect(steel, Steel, "steel")
    options = _core.new_struct("oxt_sheet_options")
    options.unit = _core.unit_number(unit)
    dip, kept = options_of(film, told, chart_sheet)
    options.dip = dip
    kept.append(dip)
    if baths is not None:
        columns = [_core.kelvin(bath, "baths") for bath in _core.listed(baths, "baths")]
        kept.append(ffi.new("double[]", columns))
        options.baths_K, options.bath_count = kept[-1], len(columns)
    if targets is not None:
        wanted = [film._target(target, "targets")._struct() for target in _core.listed(targets, "targets")]
        kept += [wanted, ffi.new("oxt_target *[]", wanted)]
        options.targets, options.target_count = kept[-1], len(wanted)
    return options, kept


@_core.in_words
def chart_sheet(
    steel: Steel,
    baths: Iterable[float | str] | None = None,
    targets: Iterable[Wanted] | None = None,
    *,
    unit: str = "F",
    film: Film | None = None,
    **told: Unpack[DipOptions],
) -> Sheet:
    """What stands on a sheet for the wall: a dip for each target and bath, and the sentences beside them.

    >>> from oxtint import starting_steel
    >>> sheet = chart_sheet(starting_steel("Dogwood 4"), ["600 F"], ["blue"])
    >>> round(sheet.dips[0][0].time_s)
    115

    Args:
        steel, baths, targets, unit, film: as in shop_sheet()
        told: part, lift, coupon, coupon_lift, salt_bath, ... as in DipOptions
    """
    film = film_of(film, steel)
    options, _kept = _sheet_options(steel, baths, targets, unit, film, told)
    structs, sheet = _structs("oxt_dip", lib.OXT_SHEET_BATHS * lib.OXT_SHEET_TARGETS), _core.new_struct("oxt_sheet")
    call(lib.oxt_chart_sheet, steel._handle, film._handle, options, len(structs), structs, sheet)
    dips = [Dip._of(structs[index], unit.upper()) for index in range(sheet.bath_count * sheet.target_count)]
    count, texts = sheet.bath_count, (sheet.name, sheet.path_text, sheet.film_text, sheet.coverage)
    name, path, film_text, coverage = map(_core.decode, texts)
    return Sheet(name, tuple(tuple(dips[first:first + count]) for first in range(0, len(dips), count)), path, film_text,
                 coverage, cautions_of(sheet.cautions), sheet.outside_count, sheet.missing_count)


@_core.in_words
def chart_sheet_svg(
    steel: Steel,
    baths: Iterable[float | str] | None = None,
    targets: Iterable[Wanted] | None = None,
    *,
    unit: str = "F",
    film: Film | None = None,
    paper: str = "A4",
    date: datetime.date | None = None,
    **told: Unpack[DipOptions],
) -> str:
    """A sheet for the wall as the text of an SVG file, drawn by C: without matplotlib.

    Args:
        steel, baths, targets, unit, film, paper, date: as in shop_sheet()
        told: part, lift, coupon, coupon_lift, salt_bath, ... as in DipOptions
    """
    film = film_of(film, steel)
    options, kept = _sheet_options(steel, baths, targets, unit, film, told)
    options.paper = _core.choose(PAPERS, paper, "paper")
    kept.append(ffi.new("char[]", _core.expect(date or today(), datetime.date, "date").isoformat().encode()))
    options.date = kept[-1]
    return _core.text_of(lib.oxt_chart_sheet_svg, steel._handle, film._handle, options)
