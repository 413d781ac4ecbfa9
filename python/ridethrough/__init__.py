"""Whether a camper van's 12 V battery keeps the fridge on for a trip, and how sure that is."""

from ridethrough._core import InputError, Series, level

from . import spreads, stats
from . import weather as weather
from .engine.energy_balance import DayBalance
from .engine.failing_trials import FailingDifference
from .engine.importance_sampling import DegenerateWeights, RareRisk, rare_risk
from .engine.interruption import Interrupted, StudyFailed
from .engine.model_error import KnownError
from .engine.quasi_monte_carlo import quasi_means
from .engine.result import Result
from .engine.risk import Risk
from .engine.simulation import simulate
from .files.scenario import Scenario, load_scenario
from .model.classes import (
    AgmBattery,
    AlternatorLink,
    Appliance,
    BatteryPacks,
    BreathingMachine,
    ChargeProfile,
    Climate,
    DcDcCharger,
    Detectors,
    EBike,
    ElectricBlanket,
    Fan,
    FreezerBox,
    Fridge,
    GasFurnace,
    Generator,
    GuestEvening,
    HairDryer,
    Heater,
    InductionHob,
    InsulatedCover,
    InternetTerminal,
    Inverter,
    InverterAppliance,
    Kettle,
    Laptop,
    LfpBattery,
    Lights,
    MainsCharger,
    Medicine,
    Microwave,
    NightSetBack,
    OutsideLight,
    PanelFilm,
    Party,
    Phones,
    PortableArray,
    Radio,
    Router,
    SecondBattery,
    Site,
    SolarArray,
    Standby,
    Stop,
    Storage,
    SystemDisconnect,
    Tablets,
    Television,
    Trip,
    TyrePump,
    Van,
    VentFan,
    WaterPump,
    WaterTanks,
    Wiring,
)
from .model.configuration import Configuration
from .model.habit_profiles import HABIT_NAMES, Habits, habits
from .model.outputs import DEVICES, PATHS
from .model.parameter_help import explain
from .money.lithium_conversion import Bundle, lithium_bundle
from .money.prices import Part, Prices, Range
from .studies.autonomy_worksheet import BatterySheet, Worksheet, battery_sheet, worksheet, worksheet_passes
from .studies.comparison import Comparison, OutcomeDifference, VanDifference, compare
from .studies.cutout_table import CutoutSetting, CutoutTable, cutout_settings
from .studies.grid_sweep import sweep
from .studies.hindcast_scores import HindcastScores, score_hindcasts, worksheet_says_empty
from .studies.hindcasting import hindcast, monthly_risk, normals_of
from .studies.iso_risk_curve import IsoRisk, IsoRiskPoint, iso_risk
from .studies.lithium_break_even import BreakEven, LithiumPays, lithium_pays
from .studies.model_range import VanRange, van_range
from .studies.sensitivity_ranking import Sensitivity, sensitivity
from .studies.sizing import Size, size
from .studies.upgrade_candidates import Candidate, catalogue
from .studies.upgrade_ranking import Upgrade, Upgrades, upgrades
from .version import __version__
from .weather.climate_from_data import UnplacedClimate
from .weather.world_climate import climate_at

__all__ = [
    "AgmBattery",
    "AlternatorLink",
    "Appliance",
    "BatteryPacks",
    "BatterySheet",
    "BreakEven",
    "BreathingMachine",
    "Bundle",
    "Candidate",
    "ChargeProfile",
    "Climate",
    "Comparison",
    "Configuration",
    "CutoutSetting",
    "CutoutTable",
    "DEVICES",
    "DayBalance",
    "DcDcCharger",
    "DegenerateWeights",
    "Detectors",
    "EBike",
    "ElectricBlanket",
    "FailingDifference",
    "Fan",
    "FreezerBox",
    "Fridge",
    "GasFurnace",
    "Generator",
    "GuestEvening",
    "HABIT_NAMES",
    "Habits",
    "HairDryer",
    "Heater",
    "HindcastScores",
    "InductionHob",
    "InputError",
    "InsulatedCover",
    "InternetTerminal",
    "Interrupted",
    "Inverter",
    "InverterAppliance",
    "IsoRisk",
    "IsoRiskPoint",
    "Kettle",
    "KnownError",
    "Laptop",
    "LfpBattery",
    "Lights",
    "LithiumPays",
    "MainsCharger",
    "Medicine",
    "Microwave",
    "NightSetBack",
    "OutcomeDifference",
    "OutsideLight",
    "PATHS",
    "PanelFilm",
    "Part",
    "Party",
    "Phones",
    "PortableArray",
    "Prices",
    "Radio",
    "Range",
    "RareRisk",
    "Result",
    "Risk",
    "Router",
    "Scenario",
    "SecondBattery",
    "Sensitivity",
    "Series",
    "Site",
    "Size",
    "SolarArray",
    "Standby",
    "Stop",
    "Storage",
    "StudyFailed",
    "SystemDisconnect",
    "Tablets",
    "Television",
    "Trip",
    "TyrePump",
    "UnplacedClimate",
    "Upgrade",
    "Upgrades",
    "Van",
    "VanDifference",
    "VanRange",
    "VentFan",
    "WaterPump",
    "WaterTanks",
    "Wiring",
    "Worksheet",
    "__version__",
    "battery_sheet",
    "catalogue",
    "climate_at",
    "compare",
    "cutout_settings",
    "explain",
    "habits",
    "hindcast",
    "iso_risk",
    "level",
    "lithium_bundle",
    "lithium_pays",
    "load_scenario",
    "monthly_risk",
    "normals_of",
    "quasi_means",
    "rare_risk",
    "score_hindcasts",
    "sensitivity",
    "simulate",
    "size",
    "spreads",
    "stats",
    "sweep",
    "upgrades",
    "van_range",
    "worksheet",
    "worksheet_passes",
    "worksheet_says_empty",
]

_RENAMED = {
    "Estimate": "stats.Estimate",
    "clopper_pearson": "stats.clopper_pearson",
    "paired_difference": "stats.paired_difference",
    "wilson": "stats.wilson",
    "Spread": "spreads.Spread",
    "discrete": "spreads.discrete",
    "normal": "spreads.normal",
    "pert": "spreads.pert",
    "triangular": "spreads.triangular",
    "uniform": "spreads.uniform",
    "Stopped": "Interrupted",
}


def __getattr__(name: str) -> object:
    """Say where a public name of an earlier version is now."""
    if name in _RENAMED:
        raise AttributeError(f"ridethrough.{name} is now ridethrough.{_RENAMED[name]}")
    raise AttributeError(f"module 'ridethrough' has no attribute {name!r}")
