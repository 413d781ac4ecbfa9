"""What was renamed: who still uses a former name is told the one of now.

Former names of fields and classes stand beside their declarations in the core, those of outputs beside its results; the
rest is here.
"""

from __future__ import annotations

from functools import cache

import ridethrough._core as _core

_OF_PYTHON = {
    "ridethrough.Estimate": "ridethrough.stats.Estimate",
    "ridethrough.clopper_pearson": "ridethrough.stats.clopper_pearson",
    "ridethrough.paired_difference": "ridethrough.stats.paired_difference",
    "ridethrough.wilson": "ridethrough.stats.wilson",
    "ridethrough.Spread": "ridethrough.spreads.Spread",
    "ridethrough.discrete": "ridethrough.spreads.discrete",
    "ridethrough.normal": "ridethrough.spreads.normal",
    "ridethrough.pert": "ridethrough.spreads.pert",
    "ridethrough.triangular": "ridethrough.spreads.triangular",
    "ridethrough.uniform": "ridethrough.spreads.uniform",
    "ridethrough.Stopped": "ridethrough.Interrupted",
    "ridethrough.Part": "ridethrough.PricedPart",
    "ridethrough.Range": "ridethrough.AmountRange",
    "ridethrough.Series": "ridethrough.WeatherSeries",
    "ridethrough.SecondBattery": "ridethrough.Van(batteries=[AgmBattery(capacity_ah=100), AgmBattery(capacity_ah=90)])",
    "ridethrough.DEVICES": "ridethrough.CUTOUT_CAUSES",
    "ridethrough.PATHS": "ridethrough.TIME_SERIES",
    "ridethrough.level": "ridethrough.instruction_set",
    "simulate.paths": "time_series",
    "Risk.paths": "time_series",
    "Risk.devices": "cutout_causes",
    "Risk.days": "day_balances",
    "Risk.reached": "half_width_reached",
    "Risk.charge_quantiles": "soc_quantiles",
    "Risk.lowest_charge_quantiles": "min_soc_quantiles",
    "Risk.below_charge": "below_soc",
    "Risk.nights_within": "nights_at(level, model_error=True)",
    "Risk.common": "failing_differences",
    "Risk.trials_with": "event_counts",
    "Risk.nights_of": "night_counts",
    "Risk.worst_charge_miss": "charge_balance_error",
    "Risk.worst_energy_miss": "energy_balance_error",
    "KnownError.factor": "odds_factor",
    "KnownError.factor_down": "odds_factor_down",
    "RareRisk.error": "model_error",
    "Size.error": "model_error",
    "Size.also": "other_values",
    "Sweep.lowest_charge_q": "min_soc_quantiles",
    "MonthlyRisk.probability": "risk",
    "MonthlyRisk.low": "risk_low",
    "MonthlyRisk.high": "risk_high",
    "LithiumPays.than_new": "lithium_less_new_agm",
    "LithiumPays.than_old": "lithium_less_old_agm",
    "Candidate.removed": "parts_removed",
    "worksheet_says_empty.autonomy_days": "days",
    "worksheet_says_empty.usable": "deepest",
    "Hindcast.first_cutout_hour": "first_cutout_h",
    "DayBalance.charge_before": "soc_before",
    "DayBalance.charge_after": "soc_after",
    "RiskPlots.clock": "first_cutout",
    "paths": "time_series",
}
_WATT_HOURS = "solar dc_dc mains battery fridge other_loads cables curtailed curtailed_cold sun drawn"
_OF_PYTHON |= {f"DayBalance.{name}": f"{name}_wh" for name in _WATT_HOURS.split()}


@cache
def former_names() -> dict[str, str]:
    """Names of now by former ones and where they stood: ``AgmBattery.start_charge``, ``columns.device``."""
    names = dict(_OF_PYTHON)
    for schema in _core.schemas():
        if schema.former_name:
            names |= {schema.former_name: schema.name}
            names |= {f"ridethrough.{schema.former_name}": f"ridethrough.{schema.name}"}
        names |= {f"{schema.name}.{field.former_name}": field.name for field in schema.fields if field.former_name}
    outputs = _core.FORMER_RESULTS.items()
    return names | {f"{of}.{old}": now for of in ("columns", "time_series", "paths") for old, now in outputs}


def name_now(path: str) -> str:
    """What a former name is now; "" where there is none."""
    return former_names().get(path, "")
