"""Random valid vans, trips and climates: every kind of battery, charger, array and habit that a van may have."""

from __future__ import annotations

from typing import Any, cast

import numpy as np
import ridethrough as rt
import ridethrough._checks as _checks

LOADS = [
    rt.Lights,
    rt.WaterPump,
    rt.Phones,
    rt.Laptop,
    rt.Inverter,
    rt.Television,
    rt.Router,
    rt.BreathingMachine,
    rt.Detectors,
    rt.OutsideLight,
    rt.Radio,
    rt.Tablets,
    rt.Kettle,
]
SURROUNDINGS = ["open", "park_plot", "scattered_trees", "forest"]


def random_climate(rng: np.random.Generator) -> rt.Climate:
    """Anywhere from 55 S to 60 N, with clearness and temperature as some place there may have them."""
    latitude = float(rng.uniform(-55, 60))
    clearness = rng.uniform(0.3, 0.65) + 0.08 * np.sin(np.arange(12) / 12 * 2 * np.pi + rng.uniform(0, 6.28))
    ghi = np.clip(clearness, 0.2, 0.7) * _checks.monthly_h0_wh_m2(latitude) / 1000
    warm = 27 - 0.35 * abs(latitude) + rng.normal(0, 2)
    swing = 0.28 * abs(latitude) * np.sign(latitude or 1)
    return rt.Climate(
        latitude=latitude,
        longitude=float(rng.uniform(-180, 180)),
        ghi_kwh_m2_day=np.round(np.maximum(ghi, 0), 3),
        air_temp_c=np.round(warm - swing * np.cos((np.arange(12) - 0.5) / 12 * 2 * np.pi), 1),
        clearness_lag1=float(rng.uniform(0.1, 0.5)),
    )


def random_comfort(rng: np.random.Generator) -> list[Any]:
    """A fan, a heater, both or none."""
    loads: list[Any] = []
    if rng.random() < 0.5:
        fitted, starts_c = float(rng.choice([0.6, 1.0])), float(rng.uniform(22, 34))
        loads.append(rt.Fan(fitted_probability=fitted, starts_above_c=starts_c, full_above_c=starts_c + 7))
    if rng.random() < 0.5:
        evening, morning = float(rng.integers(15, 21)), float(rng.integers(7, 12))
        kind = rt.Heater if rng.random() < 0.8 else rt.GasFurnace
        hours: dict[str, Any] = dict(
            evening_from_h=evening, morning_until_h=morning, all_night=bool(rng.random() < 0.6)
        )
        loads.append(kind(**hours, switch_on_below_c=float(rng.uniform(10, 18)), power_w=float(rng.uniform(800, 3000))))
    return loads


def random_van(rng: np.random.Generator) -> rt.Van:
    """A van whose battery lasts some days: neither a torch nor a power station."""
    lithium, age = bool(rng.random() < 0.5), float(rng.integers(0, 7))
    location: Any = str(rng.choice(["living_space", "locker"]))
    kind = rt.LithiumBattery if lithium else rt.AgmBattery
    battery = kind(capacity_ah=float(rng.uniform(60, 250)), age_years=age, location=location)
    panel: dict[str, Any] = dict(
        rated_w=float(rng.uniform(60, 400)),
        tilt_deg=float(rng.choice([0, 0, 0, 20, 45])),
        mounting=str(rng.choice(["glued", "air_gap", "framed"])),
        charge_controller=str(rng.choice(["mppt", "mppt", "pwm"])),
        sky_model=str(rng.choice(["isotropic", "hdkr", "perez"])),
    )
    solar = rt.SolarArray(**panel)
    fridge: dict[str, Any] = dict(volume_l=float(rng.uniform(30, 130)), form=str(rng.choice(["chest", "upright"])))
    if rng.random() < 0.4:
        low = 9.3 + 2.6 * float(rng.integers(0, 1000)) / 1000
        fridge.update(cutout_v=low, restart_v=low + 0.95)
    chosen = rng.choice(len(LOADS), size=int(rng.integers(2, 7)), replace=False)
    return rt.Van(
        battery=battery,
        arrays=[*([] if rng.random() < 0.1 else [solar]), *([rt.PortableArray()] if rng.random() < 0.2 else [])],
        dc_dc=None if rng.random() < 0.3 else rt.AlternatorCable() if rng.random() < 0.2 else rt.DcDcCharger(),
        mains=rt.MainsCharger() if rng.random() < 0.5 else None,
        fridge=rt.Fridge(**fridge),
        disconnect=rt.SystemDisconnect() if rng.random() < 0.2 else None,
        snow_and_frost=rt.SnowAndFrost() if rng.random() < 0.2 else None,
        loads=[rt.Standby(), *(LOADS[i]() for i in sorted(chosen)), *random_comfort(rng)],
    )


def random_trip(rng: np.random.Generator, climate: Any, van: rt.Van, step_min: int) -> rt.Trip:
    """Two to eight nights anywhere in the year; only what the van can use."""
    nights = int(rng.integers(2, 9))
    day = np.datetime64("2026-01-01") + int(rng.integers(0, 365))
    days = range(2, nights + 1)
    return rt.Trip(
        site=rt.Site(
            latitude=climate.latitude,
            longitude=climate.longitude,
            climate=climate,
            utc_offset_h=float(np.round(climate.longitude / 15)),  # no zone: the place may lie at sea or by a border
        ),
        start=f"{day} {int(rng.integers(8, 20)):02d}:00",
        nights=nights,
        step_min=step_min,
        surroundings=cast(Any, str(rng.choice(SURROUNDINGS))),
        drives=[rt.Drive(days=d) for d in days if rng.random() < 0.25 and van.dc_dc is not None],
        shore_power=[rt.ShorePower(nights=d) for d in days if rng.random() < 0.15 and van.mains is not None],
        warm_food_days=[d for d in days if rng.random() < 0.2],
        party=rt.Party() if rng.random() < 0.5 else None,
    )


def random_case(seed: int, step_min: int = 60) -> tuple[rt.Van, rt.Trip]:
    """Van and trip number `seed`."""
    rng = np.random.default_rng([20261125, seed])
    climate = random_climate(rng)
    van = random_van(rng)
    return van, random_trip(rng, climate, van, step_min)
