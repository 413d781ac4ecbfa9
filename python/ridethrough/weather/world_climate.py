"""A default climate for any place on land: `climate_at`, and what a site without a climate is simulated with.

Made by `tests/long/default_climate.py`: mean clearness of the reanalysis MERRA-2 on 3 degrees, corrected on open
station files; air temperature normals of CRU TS 4.06 (1991-2020) on 1 degree, brought to the place's altitude.
What it is worth: `python/docs/climate.md`.
"""

from __future__ import annotations

import io
import lzma
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

import ridethrough._core as _core

from ..model.classes import Climate, Site
from ..model.climate_source import DEFAULT_CLIMATE, WIDER
from ..model.coordinates import read_coordinate
from ..model.errors import bad_input, checked_call
from .climate_fit import DARK_DAY_WH_M2
from .world_grid import Blend, CellGrid, distance_km

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

TABLE = "default_climate.npz.xz"
NO_LAND, INLAND, COAST, AMONG_SEA = range(4)
CLEARNESS_STEPS = 300  # of a clearness of 1
COAST_KM = 100
NEAR_LAND_KM = 80  # of the middle of a half degree of land; its corners lie 39 km off
LOWEST_M = -430  # that a climate may have
LAPSE_K_PER_KM = 5.5  # fitted: 4 to 5.5 do equally well on the station files, 6.5 worse
MOST_NORTHERN, NEAREST_SUN_KM, NEAREST_AIR_KM = 73.0, 250.0, 100.0
FAR_KM = 1000  # from the nearest station that the table was fitted to
HIGH_M, OFF_CELL_M, LOW_SUN_READS = 1500, 400, 35.0
# Standard deviations of the default against station files that were left out of its fit; wider ones are judgement.
SUN_SD, AIR_SD_K = 0.12, 1.3
FAR_SUN_SD, FAR_AIR_SD_K = 0.14, 1.5
WIDE_SUN_SD, WIDE_AIR_SD_K = 0.14, 2.0
_ASK = "give the site a Climate with twelve normals of the place, or measured weather"


@dataclass(frozen=True)
class World:
    """What the table holds."""

    sun: CellGrid
    clearness: Array  # (cells, 12)
    air: CellGrid
    air_c: Array  # (cells, 12)
    air_altitude_m: Array
    halves: CellGrid  # of land
    kind: NDArray[np.uint8]
    altitude_m: Array
    fitted: Array  # (stations, 2)


@lru_cache(maxsize=1)
def world() -> World:
    """The table, unpacked at its first use."""
    packed = (Path(__file__).parents[1] / "data" / TABLE).read_bytes()
    with np.load(io.BytesIO(lzma.decompress(packed)), allow_pickle=False) as file:
        held = {name: file[name] for name in file.files}
    row, column = np.nonzero(held["land"])
    sun = CellGrid(-57.0, -180.0, 3.0, held["sun_row"].astype(np.intp), held["sun_column"].astype(np.intp))
    air = CellGrid(-89.5, -179.5, 1.0, held["air_row"].astype(np.intp), held["air_column"].astype(np.intp))
    return World(
        sun,
        held["clearness"].T / CLEARNESS_STEPS,
        air,
        np.cumsum(held["air_tenths_k"].T, axis=1) / 10,
        held["air_altitude_m"].astype(np.float64),
        CellGrid(-89.75, -179.75, 0.5, row, column),
        held["land"][row, column],
        held["land_altitude_28_m"][row, column] * 28.0 - 450,
        held["fitted"].astype(np.float64),
    )


@checked_call
def climate_at(latitude: float | str, longitude: float | str, altitude_m: float | None = None) -> Climate:
    """The default climate of a place, as a `Climate` to look at and to change.

    Parameters
    ----------
    latitude, longitude : float or str
        Of the place [deg], north and east positive; or texts such as ``"44.5 N"`` and ``"110°30' W"``.
    altitude_m : float, optional
        Of the place above the sea [m], which moves the temperature by 5.5 K a kilometre; not given: that of the land
        around, on half degrees. In hills it is the best single thing to know.

    Returns
    -------
    Climate
        What a `Site` there is simulated with that has none.

    Raises
    ------
    InputError
        The place lies in the sea, too far from any value of the table, or north of 73 degrees.

    Notes
    -----
    Its error is part of it, drawn once a trial: `ghi_scale` and `air_temp_offset_k` are spreads. It is for comparing
    vans and seasons and for a first look at a place; not for the accuracy of one site, not to rank places within
    100 km, and it knows nothing of fog, snow or the horizon of a valley. Twelve normals of the place are better.

    Examples
    --------
    >>> climate = rt.climate_at("44.5 N", "110 W", 2400)
    >>> print(f"July: {climate.ghi_kwh_m2_day[6]:.1f} kWh/m2 a day, {climate.air_temp_c[6]:.0f} degC on average")
    July: 7.1 kWh/m2 a day, 16 degC on average
    """
    at = read_coordinate("latitude", latitude), read_coordinate("longitude", longitude)
    if altitude_m is not None:
        altitude_m = Site(latitude=at[0], longitude=at[1], altitude_m=altitude_m).altitude_m  # checks its range
    return _climate_at(*at, altitude_m)


def climate_of_site(site: Site) -> Climate:
    """What a site without a climate is simulated with; errors name the site's fields."""
    return _climate_at(site.latitude, site.longitude, site.altitude_m)


@lru_cache(maxsize=4096)
def _climate_at(latitude: float, longitude: float, altitude_m: float | None) -> Climate:
    table = world()
    sun, air, land = _cells(table, latitude, longitude)
    cell_m = float(air.of(table.air_altitude_m))
    here_m = _land_altitude_m(table, latitude, longitude, land) if altitude_m is None else altitude_m
    warmer_k = LAPSE_K_PER_KM / 1000 * (cell_m - here_m)
    reasons = _reasons(table, sun, land, latitude, cell_m, here_m)
    sun_sd, air_sd_k = _spreads(table, latitude, longitude, bool(reasons))
    h0 = _h0_wh_m2(latitude)
    clearness = np.where(h0 >= DARK_DAY_WH_M2, sun.of(table.clearness), 0)
    return Climate(
        latitude=latitude,
        longitude=longitude,
        altitude_m=max(round(here_m), LOWEST_M),  # means of land around some shores of salt lakes lie below
        ghi_kwh_m2_day=[round(float(x), 3) for x in clearness * h0 / 1000],
        air_temp_c=[round(float(x), 2) for x in air.of(table.air_c) + warmer_k],
        ghi_scale=_core.normal(1, sun_sd),
        air_temp_offset_k=_core.normal(0, air_sd_k),
        source=f"{DEFAULT_CLIMATE} (reanalysis corrected on {len(table.fitted)} station files)"
        + (f"{WIDER}{', '.join(reasons)}" if reasons else ""),
    )


def _cells(table: World, latitude: float, longitude: float) -> tuple[Blend, Blend, Blend]:
    """The cells of sun, air and land around a place; InputError where they are too far."""
    where = f"{latitude:g}, {longitude:g}"
    if latitude > MOST_NORTHERN:
        raise _refused(where, f"lies north of {MOST_NORTHERN:g} deg, where the default climate ends")
    land = table.halves.nearest(latitude, longitude)
    if land.nearest_km > NEAR_LAND_KM:
        mirrored = table.halves.nearest(latitude, -longitude)
        asked = "is the sign of the longitude right? " if mirrored.nearest_km <= NEAR_LAND_KM else ""
        raise _refused(
            where,
            f"lies in the sea, on too small an island or in Antarctica: the nearest land of the default climate is "
            f"{land.nearest_km:,.0f} km away (allowed {NEAR_LAND_KM} km); {asked}north and east are positive",
        )
    found = []
    for grid, what, most in ((table.sun, "sun", NEAREST_SUN_KM), (table.air, "air temperature", NEAREST_AIR_KM)):
        blend = grid.at(latitude, longitude) or grid.nearest(latitude, longitude)
        if blend.nearest_km > most:
            raise _refused(
                where,
                f"is too far from any value: the default climate's nearest cell with {what} is "
                f"{blend.nearest_km:,.0f} km away (allowed {most:g} km)",
            )
        found.append(blend)
    return found[0], found[1], land


def _refused(where: str, why: str) -> _core.InputError:
    return bad_input("Site", reason=f"no default climate for {where}: it {why}", hint=_ASK)


def _land_altitude_m(table: World, latitude: float, longitude: float, land: Blend) -> float:
    return float((table.halves.at(latitude, longitude) or land).of(table.altitude_m))


def _reasons(table: World, sun: Blend, land: Blend, latitude: float, cell_m: float, here_m: float) -> list[str]:
    kind = int(table.kind[land.rows[0]])
    known = (
        (kind == AMONG_SEA, f"mostly sea within {COAST_KM} km"),
        (kind in (COAST, AMONG_SEA) and abs(latitude) < LOW_SUN_READS, f"a coast below {LOW_SUN_READS:g} deg"),
        (sun.corners < 4, "not all cells around have a value"),
        (abs(here_m - cell_m) > OFF_CELL_M, f"{abs(here_m - cell_m):.0f} m off the altitude of its cell"),
        (here_m > HIGH_M, f"over {HIGH_M:,} m"),
    )
    return [why.replace(",", "") for is_so, why in known if is_so]


def _spreads(table: World, latitude: float, longitude: float, wide: bool) -> tuple[float, float]:
    if wide:
        return WIDE_SUN_SD, WIDE_AIR_SD_K
    far = distance_km(latitude, longitude, table.fitted[:, 0], table.fitted[:, 1]).min() > FAR_KM
    return (FAR_SUN_SD, FAR_AIR_SD_K) if far else (SUN_SD, AIR_SD_K)


def _h0_wh_m2(latitude: float) -> Array:
    """Daily irradiation above the atmosphere, mean of each month."""
    h0 = _core.sky_days(_core.day_number(2001, 1, 1), 365, latitude, 0.0, 0.0)["h0_wh_m2"]
    month = np.repeat(np.arange(12), [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    return np.bincount(month, weights=h0) / np.bincount(month)
