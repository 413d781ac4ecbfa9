"""Values of no sense and of other libraries, as any argument, are InputErrors with a path, never Python's errors."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest
import ridethrough
import xarray
from quick_studies import RECORD
from study_fixture import TRIP, VAN

rt: Any = ridethrough  # as calls here are wrong on purpose

ODD: dict[str, object] = {  # none of them is ever meant
    "array of no dimension": np.array(5.0),
    "array": np.array([[1.5, 2.5]]),
    "series": pd.Series([1.5, 2.5]),
    "frame": pd.DataFrame({"a": [1.5]}),
    "no time": pd.NaT,
    "data array": xarray.DataArray([1.5, 2.5]),
    "dataset": xarray.Dataset({"a": 1.5}),
    "object": object(),
    "complex": 1j,
    "bytes": b"x",
}
FEW = {"van": VAN, "trip": TRIP, "trials": 5}
CUTOUTS = {"settings_v": [11.0], "makers_range_v": (10.0, 12.0), "dedicated_house_battery": True}
SIZED = {"within": (60, 100), "step": 20}
SOLD = {"sites": [TRIP.site], "customers": {"light_couple": 1}, "months": [6]}
MORRIS = {"spreads": {"battery.capacity_ah": rt.spreads.uniform(100, 160)}, "method": "morris", "samples": 2}
RISK = rt.simulate(VAN, TRIP, trials=20)
BOUGHT = [rt.PricedPart("vent_fan")]

CALLS: dict[str, tuple[Callable[..., object], dict[str, Any], str]] = {  # what else is given, and what is odd in turn
    "simulate": (rt.simulate, FEW, "van trip trials seed threads precision executor progress max_trials keep"),
    "compare": (rt.compare, {"base": VAN, "others": {"a": VAN}, "trips": TRIP}, "base others trips alarm_v prices"),
    "size": (rt.size, FEW | SIZED | {"path": "battery.capacity_ah"}, "path target_risk within step"),
    "iso_risk": (rt.iso_risk, FEW | SIZED | {"panels_w": [200]}, "target_risk roof_m2 payload_kg prices"),
    "sweep": (rt.sweep, FEW | {"axes": {"solar.rated_w": [100]}}, "axes base cells_per_task store"),
    "upgrades": (rt.upgrades, FEW, "candidates pairs prices"),
    "sensitivity": (rt.sensitivity, FEW | MORRIS, "spreads method outcome samples store"),
    "hindcast": (rt.hindcast, FEW | {"record": RECORD}, "label utc_offset_h"),
    "worksheet": (rt.worksheet, FEW, "days array_to_load deepest margin"),
    "lithium_pays": (rt.lithium_pays, FEW, "bundle nights_a_year horizon_years"),
    "cutout_settings": (rt.cutout_settings, FEW | CUTOUTS, "makers_range_v dedicated_house_battery"),
    "quasi_means": (rt.quasi_means, FEW, "replicates"),
    "rare_risk": (rt.rare_risk, FEW | {"trials": 1000}, "trials pilot_trials untilted_share"),
    "van_range": (rt.van_range, {"models": {"a": VAN}, "trip": TRIP} | SOLD, "models trip sites customers sold store"),
    "habits": (rt.habits, {}, "name"),
    "explain": (rt.explain, {}, "path"),
    "save_scenario": (rt.save_scenario, FEW | {"path": "x.toml"}, "path van trip name trials seed overwrite"),
    "climate_at": (rt.climate_at, {"latitude": 36, "longitude": -80}, "latitude longitude altitude_m"),
    "Candidate": (rt.Candidate, {"name": "a", "change": lambda v, t: (v, t)}, "name change parts parts_removed"),
    "PricedPart": (rt.PricedPart, {"item": "a"}, "item amount"),
    "Prices": (rt.Prices, {}, "path seed"),
    "Prices.draw": (rt.Prices().draw, {"name": "vent_fan", "what": "price"}, "name what"),
    "Prices.total": (rt.Prices().total, {"parts": BOUGHT, "what": "price"}, "parts what"),
    "Scenario": (rt.Scenario, {"name": "a", "van": VAN, "trip": TRIP}, "name title van trip trials seed"),
    "Bundle": (rt.Bundle, {"van": VAN, "parts": BOUGHT, "notes": ()}, "van parts"),
    "uniform": (rt.spreads.uniform, {"low": 1, "high": 2}, "low high per"),
    "wilson": (rt.stats.wilson, {"events": 1, "trials": 2}, "events trials confidence"),
    "Site": (rt.Site, {"latitude": 36, "longitude": -80}, "latitude time_zone albedo climate"),
    "Trip": (rt.Trip, {"site": TRIP.site, "start": TRIP.start, "nights": 2}, "site start nights drives horizon_deg"),
    "Van": (rt.Van, {}, "battery batteries arrays loads fridge towed"),
    "AgmBattery": (rt.AgmBattery, {}, "capacity_ah open_circuit_voltage_v location"),
    "quantile": (RISK.quantile, {"column": "min_soc", "share": 0.5}, "column share"),
    "nights_at": (RISK.nights_at, {"level": 0.1}, "level model_error"),
    "below_soc": (RISK.below_soc, {}, "soc"),
    "flag_chance": (RISK.flag_chance, {}, "name"),
    "verdict": (RISK.verdict, {"suggest": False}, "details narrow charge_limit title suggest"),
    "to_dataframe": (RISK.to_dataframe, {}, "units"),
    "replace": (VAN.replace, {}, "battery.capacity_ah fridge loads"),
    "with_measured": (VAN.with_measured, {"values": {"battery.capacity_ah": 90}, "date": "2026-05-01"}, "values date"),
}
NUMBERS = (
    "AgmBattery.capacity_ah Site.latitude Site.albedo Trip.nights replace.battery.capacity_ah climate_at.latitude "
)
NUMBERS += "climate_at.longitude climate_at.altitude_m"
# What these are after all: a number without dimensions, or a pair of bearing and height.
MEANT = {"array of no dimension": NUMBERS.split(), "array": ["Trip.horizon_deg"]}


@pytest.mark.parametrize("odd", ODD)
@pytest.mark.parametrize("name", CALLS)
def test_an_odd_value_is_refused_by_its_name(name: str, odd: str, tmp_path: Any, monkeypatch: Any) -> None:
    monkeypatch.chdir(tmp_path)
    call, given, arguments = CALLS[name]
    for argument in arguments.split():
        if f"{name}.{argument}" in MEANT.get(odd, ()):
            continue
        with pytest.raises(rt.InputError) as refused:
            call(**given | {argument: ODD[odd]})
        assert refused.value.path, f"{name}({argument}={odd})"


STUDIES = [name for name, (call, *_) in CALLS.items() if "progress" in inspect.signature(call).parameters]


@pytest.mark.parametrize("study", STUDIES)
@pytest.mark.parametrize("trials", [0, -1, 10**12, float("nan"), None, "5", 2.5, np.array([5])], ids=repr)
def test_trials_of_no_sense_are_refused_before_any_work(study: str, trials: object) -> None:
    """Of the largest number no study would come to an end: none has begun."""
    begun: list[int] = []
    call, given, _ = CALLS[study]
    with pytest.raises(rt.InputError, match=r"^trials = .*; allowed whole numbers|^trials = .*: allowed whole numbers"):
        call(**given | {"trials": trials}, progress=lambda done, total: begun.append(done))
    assert not begun
