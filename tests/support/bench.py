"""Vans and places with nothing left to chance, for checks whose answer is known exactly."""

from __future__ import annotations

from typing import Any

import numpy as np
import ridethrough as rt
import ridethrough._checks as _checks
from ridethrough import _core

PLACE = {"latitude": 0.0, "longitude": 0.0}
START = "2026-03-01 17:00"


def climate(air_c: float | np.ndarray = 5.0, ghi_w_m2: Any = 0.0, **record: Any) -> rt.Climate:
    """A record of hours as given (a number: every hour of the same typical year) with normals that don't matter."""
    size = len(ghi_w_m2) if np.ndim(ghi_w_m2) else 8760
    ghi = np.broadcast_to(np.asarray(ghi_w_m2, float), size)
    given = {
        **PLACE,
        "utc_offset_h": 0.0,
        "first_hour": _core.day_number(2001, 1, 1) * 24,
        "ghi_w_m2": ghi,
        "dhi_w_m2": ghi,  # diffuse all of it: a flat plane receives it whole, whatever the hour
        "air_temp_c": np.broadcast_to(np.asarray(air_c, float), size),
        "wraps": size == 8760,
        **record,
    }
    return rt.Climate(
        latitude=given["latitude"],
        longitude=given["longitude"],
        ghi_kwh_m2_day=0.3 * _checks.monthly_h0_wh_m2(given["latitude"]) / 1000,
        air_temp_c=[5.0] * 12,
        weather_series=_core.HourlySeries(**given),
    )


def trip(weather: Any, nights: int, **more: Any) -> rt.Trip:
    """At the clock of its record."""
    place: dict[str, Any] = {"latitude": weather.latitude, "longitude": weather.longitude}
    site = rt.Site(**place, climate=weather, utc_offset_h=weather.weather_series.utc_offset_h)
    fixed = dict(start=START, weather="replayed", habits_scale=1.0, shade_beam=0.0, shade_sky=0.0)
    return rt.Trip(site=site, nights=nights, **{**fixed, **more})


# Never runs where it is below 11 degC.
RESTING = rt.Fridge(
    set_point_c=12, heat_leak_factor=1.0, vent_rise_k=0.0, door_openings_per_day=0.0, cutout_v=8.5, restart_v=9.0
)


def van(battery: Any, **parts: Any) -> rt.Van:
    """No charger, no sun and no frost on a panel, a fridge at rest, cables without spread."""
    bare: dict[str, Any] = dict(
        solar=None,
        snow_and_frost=None,
        dc_dc=None,
        fridge=RESTING,
        loads=[],
        wiring=rt.Wiring(shared_mohm=20.0, fridge_branch_mohm=40.0),
        cabin_sun_rise_k_per_w_m2=0.0,
        cabin_person_heat_w=0.0,
    )
    return rt.Van(battery=battery, **{**bare, **parts})


# Of an array with a fixed yield: middling cells, the mounting's own rise, a controller that takes nothing.
FIXED_CELLS: dict[str, Any] = dict(
    power_loss_per_k=0.0038, cell_rise_factor=1.0, dark_shunt_share=0.25, self_consumption_ma=0.0
)

WELLS = {False: (0.325, 1.92), True: (0.9, 2.0)}  # by lithium: share of the available well; rate, per hour


def wells_ah(capacity_ah: float, *, lithium: bool) -> float:
    """Both wells of a battery of that 20-hour capacity: Manwell & McGowan 1993, their constant-current capacity."""
    (c, k), hours = WELLS[lithium], 20.0
    e = np.exp(-k * hours)
    return float(capacity_ah * (1 - e + c * (k * hours - 1 + e)) / (hours * k * c))


# Without what a lithium battery has beside wells, table and resistance.
PLAIN_LITHIUM: dict[str, Any] = dict(
    polarisation_v=0.0,
    charge_polarisation_v=0.0,
    cell_imbalance=0.0,
    capacity_factor_minus_20c=1.0,
    resistance_doubling_k=1e6,
)


def box_of_charge(wells: float, start_ah: float) -> rt.LithiumBattery:
    """A lithium battery that is nothing but ampere-hours: one voltage from full to empty, no loss, no cold."""
    nodes = [0, 1e-6, 2e-6, 3e-6, 4e-6, 5e-6, 6e-6, 7e-6, 8e-6, 1]
    volts = [8.0, 12.9, 12.91, 12.92, 12.93, 12.94, 12.95, 12.96, 12.97, 13.0]
    return rt.LithiumBattery(
        capacity_ah=wells / wells_ah(1, lithium=True),
        state_of_health=1.0,
        initial_soc=start_ah / wells,
        resistance_mohm_100ah=0.5,
        open_circuit_soc=nodes,
        open_circuit_voltage_v=volts,
        open_circuit_voltage_offset_v=0.0,
        capacity_factor_0c=1.0,
        charge_c_rate=3.0,
        coulombic_efficiency=1.0,
        charge_block_c=-20.0,
        charge_full_c=-15.0,
        **PLAIN_LITHIUM,
    )
