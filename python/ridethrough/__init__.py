"""Whether a camper van's 12 V battery keeps the fridge on for a trip, and how sure that is.

``import ridethrough as rt``; a van and a trip go into :func:`simulate`, which returns a :class:`Risk`. Parts of a van,
places and trips are classes of keyword arguments with defaults, :func:`explain` tells each; distributions are in
``rt.spreads``, intervals in ``rt.stats``. Every study returns a :class:`Result`: print it, show it in a notebook, take
``to_dataframe()``, ``to_xarray()`` or ``to_dict()``, pickle it, compare it.

In the examples of docstrings ``van`` and ``trip`` are those of the README's first trip, and ``record`` is a pandas
DataFrame of measured days.
"""

from typing import TYPE_CHECKING

from ridethrough._core import Clock, InputError, Origin, WeatherSeries
from ridethrough._core import nearest_name as _nearest_name

from . import spreads, stats
from . import weather as weather
from .engine.energy_balance import DayBalance
from .engine.failing_trials import FailingDifference
from .engine.importance_sampling import DegenerateWeights, RareRisk, rare_risk
from .engine.interruption import Interrupted, StudyFailed
from .engine.model_error import KnownError
from .engine.quasi_monte_carlo import TripMeans, quasi_means
from .engine.result import Result
from .engine.risk import Risk
from .engine.run_options import instruction_set
from .engine.simulation import simulate
from .files.named_scenario import Scenario
from .files.scenario import load_scenario
from .files.scenario_writer import save_scenario
from .files.starter_file import new_scenario
from .model.classes import (
    AgmBattery,
    AlternatorCable,
    Appliance,
    BatteryPacks,
    BreathingMachine,
    ChargeProfile,
    Climate,
    DayTrip,
    DcDcCharger,
    Detectors,
    Drive,
    EBike,
    ElectricBlanket,
    Fan,
    FreezerBox,
    Fridge,
    GasFurnace,
    Generator,
    GeneratorRun,
    GuestEvening,
    HairDryer,
    Heater,
    Idle,
    InductionHob,
    InsulatedCover,
    InternetTerminal,
    Inverter,
    InverterAppliance,
    Kettle,
    Laptop,
    Lights,
    LithiumBattery,
    MainsCharger,
    Medicine,
    Microwave,
    NightSetBack,
    OutsideLight,
    Party,
    Phones,
    PortableArray,
    Radio,
    Router,
    ShorePower,
    Site,
    SnowAndFrost,
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
from .model.former_names import name_now
from .model.habit_profiles import HABIT_NAMES, Habits, habits
from .model.named_parts import NamedParts
from .model.outputs import CUTOUT_CAUSES, TIME_SERIES
from .model.parameter_help import explain
from .model.places import Place
from .money.lithium_conversion import Bundle, lithium_bundle
from .money.prices import AmountRange, PricedPart, Prices
from .studies.autonomy_worksheet import BatterySheet, Worksheet, battery_sheet, worksheet, worksheet_passes
from .studies.comparison import compare
from .studies.comparison_result import Comparison, OutcomeDifference, VanDifference
from .studies.cutout_table import CutoutSetting, CutoutTable, cutout_settings
from .studies.grid_sweep import sweep
from .studies.hindcast_results import Hindcast, MonthlyRisk
from .studies.hindcast_scores import HindcastScores, score_hindcasts, worksheet_says_empty
from .studies.hindcasting import hindcast, monthly_risk, normals_of
from .studies.iso_risk_curve import IsoRisk, IsoRiskPoint, iso_risk
from .studies.lithium_break_even import BreakEven, LithiumPays, lithium_pays
from .studies.model_range import van_range
from .studies.range_result import VanRange
from .studies.sensitivity_ranking import Sensitivity, sensitivity
from .studies.sizing import Size, size
from .studies.suggestions import Suggestion, Suggestions
from .studies.sweep_result import Sweep
from .studies.upgrade_candidates import Candidate, catalogue
from .studies.upgrade_ranking import upgrades
from .studies.upgrade_result import Upgrade, Upgrades
from .tonight.forecast_result import Forecast
from .tonight.forecasting import forecast
from .tonight.reading import Reading
from .version import __version__
from .weather.climate_from_data import UnplacedClimate
from .weather.weather_files import read_weather
from .weather.world_climate import climate_at

__all__ = [
    "AgmBattery",
    "AlternatorCable",
    "AmountRange",
    "Appliance",
    "BatteryPacks",
    "BatterySheet",
    "BreakEven",
    "BreathingMachine",
    "Bundle",
    "CUTOUT_CAUSES",
    "Candidate",
    "ChargeProfile",
    "Climate",
    "Clock",
    "Comparison",
    "Configuration",
    "CutoutSetting",
    "CutoutTable",
    "DayBalance",
    "DayTrip",
    "DcDcCharger",
    "DegenerateWeights",
    "Detectors",
    "Drive",
    "EBike",
    "ElectricBlanket",
    "FailingDifference",
    "Fan",
    "Forecast",
    "FreezerBox",
    "Fridge",
    "GasFurnace",
    "Generator",
    "GeneratorRun",
    "GuestEvening",
    "HABIT_NAMES",
    "Habits",
    "HairDryer",
    "Heater",
    "Hindcast",
    "HindcastScores",
    "Idle",
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
    "Lights",
    "LithiumBattery",
    "LithiumPays",
    "MainsCharger",
    "Medicine",
    "Microwave",
    "MonthlyRisk",
    "NamedParts",
    "NightSetBack",
    "Origin",
    "OutcomeDifference",
    "OutsideLight",
    "Party",
    "Phones",
    "Place",
    "PortableArray",
    "PricedPart",
    "Prices",
    "Radio",
    "RareRisk",
    "Reading",
    "Result",
    "Risk",
    "Router",
    "Scenario",
    "Sensitivity",
    "ShorePower",
    "Site",
    "Size",
    "SnowAndFrost",
    "SolarArray",
    "Standby",
    "Stop",
    "Storage",
    "StudyFailed",
    "Suggestion",
    "Suggestions",
    "Sweep",
    "SystemDisconnect",
    "TIME_SERIES",
    "Tablets",
    "Television",
    "Trip",
    "TripMeans",
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
    "WeatherSeries",
    "Wiring",
    "Worksheet",
    "__version__",
    "battery_sheet",
    "catalogue",
    "climate_at",
    "compare",
    "cutout_settings",
    "explain",
    "forecast",
    "habits",
    "hindcast",
    "instruction_set",
    "iso_risk",
    "lithium_bundle",
    "lithium_pays",
    "load_scenario",
    "monthly_risk",
    "new_scenario",
    "normals_of",
    "quasi_means",
    "rare_risk",
    "read_weather",
    "save_scenario",
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

if not TYPE_CHECKING:  # a type checker is to see a name that is not there

    def __getattr__(name: str) -> object:
        """Say where a public name of an earlier version is now."""
        if now := name_now(f"ridethrough.{name}"):
            raise AttributeError(f"ridethrough.{name} is now {now}")
        wanted = name.lower()
        near = [known for known in __all__ if wanted in known.lower()] if len(wanted) > 2 else []
        meant = ", ".join(near[:4]) or _nearest_name(name, __all__)
        hint = f"; did you mean {meant}?" if meant and not name.startswith("_") else ""
        raise AttributeError(f"module 'ridethrough' has no attribute {name!r}{hint}")
