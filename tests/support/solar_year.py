"""A year of sky as pvlib has it, and what an array gives under it: by pvlib in steps of five minutes, and by a van that
is given the same sky as hourly means."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import bench
import numpy as np
import pandas as pd
import pvlib
import ridethrough as rt

LATITUDES = (-38.5, 0.0, 25.8, 40.0, 51.0, 62.0)
STEPS = 12  # an hour
# tilt, azimuth with the Sun in the south at noon (mirrored south of the equator), sky model, mounting
PLANES: dict[str, tuple[float, float, Any, Any]] = {
    "flat, glued": (0.0, 180.0, "isotropic", "glued"),
    "30 deg to the equator, isotropic": (30.0, 180.0, "isotropic", "framed"),
    "60 deg to the equator, Perez": (60.0, 180.0, "perez", "framed"),
    "45 deg to the west, HDKR": (45.0, 270.0, "hdkr", "framed"),
}
# Reference module of the array, five parameters after De Soto et al. 2006, and its share of power lost with a kelvin.
MODULE = {
    "alpha_sc": 0.003,
    "a_ref": 0.971179,
    "I_L_ref": 6.007428,
    "I_o_ref": 1.043487e-9,
    "R_sh_ref": 137.4174,
    "R_s": 0.170117,
}
LOSS_PER_K = 0.004903672902
ROSS = {"glued": 0.0563, "framed": 0.0208}  # K per W/m2: Skoplaki & Palyvos 2009
RATED_W, ALBEDO = 100.0, 0.2


@dataclass
class Sky:
    """Steps of five minutes over 365 days at longitude 0, UTC."""

    latitude: float
    zenith: np.ndarray
    azimuth: np.ndarray
    extra: np.ndarray
    ghi: np.ndarray
    dhi: np.ndarray
    dni: np.ndarray
    air_c: np.ndarray


def by_hour(values: Any) -> np.ndarray:
    """Means of each hour."""
    return np.asarray(np.asarray(values).reshape(8760, STEPS).mean(axis=1))


def sky(latitude: float) -> Sky:
    """Clear sky (Ineichen 2008) times clouds that change by the hour, split after Erbs et al. 1982; by pvlib."""
    index = pd.date_range("2001-01-01 00:02:30", periods=8760 * STEPS, freq="5min", tz="UTC")
    sun = pvlib.solarposition.spa_python(index, latitude, 0.0)
    zenith = sun["zenith"].to_numpy()  # true, without refraction
    extra = pvlib.irradiance.get_extra_radiation(index, solar_constant=1361, method="nrel").to_numpy()
    clear = pvlib.clearsky.simplified_solis(90 - zenith, dni_extra=extra)["ghi"]
    rng = np.random.default_rng([1, int(latitude * 10) + 900])
    days = rng.beta(1.6, 0.9, 365).repeat(24)  # many clear ones, some dark
    clouds = np.clip(days + 0.15 * rng.normal(size=8760), 0.08, 1.0).repeat(STEPS)
    ghi = np.where(zenith < 90, np.nan_to_num(clear) * clouds, 0)
    split = pvlib.irradiance.erbs(ghi, zenith, index.day_of_year, min_cos_zenith=0.01, max_zenith=89.5)
    dni = np.nan_to_num(np.asarray(split["dni"]))
    dhi = ghi - dni * np.cos(np.radians(zenith))
    hours = np.arange(8760) + 0.5
    season = np.sign(latitude) * abs(latitude) * 0.25 * np.cos(2 * np.pi * hours / 8760)
    air = 26 - 0.35 * abs(latitude) - season - 4 * np.cos(2 * np.pi * (hours - 3) / 24)
    return Sky(latitude, zenith, sun["azimuth"].to_numpy(), extra, ghi, dhi, dni, air.repeat(STEPS))


def facing(latitude: float, azimuth: float) -> float:
    """The same plane in the south."""
    return azimuth if latitude >= 0 else (180 - azimuth) % 360


def by_pvlib(s: Sky, plane: str) -> np.ndarray:
    """Hourly watts: beam, sky and ground on the plane, incidence losses, Ross's cell temperature, single diode."""
    tilt, azimuth, model, mounting = PLANES[plane]
    azimuth = facing(s.latitude, azimuth)
    aoi = pvlib.irradiance.aoi(tilt, azimuth, s.zenith, s.azimuth)
    modifier = np.nan_to_num(pvlib.iam.ashrae(aoi, b=0.05))
    dome = pvlib.iam.marion_diffuse("ashrae", tilt)  # integrated over the dome
    if model == "perez":
        mass = pvlib.atmosphere.get_relative_airmass(np.minimum(s.zenith, 89.9))
        diffuse = pvlib.irradiance.perez(
            tilt, azimuth, s.dhi, s.dni, s.extra, s.zenith, s.azimuth, mass, return_components=True
        )
    elif model == "hdkr":
        diffuse = pvlib.irradiance.reindl(
            tilt, azimuth, s.dhi, s.dni, s.ghi, s.extra, s.zenith, s.azimuth, return_components=True
        )
    else:
        sky = pvlib.irradiance.isotropic(tilt, s.dhi)
        diffuse = {"poa_sky_diffuse": sky, "poa_circumsolar": 0 * sky}
    about_sun = np.nan_to_num(np.asarray(diffuse["poa_circumsolar"]))
    rest = np.nan_to_num(np.asarray(diffuse["poa_sky_diffuse"])) - about_sun
    ground = pvlib.irradiance.get_ground_diffuse(tilt, s.ghi, ALBEDO) * (dome["ground"] if tilt > 0 else 0)
    beam = s.dni * np.maximum(np.cos(np.radians(aoi)), 0)
    light = np.maximum((beam + about_sun) * modifier + rest * dome["sky"], 0) + ground
    cell = pvlib.temperature.ross(light, s.air_c, k=ROSS[mounting])
    return by_hour(most_w(light, cell) * RATED_W / most_w(1000.0, 25.0))


def most_w(light: Any, cell_c: Any) -> np.ndarray:
    """Of the module at its maximum-power point; nothing in the dark."""
    light = np.asarray(light)
    five = pvlib.pvsystem.calcparams_desoto(np.maximum(light, 0.1), cell_c, **MODULE)
    return np.where(light > 0.1, pvlib.pvsystem.max_power_point(*five, method="newton")["p_mp"], 0)


def by_the_van(s: Sky, plane: str) -> np.ndarray:
    """Hourly watts that a van's charge controller could give on the same hours."""
    tilt, azimuth, model, mounting = PLANES[plane]
    weather = bench.climate(
        by_hour(s.air_c), by_hour(s.ghi), dhi_w_m2=by_hour(s.dhi), latitude=s.latitude, longitude=0.0
    )
    array = rt.SolarArray(
        rated_w=RATED_W,
        tilt_deg=tilt,
        azimuth_deg=facing(s.latitude, azimuth),
        sky_model=model,
        mounting=mounting,
        soiling_loss=0.0,
        system_loss=0.0,
        controller_efficiency=1.0,
        controller_starts_above_battery_v=0.0,
        **{**bench.FIXED_CELLS, "power_loss_per_k": LOSS_PER_K, "dark_shunt_share": 0.0},
    )
    van = bench.van(bench.box_of_charge(2000, 1000), solar=array, loads=[rt.Standby(current_a=1.0)])
    trip = bench.trip(weather, 365, start="2001-01-01 00:00", replay_window_d=0)
    paths = rt.simulate(van, trip, trials=1, time_series=["solar_w", "curtailed_w"]).time_series_values
    return np.asarray(paths["solar_w"][0] + paths["curtailed_w"][0])
