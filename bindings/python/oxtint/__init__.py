# SPDX-License-Identifier: GPL-3.0-or-later
"""Growth of coloured oxide films on steel: from logged coupons to the time of a dip.

    log = oxtint.read_trials("trials.csv")
    fit = oxtint.fit(log, steel="Alder 1")
    print(fit.steel.dip("blue", "600 F"))

Numbers are in SI units with the unit in the name (K, s, m, nm, J/mol); texts with units ("650 F", "1:30",
"6 mm", "57 nm", a difference of "5 F") are taken wherever such a number is.
"""
from . import notebook as _notebook  # registers how results look in one
from ._core import decode as _decode
from ._oxtint import lib as _lib
from .advise import Advice, Coupon
from .bath import Bath, Convection, Crust, Sag, Salt, salt
from .colour import adapt_white, delta_e2000
from .conditions import DipOptions
from .dip import Baths, Dip, dip_average
from .dip_table import DipTable, dip_table
from .chart import Chart, ChartBand, ChartMark, Sheet, chart_data, chart_map, chart_sheet, chart_sheet_svg, chart_spread, chart_svg
from .drawing.certainty import coupon_map, time_spread
from .drawing.chart import colour_chart, colour_strip, spectrum
from .drawing.curves import arrhenius, growth_curve, residuals
from .drawing.ladder import colour_ladder
from .drawing.sheet import shop_sheet
from .cross_validation import CrossValidation, CrossValidationRow
from .drift import Drift
from .error import (
    Fault,
    HistoryFileError,
    OxtintBugError,
    OxtintError,
    OxtintFileExistsError,
    OxtintMemoryError,
    OxtintOSError,
    OxtintTypeError,
    OxtintValueError,
    TrialFileError,
)
from .film import OIL_INDEX, Film, Finish, Match, Matches, film_lab, film_reflectance, film_srgb, name_of
from .tint import Target, Tint
from .fit import Fit, FitOptions, FitRow, StandardErrors, fit
from .prior import Prior, starting_steel
from .record import Record, RecordedDip
from .fit_each import Fits, fit_each
from .heat import Lift, LiftExposure, Part, TimeInBath, Warming
from .history import History, Transfer, read_history, read_history_text
from .laws import LawResult, Laws
from .light import Light
from .material import Material
from .page import bench_page
from .plan import SetPart, SetPlan, SetStep, plan_set
from .pool import Pool, pool
from .interval import Bootstrap
from .caution import Caution, CautionWarning, cautions_report
from .steel import Steel, SteelEntry, load_steel
from .tables import columns
from .temper import (
    Temper,
    temper_dip,
    temper_hardness,
    temper_parameter,
    temper_temperature,
    temper_time,
)
from .track import Tracker, Tracking
from .trials import Trial, TrialGroup, TrialLog, read_trials, read_trials_text
from .units import (
    format_duration,
    format_length,
    format_temperature,
    parse_duration,
    parse_length,
    parse_temperature,
    parse_temperature_difference,
)
from .words import Word, Words

__version__ = _decode(_lib.oxt_version())

__all__ = [
    "Advice", "Bath", "Baths", "Bootstrap", "Caution", "CautionWarning", "Coupon", "CrossValidation", "CrossValidationRow", "Crust", "Dip", "DipOptions", "DipTable",
    "Drift", "Fault", "Film", "Finish", "Fit", "FitOptions", "FitRow", "Fits", "History", "HistoryFileError",
    "LawResult", "Laws", "Lift", "LiftExposure", "Light", "Match", "Matches", "Material",
    "OIL_INDEX", "OxtintBugError", "OxtintError", "OxtintFileExistsError", "OxtintMemoryError",
    "OxtintOSError", "OxtintTypeError",
    "OxtintValueError", "Part", "Pool", "Prior", "Record", "RecordedDip", "Sag", "Salt",
    "SetPart", "SetPlan", "SetStep", "Sheet", "StandardErrors", "Steel", "SteelEntry", "Target",
    "Temper", "TimeInBath", "Tint", "Tracker", "Tracking", "Transfer", "Trial",
    "TrialFileError", "TrialGroup", "TrialLog", "Warming", "Word", "Words", "adapt_white", "arrhenius",
    "bench_page",
    "cautions_report", "Chart", "ChartBand", "ChartMark", "chart_data", "chart_map", "chart_sheet", "chart_sheet_svg", "chart_spread", "chart_svg", "colour_chart",
    "colour_ladder", "colour_strip", "columns", "coupon_map", "delta_e2000", "dip_average", "dip_table",
    "film_lab", "film_reflectance", "film_srgb", "fit", "fit_each", "format_duration", "format_length",
    "format_temperature", "growth_curve", "load_steel", "name_of", "parse_duration",
    "parse_length", "parse_temperature", "parse_temperature_difference", "plan_set", "pool",
    "read_history", "read_history_text", "read_trials", "read_trials_text", "residuals",
    "salt", "shop_sheet", "spectrum", "starting_steel", "temper_dip",
    "temper_hardness", "temper_parameter", "temper_temperature", "temper_time", "time_spread",
]


def __dir__() -> list[str]:
    """What there is to import, without the modules that it is from."""
    return sorted([*__all__, *(name for name in globals() if name.startswith("__"))])
