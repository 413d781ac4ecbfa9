"""The open grids behind the default climate, as public packages carry them: clearness, air temperature, altitude."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import h5py
import numpy as np
import pandas as pd
import pvlib
from climate_stations import monthly_h0_wh_m2
from open_data import HELD
from ridethrough.weather.world_grid import CellGrid

SUN = HELD / "gsee_climate_data/data/merra2_rad3x3_2011-2015_pdfs_land_prox.npz"
AIR = HELD / "supy/ext_data/CRU_TS4.06_1991_2020.parquet"
ALTITUDE = Path(pvlib.__file__).parent / "data/Altitude.h5"
LEAST_H0_WH_M2 = 500.0


@dataclass(frozen=True)
class Sun:
    grid: CellGrid
    clearness: np.ndarray  # (cells, 12), of the reanalysis
    filled: int  # cells with a month that was missing


@dataclass(frozen=True)
class Air:
    grid: CellGrid
    air_c: np.ndarray  # (cells, 12), at the cell's altitude
    altitude_m: np.ndarray


def sun() -> Sun:
    """Mean clearness of MERRA-2 2011-2015 on 3 degrees, from the monthly distributions of daily irradiance."""
    with np.load(SUN) as held:
        value, weight = np.maximum(held["xk"].astype(float), 0), held["pk"].astype(float)
        latitude, longitude = held["lat"], held["lon"]
    weight = np.where(np.isfinite(value) & np.isfinite(weight), np.maximum(weight, 0), 0)
    total = weight.sum(-1)
    mean = (np.nan_to_num(value) * weight).sum(-1) / np.where(total > 0, total, np.nan)  # W/m2, NaN where none
    h0 = np.array([monthly_h0_wh_m2(float(x)) for x in latitude])[:, None, :]
    k = np.where(h0 > LEAST_H0_WH_M2, 24 * mean / np.maximum(h0, 1), np.nan)
    row, column = np.nonzero(np.isfinite(k).sum(-1) >= 6)
    k = k[row, column]
    filled = int(np.isnan(k).any(1).sum())
    return Sun(CellGrid(float(latitude[0]), float(longitude[0]), 3.0, row, column), _around_the_year(k), filled)


def _around_the_year(k: np.ndarray) -> np.ndarray:
    """Fill missing months, in which there is next to no sun, on a line between their neighbours."""
    month = np.arange(12.0)
    out = k.copy()
    for i in np.flatnonzero(np.isnan(k).any(1)):
        there = np.isfinite(k[i])
        out[i, ~there] = np.interp(month[~there], month[there], k[i, there], period=12)
    return out


def altitude_m() -> np.ndarray:
    """(2160, 4320) from the north-west, steps of 1/12 degree and 28 m; NaN where there is none."""
    with h5py.File(ALTITUDE) as file:
        raw = np.asarray(file["Altitude"])
    return np.where(raw == 255, np.nan, raw * 28.0 - 450)


def halves() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Air temperature normals of CRU TS 4.06, 1991-2020; mean altitude and share of the land: (360, 720[, 12])."""
    table = pd.read_parquet(AIR)
    row = np.rint((table.Latitude.to_numpy() + 89.75) * 2).astype(int)
    column = np.rint((table.Longitude.to_numpy() + 179.75) * 2).astype(int)
    air = np.full((360, 720, 12), np.nan)
    air[row, column, table.Month.to_numpy() - 1] = table.NormalTemperature.to_numpy()
    fine = altitude_m()[::-1]  # from the south
    fine = np.where(fine > -100, fine, np.nan).reshape(360, 6, 720, 6)
    count = np.isfinite(fine).sum((1, 3))
    altitude = np.nansum(fine, axis=(1, 3)) / np.where(count > 0, count, np.nan)
    return air, altitude, count / 36


def air(step_deg: int = 1) -> Air:
    """Temperature on cells of whole degrees, with the mean altitude of the same land."""
    fine, altitude, _ = halves()
    n = 2 * step_deg
    there = np.isfinite(fine).all(-1) & np.isfinite(altitude)
    shape = (360 // n, n, 720 // n, n)
    count = there.reshape(shape).sum((1, 3))
    mean_air = np.where(there[..., None], fine, 0).reshape(*shape, 12).sum((1, 3)) / np.maximum(count, 1)[..., None]
    mean_altitude = np.where(there, altitude, 0).reshape(shape).sum((1, 3)) / np.maximum(count, 1)
    row, column = np.nonzero(count)
    grid = CellGrid(-90 + step_deg / 2, -180 + step_deg / 2, float(step_deg), row, column)
    return Air(grid, mean_air[row, column], mean_altitude[row, column])
