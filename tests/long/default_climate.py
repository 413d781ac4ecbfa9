"""Makes the worldwide default climate: the reanalysis corrected by open station files, temperature normals, altitude.

    python tests/long/open_data.py && python tests/long/default_climate.py [FILE]

FILE: where the table goes, the package's own by default. The same carriers give the same values.
"""

from __future__ import annotations

import io
import lzma
import sys
from pathlib import Path

import numpy as np
import world_grids
from clearness_correction import fit
from climate_stations import all_files
from ridethrough.weather.world_climate import (
    AMONG_SEA,
    CLEARNESS_STEPS,
    COAST,
    COAST_KM,
    INLAND,
    NO_LAND,
    TABLE,
)
from ridethrough.weather.world_grid import distance_km

MOST_SEA = 0.45  # own choice: with less land than this around, cells that are mostly inland say little
STEP_M = 28.0  # of the altitude grid


def land_of(there: np.ndarray, share: np.ndarray) -> np.ndarray:
    """What each half degree is: no land, inland, near a coast, among much sea."""
    latitude, longitude = np.arange(360) / 2 - 89.75, np.arange(720) / 2 - 179.75
    out = np.where(there, INLAND, NO_LAND).astype(np.uint8)
    for j, i in zip(*np.nonzero(there), strict=True):
        south, north = max(j - 3, 0), min(j + 4, 360)
        reach = int(np.ceil(COAST_KM / 55 / np.cos(np.radians(latitude[j]))))
        east = np.arange(i - reach, i + reach + 1) % 720
        block = there[south:north][:, east]
        far = distance_km(latitude[j], longitude[i], latitude[south:north, None], longitude[east])
        near = far < COAST_KM
        land = share[south:north][:, east][near].mean()
        out[j, i] = AMONG_SEA if land < MOST_SEA else INLAND if block[near].all() else COAST
    return out


def arrays() -> dict[str, np.ndarray]:
    stations = [s for s in all_files() if s.open]
    sun, air = world_grids.sun(), world_grids.air()
    correction = fit(sun, stations)
    print(f"clearness: {correction.a:.3f} + {correction.b:.3f} k + {correction.c:.3f} max(0, k - .55)")
    clearness = correction.of(sun.clearness, sun.grid.latitude, sun.grid.longitude)
    halves, altitude, share = world_grids.halves()
    there = np.isfinite(halves).all(-1)
    high = np.where(there & np.isfinite(altitude), (np.nan_to_num(altitude) + 450) / STEP_M, 0)
    tenths = np.rint(10 * air.air_c).astype(np.int16)
    return {
        "sun_row": sun.grid.latitude_row.astype(np.uint8),
        "sun_column": sun.grid.longitude_column.astype(np.uint8),
        "clearness": np.rint(CLEARNESS_STEPS * clearness).astype(np.uint8).T.copy(),
        "air_row": air.grid.latitude_row.astype(np.int16),
        "air_column": air.grid.longitude_column.astype(np.int16),
        "air_tenths_k": np.diff(tenths, axis=1, prepend=np.int16(0)).T.copy(),  # from month to month
        "air_altitude_m": np.rint(air.altitude_m).astype(np.int16),
        "land": land_of(there, share),
        "land_altitude_28_m": np.rint(high).astype(np.uint8),
        "fitted": np.array([(s.latitude, s.longitude) for s in stations], dtype=np.float32),
    }


def main() -> None:
    to = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parents[2] / "python/ridethrough/data" / TABLE
    held = arrays()
    for name, values in held.items():
        print(f"{name:20} {str(values.shape):12} {len(lzma.compress(values.tobytes(), preset=9)) / 1024:6.1f} KiB")
    plain = io.BytesIO()
    np.savez(plain, **held)  # type: ignore[arg-type]
    to.write_bytes(lzma.compress(plain.getvalue(), preset=9 | lzma.PRESET_EXTREME))
    print(f"{to}: {to.stat().st_size / 1024:.0f} KiB")


if __name__ == "__main__":
    main()
