"""Whether a camper van's 12 V battery keeps the fridge on for a trip, and how sure that is."""

from importlib.metadata import PackageNotFoundError
from importlib.metadata import version as _version

from ridethrough._core import (
    Estimate,
    InputError,
    Series,
    Spread,
    clopper_pearson,
    discrete,
    level,
    normal,
    paired_difference,
    pert,
    triangular,
    uniform,
    wilson,
)

from . import climate as _climate
from .bundle import Bundle, lithium_bundle
from .catalogue import Candidate, catalogue
from .compare import Comparison, compare
from .cutouts import cutout_settings
from .habits import HABIT_NAMES, Habits, habits
from .hindcast import hindcast, monthly_risk, normals_of
from .hindcast_scores import HindcastScores, score_hindcasts, worksheet_says_empty
from .isorisk import IsoRisk, iso_risk
from .life import lithium_pays
from .loads import with_loads as _with_loads
from .loads import without as _without
from .parameters import explain
from .prices import Part, Prices
from .quasi import quasi_means
from .rare import DegenerateWeights, RareRisk, rare_risk
from .records import CLASSES, Configuration
from .results import DEVICES, PATHS
from .risk import Risk
from .scenario import load_scenario
from .sensitivity import Sensitivity, sensitivity
from .simulate import simulate
from .sizing import Size, size
from .stopped import Interrupted, StudyFailed
from .sweep import sweep
from .upgrades import Upgrades, upgrades
from .van_range import VanRange, van_range
from .worksheet import battery_sheet, worksheet, worksheet_passes

try:
    __version__ = _version("ridethrough")
except PackageNotFoundError:  # run from a source tree
    __version__ = "0+source"

globals().update(CLASSES)
CLASSES["Climate"].from_hourly = classmethod(_climate.from_hourly)  # type: ignore[attr-defined]
CLASSES["Climate"].from_daily = classmethod(_climate.from_daily)  # type: ignore[attr-defined]
CLASSES["Van"].with_loads = _with_loads  # type: ignore[attr-defined]
CLASSES["Van"].without = _without  # type: ignore[attr-defined]

__all__ = [
    "DEVICES",
    "HABIT_NAMES",
    "PATHS",
    "Bundle",
    "Candidate",
    "Comparison",
    "Configuration",
    "DegenerateWeights",
    "Estimate",
    "Habits",
    "HindcastScores",
    "InputError",
    "IsoRisk",
    "Part",
    "Prices",
    "RareRisk",
    "Risk",
    "Sensitivity",
    "Series",
    "Size",
    "Spread",
    "Interrupted",
    "StudyFailed",
    "Upgrades",
    "VanRange",
    "battery_sheet",
    "catalogue",
    "clopper_pearson",
    "compare",
    "cutout_settings",
    "discrete",
    "explain",
    "habits",
    "hindcast",
    "iso_risk",
    "level",
    "lithium_bundle",
    "lithium_pays",
    "load_scenario",
    "monthly_risk",
    "normal",
    "normals_of",
    "paired_difference",
    "pert",
    "quasi_means",
    "rare_risk",
    "score_hindcasts",
    "sensitivity",
    "simulate",
    "size",
    "sweep",
    "triangular",
    "uniform",
    "upgrades",
    "van_range",
    "wilson",
    "worksheet",
    "worksheet_passes",
    "worksheet_says_empty",
    *CLASSES,
]
