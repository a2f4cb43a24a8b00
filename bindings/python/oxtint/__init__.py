# SPDX-License-Identifier: GPL-3.0-or-later
"""Growth of coloured oxide films on steel: from logged coupons to the time of a dip.

    log = oxtint.read_trials("trials.csv")
    fit = oxtint.fit(log, steel="Alder 1")
    print(fit.steel.dip("blue", "600 F"))

Numbers are in SI units with the unit in the name (K, s, nm, J/mol); texts with units ("650 F",
"1:30", "57 nm") are taken wherever a bath, a time or a target is.
"""
from ._core import decode as _decode
from ._oxtint import lib as _lib
from .advise import Advice, Coupon
from .bath import Bath, Sag, SaltLimits, SaltProperties, salt_limits, salt_properties
from .drift import Drift
from .errors import (
    Fault,
    HistoryFileError,
    OxtintBugError,
    OxtintError,
    OxtintFileExistsError,
    OxtintMemoryError,
    OxtintOSError,
    OxtintValueError,
    TrialFileError,
)
from .film import (
    OIL_INDEX,
    Film,
    Match,
    Matches,
    Target,
    Tint,
    delta_e2000,
    film_lab,
    film_reflectance,
    film_srgb,
    name_of,
)
from .fitting import Fit, FitRow, Prior, StandardErrors, fit, starting_steel
from .heat import Lift, LiftExposure, Part, TimeInBath, Warming
from .history import History, read_history, read_history_text
from .laws import LawResult, Laws
from .optics import Finish, Light, Material, adapt_white
from .plan import SetPart, SetPlan, SetStep, plan_set
from .pooling import Pool, pool
from .sheet import shop_sheet
from .spread import Bootstrap
from .steel import Caution, Dip, Steel, SteelEntry, load_steel
from .table import dip_table
from .tables import columns
from .temper import (
    Temper,
    temper_dip,
    temper_hardness,
    temper_parameter,
    temper_temperature,
    temper_time,
)
from .tracking import Tracker, Tracking
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

__version__ = _decode(_lib.oxt_version())

__all__ = [
    "Advice", "Bath", "Bootstrap", "Caution", "Coupon", "Dip", "Drift", "Fault", "Film", "Finish",
    "Fit", "FitRow", "History", "HistoryFileError", "LawResult", "Laws", "Lift", "LiftExposure",
    "Light", "Match", "Matches", "Material", "OIL_INDEX", "OxtintBugError", "OxtintError",
    "OxtintFileExistsError", "OxtintMemoryError", "OxtintOSError", "OxtintValueError", "Part", "Pool", "Prior", "Sag",
    "SaltLimits", "SaltProperties", "SetPart", "SetPlan", "SetStep", "StandardErrors", "Steel",
    "SteelEntry", "Target", "Temper", "TimeInBath", "Tint", "Tracker", "Tracking", "Trial",
    "TrialFileError", "TrialGroup", "TrialLog", "Warming", "adapt_white", "columns", "delta_e2000", "dip_table", "film_lab",
    "film_reflectance", "film_srgb", "fit", "format_duration", "format_length",
    "format_temperature", "load_steel", "name_of", "parse_duration", "parse_length",
    "parse_temperature", "parse_temperature_difference", "plan_set", "pool", "read_history",
    "read_history_text", "read_trials", "read_trials_text", "salt_limits", "salt_properties",
    "shop_sheet", "starting_steel", "temper_dip", "temper_hardness", "temper_parameter", "temper_temperature",
    "temper_time",
]
