"""Vans, trips and places that between them use all that the reference model has before the battery comes in."""

from typing import Any

import numpy as np
import ridethrough as rt
from optional import there
from reference import sun
from ridethrough import _core

GHI = [2.6, 3.4, 4.5, 5.6, 6.1, 6.4, 6.2, 5.6, 4.7, 3.9, 2.8, 2.3]
AIR = [4, 5, 9, 15, 19, 24, 26, 25, 22, 16, 10, 5]
PLACE: dict[str, Any] = {"latitude": 36.1, "longitude": -79.95}
CLIMATE = rt.Climate(**PLACE, ghi_kwh_m2_day=GHI, air_temp_c=AIR, ghi_scale=rt.spreads.uniform(0.9, 1.1))
SITE = rt.Site(**PLACE, climate=CLIMATE)
HILLS = rt.Site(
    latitude=37.0,
    longitude=-81.0,
    albedo=0.5,
    climate=rt.Climate(
        latitude=37.0,
        longitude=-81.0,
        ghi_kwh_m2_day=[0.9 * g for g in GHI],
        air_temp_c=[t - 8 for t in AIR],
        clearness_lag1=rt.spreads.triangular(0.1, 0.3, 0.5),
        air_temp_offset_k=rt.spreads.normal(0, 1.3),
        clearness_temp_corr=[0.1 * m - 0.5 for m in range(12)],
    ),
)
SOUTH = rt.Site(
    latitude=-41.5,
    longitude=-68.5,
    climate=rt.Climate(
        latitude=-41.5,
        longitude=-68.5,
        ghi_kwh_m2_day=np.roll(GHI, 6),
        air_temp_c=AIR[6:] + AIR[:6],
        air_temp_offset_k=rt.spreads.uniform(-3, 1),
    ),
)
NORTH = rt.Site(
    latitude=68.0,
    longitude=26.5,
    climate=rt.Climate(
        latitude=68.0,
        longitude=26.5,
        ghi_kwh_m2_day=[0.0, 0.35, 1.6, 3.5, 4.6, 5.2, 4.8, 3.4, 1.9, 0.7, 0.08, 0.0],
        air_temp_c=[-14, -13, -8, -2, 4, 10, 13, 11, 6, -1, -8, -12],
    ),
)


def trip(start="2026-11-06 15:00", nights=4, site=SITE, **more):
    return rt.Trip(site=site, start=start, nights=nights, **more)


def solar(more=(), **fields):
    return rt.Van(arrays=[rt.SolarArray(**fields), *more])


HORIZON = [(350, 3), (80, 30), (140, 10), (185, 0), (230, 40), (275, 20)]
FOLDING = rt.PortableArray()
TURNED = rt.PortableArray(name="turned", aims_per_day=3, sky_model="perez", tilt_deg=30)
SIDE = rt.SolarArray(name="side", tilt_deg=90, azimuth_deg=100, mounting="air_gap", controller_start_w=10)
FILM = rt.SnowAndFrost(night_below_c=3, clears_above_c=9)
SHADOW = {"shadow_share": rt.spreads.uniform(0, 0.6, per="day"), "sky_model": "hdkr"}
CASES = {
    "default": (rt.Van(), trip()),
    "half steps": (rt.Van(), trip(step_min=30)),
    "south": (rt.Van(), trip(site=SOUTH, start="2027-06-20 09:00")),
    "midnight sun": (rt.Van(), trip(site=NORTH, start="2027-05-24 09:00")),
    "midnight sun, folding": (rt.Van(arrays=[TURNED]), trip(site=NORTH, start="2027-06-04 09:00")),
    "polar night": (rt.Van(), trip(site=NORTH, start="2026-11-29 09:00", nights=6)),
    "isotropic": (solar(tilt_deg=40, azimuth_deg=200), trip(start="2026-02-01 07:00")),
    "hdkr": (solar(tilt_deg=40, sky_model="hdkr"), trip(start="2026-02-01 07:00")),
    "perez": (solar(tilt_deg=40, sky_model="perez"), trip(start="2026-02-01 07:00")),
    "old": (solar(mounting="framed", age_years=rt.spreads.uniform(1, 9), self_consumption_ma=0), trip()),
    "leaking": (solar(dark_shunt_share=rt.spreads.uniform(0, 1), power_loss_per_k=0.006, cell_rise_factor=0.5), trip()),
    "horizon": (solar(sky_model="perez"), trip(horizon_deg=HORIZON)),
    "shade": (rt.Van(), trip(surroundings="park_plot", shade_morning=0.5, shade_midday=rt.spreads.uniform(0, 0.2))),
    "open": (rt.Van(), trip("2027-04-10 15:00", surroundings="open", nights=9)),
    "trees": (rt.Van(), trip("2027-09-20 06:00", surroundings="scattered_trees")),
    "low sun": (solar([FOLDING, TURNED]), trip(site=NORTH, start="2026-10-10 09:00")),
    "forest": (rt.Van(), trip(surroundings="forest", party=rt.Party(carelessness=1.5))),
    "shadow, series": (solar(modules=3, layout="series", **SHADOW), trip()),
    "shadow, parallel": (solar(modules=3, **SHADOW), trip()),
    "shadow, no diode": (solar(substrings=0, **SHADOW), trip()),
    "several": (solar([FOLDING, TURNED, SIDE]), trip(drives=[rt.Drive(days=[3])])),
    "alike": (rt.Van(arrays=[FOLDING, rt.SolarArray(), rt.SolarArray(), FOLDING]), trip()),
    "no roof": (rt.Van(arrays=[FOLDING, SIDE]), trip(day_trips=[rt.DayTrip(days=[3])])),
    "film": (rt.Van(snow_and_frost=FILM), trip("2026-01-06 15:00")),
    "stops": (
        rt.Van(snow_and_frost=FILM),
        rt.Trip(
            start="2026-01-06 15:00",
            stops=[
                rt.Stop(name="town", site=SITE, nights=2),
                rt.Stop(name="hills", site=HILLS, nights=2, shade_beam=0.3),
                rt.Stop(name="again", site=SITE, nights=1, shade_sky=rt.spreads.uniform(0, 0.3)),
            ],
        ),
    ),
}
_ESTIMATED = {
    "source": "an estimate",
    "ghi_scale": rt.spreads.normal(1, 0.12),
    "air_temp_offset_k": rt.spreads.normal(0, 1.3),
}
_STOPS = [
    rt.Stop(name=name, site=s.replace(climate=there(s.climate).replace(clearness_lag1=0.3, **_ESTIMATED)), nights=2)
    for name, s in (("town", SITE), ("hills", HILLS))
]
CASES["stops, one source"] = rt.Van(), rt.Trip(start="2026-01-06 15:00", stops=_STOPS)

PLAIN = ["Lights", "OutsideLight", "GuestEvening", "WaterPump", "Phones", "Tablets", "Laptop", "Television"]
PLAIN += ["InternetTerminal", "Router", "Radio", "BatteryPacks", "Fan", "Heater", "ElectricBlanket", "Standby"]
PLAIN += ["Detectors", "BreathingMachine", "Inverter", "Kettle", "InductionHob", "Microwave", "HairDryer", "EBike"]
PLAIN += ["TyrePump"]
# Rare uses on every day, so that a few trials meet them.
OFTEN = ["OutsideLight", "GuestEvening", "Laptop", "TyrePump", "ElectricBlanket"]
LOADS = [
    *(getattr(rt, kind)(**({"daily_probability": 1} if kind in OFTEN else {})) for kind in PLAIN),
    rt.InverterAppliance(name="toaster", power_w=900, duration_min=4),
    rt.Appliance(
        name="tool",
        current_a=rt.spreads.uniform(1, 9),
        duration_min=rt.spreads.uniform(10, 200),
        uses_per_day=4,
        start_current_a=20,
        start_duration_min=3,
        feed="inverter",
        days="weekends",
        rain_factor=2,
    ),
    rt.Laptop(name="work", days="workdays"),
    rt.GuestEvening(name="party", daily_probability=1, nights="stationary"),
    rt.BreathingMachine(name="second", night_ah=rt.spreads.uniform(5, 20), feed="inverter"),
    rt.WaterPump(name="shower", water_l_per_person_day=rt.spreads.uniform(5, 20)),
]
FULL = rt.Van(loads=LOADS, water=rt.WaterTanks(initial_grey_share=0.3))
PARTIES = {
    "couple": None,
    "family": rt.Party(persons=4, rain_below_clearness=0.5, carelessness=1),
    "nobody": rt.Party(persons=0),
    "one": rt.Party(persons=1, rain_below_clearness=rt.spreads.uniform(0.2, 0.6)),
}
for _name, _party in PARTIES.items():
    for _season in ("2026-07-03 15:00", "2026-12-03 15:00"):
        _when = "summer" if "-07-" in _season else "winter"
        CASES[f"all loads, {_name}, {_when}"] = FULL, trip(_season, 3, party=_party, water_days=[3], step_min=60)
CASES["all loads, midnight sun"] = FULL, trip("2027-06-04 09:00", 3, site=NORTH, party=PARTIES["family"])
CASES["all loads, quarter hours"] = FULL, trip("2026-07-03 15:00", 3, party=PARTIES["family"], step_min=15)

HELD: dict[str, Any] = {"evening_from_h": 16.5, "set_point_c": rt.spreads.triangular(12, 19, 24)}
_heater: rt.Heater | rt.GasFurnace
for _name, _heater in {  # type: ignore[assignment]
    "heater": rt.Heater(**HELD, morning_until_h=11),
    "furnace": rt.GasFurnace(**HELD, all_night=False),
}.items():
    _van = rt.Van(loads=[rt.Fan(starts_above_c=5), rt.GuestEvening(daily_probability=1, nights="stationary"), _heater])
    CASES[f"cabin held by a {_name}"] = (
        _van,
        trip("2026-12-03 15:00", 4, party=PARTIES["family"], drives=[rt.Drive(days=[2])]),
    )

STORED = {
    "storage": rt.Storage(weeks=rt.spreads.uniform(1, 9), sun_share=0.02),
    "storage, under roof": rt.Storage(weeks=rt.spreads.uniform(1, 9), solar="under_roof"),
    "storage, on": rt.Storage(weeks=3, isolator="on", self_discharge_per_month=0, sun_share=0.02),
}
for _name, _storage in STORED.items():
    CASES[_name] = rt.Van(), trip(storage=_storage, party=rt.Party(carelessness=0.7))
CASES["storage, lithium"] = rt.Van(battery=rt.LithiumBattery()), trip(storage=rt.Storage(weeks=8, solar="disconnected"))

# A trip's first hour: charge controllers that look at the battery's voltage.
EMPTY = rt.AgmBattery(capacity_ah=2000, initial_soc=0.3)
CLAMPED: dict[str, Any] = {"charge_controller": "pwm", "self_consumption_ma": 20, "shadow_share": 0.3}
FIRST_HOURS = {
    "clamped": [rt.SolarArray(**CLAMPED)],
    "clamped, 32 cells": [
        rt.SolarArray(**CLAMPED, module_vmp_v=16, mounting="framed", controller_drop_v=0.8, tilt_deg=50)
    ],
    "two clamped": [rt.SolarArray(**CLAMPED, name="a"), rt.SolarArray(charge_controller="pwm", name="b", tilt_deg=30)],
    "starts": [rt.SolarArray(self_consumption_ma=15)],
    "starts low": [rt.SolarArray(controller_starts_above_battery_v=rt.spreads.uniform(0.5, 2), module_vmp_v=14.5)],
    "starts in a row": [
        rt.SolarArray(controller_starts_above_battery_v=10, modules=2, layout="series", module_vmp_v=12)
    ],
}


def first_hour(case, hour, month):
    van = rt.Van(battery=EMPTY, arrays=FIRST_HOURS[case], loads=[])
    return van, trip(f"2027-{month:02d}-07 {hour:02d}:00", nights=1)


def record(hours=3 * 8766, first_hour=24 * 13000 + 5, utc_offset_h=-6.0, wraps=False, diffuse=True):
    """Made-up measured hours with an instrument's noise, and what went into them."""
    chance = np.random.default_rng(2)
    days = first_hour // 24 + np.arange(hours // 24 + 2)
    sky = sun.sky(days, PLACE["latitude"], PLACE["longitude"], utc_offset_h)
    i0 = sky.i0.ravel()[first_hour % 24 :][:hours]
    ghi = i0 * chance.uniform(0.02, 0.9, hours)
    ghi[chance.integers(0, hours, 50)] += 30
    ghi[chance.integers(0, hours, 50)] -= 15
    ghi = np.maximum(ghi, -15)
    dhi = np.maximum(ghi * chance.uniform(0, 1, hours), -20)
    made = _core.HourlySeries(
        **PLACE,
        utc_offset_h=utc_offset_h,
        first_hour=first_hour,
        ghi_w_m2=ghi,
        dhi_w_m2=dhi if diffuse else None,
        air_temp_c=10 + 5 * chance.standard_normal(hours),
        wraps=wraps,
    )
    return made, ghi, dhi if diffuse else None, i0
