"""What the Numba loop of the plain van is given: tables of the trip, what each trial draws once, and its chance."""

from __future__ import annotations

from collections import namedtuple
from typing import Any

import numpy as np
from reference.array import LEAKS, RISE
from reference.battery import CELL_SIZE, FAHRENHEIT, battery_of
from reference.charge import stages_of
from reference.draws import by_day, normal_of, uniform_of
from reference.fridge import Fridge
from reference.marginal import SCORES
from reference.places import Calendar, PlaceDraws
from reference.plane import plane_hours
from reference.sun import DARK_DAY_WH, clear_limit
from reference.weather import air_shape

Tables = namedtuple(  # the same for every trial, (days, 24) or (days,)
    "Tables",
    "i0 limit profile low_sun received sky ground air_shape dark clearness air_c air_sd correlation air_lag1 "
    "loaded_v celsius cold_loss",
)
Rules = namedtuple(
    "Rules",
    "start hours wake_h bedtime_h low high loss_per_k absorption_v float_v limit_h tail brownout_v reconnect_v "
    "delay_h wait_h cell_rise drop_v out_from_h out_to_h out_share open_c wide_c open_at_night",
)
Own = namedtuple(  # of each trial
    "Own",
    "lag1 scale sun_rise people_k lag_h windows shade_beam shade_sky rated soiling rise_factor cell_loss_per_k "
    "dark_share share full_ah capacity_ah ohm offset factor_0c polarisation acceptance exponent halving_k cabin_share "
    "half_step charge ua wh_per_k compressor_w carnot vent_rise start_h door_wh cutout_v restart_v inside openings "
    "shared_ohm branch_ohm load_a",
)
Chance = namedtuple("Chance", "clear warm cloud doors")  # normals, and the uniforms of the doors


def tables_of(van: Any, trip: Any) -> tuple[Tables, Rules]:
    calendar = Calendar(trip)
    sky, site = calendar.sky(), trip.site
    climate = PlaceDraws(trip, calendar, _NoDraws()).climate_days()
    tilt, facing = van.solar.tilt_deg, 180 if van.solar.azimuth_deg is None else van.solar.azimuth_deg
    plane = plane_hours(sky, tilt, facing, site.albedo, trip.horizon_deg)
    dark = sky.i0.sum(-1) < DARK_DAY_WH
    clock = np.arange(24) + sky.solar_minus_clock[:, None]
    volts = np.array(van.battery.open_circuit_voltage_v)
    volts[0] -= van.battery.end_of_discharge_drop_v
    celsius = (FAHRENHEIT - 32) / 1.8
    lost = (1 - 1 / CELL_SIZE) / (1 - np.interp(0.0, celsius, 1 / CELL_SIZE))
    tables = Tables(
        np.where(dark[:, None], 0, sky.i0),
        clear_limit(clock + 1),
        sky.profile,
        1 - sky.sin_altitude,
        plane.received / plane.cos_zenith,
        plane.sky,
        plane.ground,
        air_shape(clock + 0.5),
        dark,
        climate.table,
        climate.air_c,
        climate.air_sd_c,
        climate.correlation,
        climate.air_lag1,
        np.array([volts[0] - 10, *volts]),
        np.array([*celsius, 60]),
        np.array([*lost, 0]),
    )
    fridge, battery, s = van.fridge, van.battery, stages_of(van.solar, False)
    rules = Rules(
        calendar.start_h,
        calendar.hours,
        trip.wake_h,
        trip.bedtime_h,
        fridge.set_point_c - fridge.hysteresis_k,
        fridge.set_point_c + fridge.hysteresis_k,
        fridge.carnot_share_loss_per_k,
        s.absorption_v,
        s.float_v,
        s.limit_h,
        s.tail_c_rate,
        battery.brownout_v,
        battery.brownout_restart_v,
        fridge.cutout_delay_s / 3600,
        fridge.restart_wait_s / 3600,
        RISE[van.solar.mounting],
        battery.end_of_discharge_drop_v,
        trip.out_from_h,
        trip.out_to_h,
        trip.out_share,
        van.windows_open_above_c,
        van.windows_wide_above_c,
        van.windows_open_at_night,
    )
    return tables, rules


class _NoDraws:
    """The tables hang on no draw."""

    def quantity(self, *_: Any) -> np.ndarray:
        return np.zeros(1)


def own_of(van: Any, trip: Any, draws: Any) -> Own:
    """What each trial draws once."""
    q, days = draws.quantity, draws.days
    battery, fridge, solar = battery_of(van, draws), Fridge(van.fridge, draws), van.solar
    climate, n = trip.site.climate, len(draws)
    share = (1 - q(solar, "system_loss", "solar.")) * q(solar, "controller_efficiency", "solar.")
    cabin_share = q(van.battery, "cabin_share", "battery.", float(van.battery.location == "living_space"))
    low, high = fridge.own_band()
    values = (
        q(climate, "clearness_lag1", "climate."),
        q(climate, "ghi_scale", "climate."),
        q(van, "cabin_sun_rise_k_per_w_m2", ""),
        2 * q(van, "cabin_person_heat_w", "") / q(van, "cabin_heat_loss_w_per_k", ""),
        q(van, "cabin_lag_h", ""),
        q(van, "window_ventilation", ""),
        by_day(q(trip, "shade_beam", "trip."), days),
        by_day(q(trip, "shade_sky", "trip."), days),
        q(solar, "rated_w", "solar."),
        q(solar, "soiling_loss", "solar."),
        q(solar, "cell_rise_factor", "solar."),
        q(solar, "power_loss_per_k", "solar."),
        draws.of_shape("triangular", LEAKS[solar.mounting == "glued"], "solar.dark_shunt_share"),
        share,
        battery.full_ah,
        battery.capacity_ah,
        battery.ohm,
        battery.offset_v,
        battery.factor_0c,
        battery.share,
        battery.acceptance,
        battery.exponent,
        battery.halving_k,
        cabin_share,
        -np.expm1(-0.5 / q(van.battery, "thermal_lag_h", "battery.")),
        q(van.battery, "initial_soc", "battery."),
        fridge.ua,
        fridge.wh_per_k,
        fridge.compressor_w,
        fridge.carnot_share,
        fridge.vent_rise,
        fridge.start_loss_h,
        np.full(n, fridge.door_wh_per_k / (trip.bedtime_h - trip.wake_h)),
        fridge.cutout_v,
        fridge.restart_v,
        low + fridge.daily_draws[:, 0, 1] * (high - low),
        by_day(q(van.fridge, "door_openings_per_day", "fridge."), days),
        q(van.wiring, "shared_mohm", "wiring.") / 1000,
        q(van.wiring, "fridge_branch_mohm", "wiring.") / 1000,
        sum(q(load, "current_a", f"loads.{load.name}.") for load in van.loads),
    )
    return Own(*(np.ascontiguousarray(v) for v in values))


def chance_of(draws: Any) -> Chance:
    """The reference model's draws, to be checked on; (trials, days[, 24])."""
    normals = [normal_of(draws.daily_draws("weather." + name, 1)[..., 0]) for name in ("clearness", "temperature")]
    cloud = normal_of(draws.daily_draws("weather.cloud", 24)[:, :-1])
    return Chance(*normals, cloud, uniform_of(draws.daily_draws("load.fridge", 2)[:, :-1, 0]))


NO_CHANCE = Chance(np.empty((0, 0)), np.empty((0, 0)), np.empty((0, 0, 0)), np.empty((0, 0)))
assert len(SCORES) == 1001 and SCORES[0] == -6.25  # as the loop reads the table of clearness
