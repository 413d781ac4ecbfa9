"""Looks values up in grids of cells over the Earth of which some have none."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

KM_PER_DEG = 111.195  # of a great circle on a sphere of 6,371 km


def distance_km(latitude: Any, longitude: Any, latitudes: Any, longitudes: Any) -> Any:
    """Great-circle distance, haversine; arguments in degrees that broadcast."""
    a, b = np.radians(latitude), np.radians(latitudes)
    half = np.sin((b - a) / 2) ** 2
    half = half + np.cos(a) * np.cos(b) * np.sin(np.radians(np.subtract(longitudes, longitude)) / 2) ** 2
    return KM_PER_DEG * 2 * np.degrees(np.arcsin(np.sqrt(np.minimum(half, 1))))


@dataclass(frozen=True)
class Blend:
    """The cells of a grid around a place: their rows in its table, and weights that sum to 1."""

    rows: NDArray[np.intp]
    weights: Array
    corners: int  # how many of the four cells around the place have values
    nearest_km: float

    def of(self, table: Any) -> Any:
        """Mean of the cells' values."""
        return np.tensordot(self.weights, np.asarray(table[self.rows], dtype=np.float64), axes=1)


@dataclass(frozen=True)
class CellGrid:
    """Cells of `step_deg`; row and column of each cell that has values, from the south-western centre on."""

    first_latitude: float
    first_longitude: float
    step_deg: float
    latitude_row: NDArray[np.intp]
    longitude_column: NDArray[np.intp]

    @cached_property
    def _keys(self) -> NDArray[np.intp]:
        """Cells stand in the order of rows, then columns."""
        return self.latitude_row * self.columns + self.longitude_column

    @property
    def columns(self) -> int:
        """Cells once round the Earth."""
        return round(360 / self.step_deg)

    @property
    def latitude(self) -> Array:
        """Of the cells' centres [deg]."""
        return np.asarray(self.first_latitude + self.step_deg * self.latitude_row, dtype=np.float64)

    @property
    def longitude(self) -> Array:
        """Of the cells' centres [deg]."""
        return np.asarray(self.first_longitude + self.step_deg * self.longitude_column, dtype=np.float64)

    def at(self, latitude: float, longitude: float) -> Blend | None:
        """Bilinear over those of the four cells around a place that have values; None where none has."""
        y = (latitude - self.first_latitude) / self.step_deg
        x = (longitude - self.first_longitude) / self.step_deg
        south, west = int(np.floor(y)), int(np.floor(x))
        rows, weights = [], []
        for j in (south, south + 1):
            for i in (west, west + 1):
                row = self._row_of(j, i % self.columns)
                if row is not None:
                    rows.append(row)
                    weights.append((1 - abs(y - j)) * (1 - abs(x - i)))
        total = sum(weights)
        if not total > 0:  # a place exactly on a line of cells has weight on two of the four
            return None
        at = np.array(rows)
        near = distance_km(latitude, longitude, self.latitude[at], self.longitude[at]).min()
        return Blend(at, np.array(weights) / total, len(rows), float(near))

    def nearest(self, latitude: float, longitude: float) -> Blend:
        """The nearest cell alone: one of the four around the place, where there is one."""
        around = self.at(latitude, longitude)
        if around is not None:
            far = distance_km(latitude, longitude, self.latitude[around.rows], self.longitude[around.rows])
            return Blend(around.rows[[int(np.argmin(far))]], np.ones(1), around.corners, float(far.min()))
        distance = distance_km(latitude, longitude, self.latitude, self.longitude)
        at = int(np.argmin(distance))
        return Blend(np.array([at]), np.ones(1), 0, float(distance[at]))

    def _row_of(self, row: int, column: int) -> int | None:
        wanted = row * self.columns + column
        at = int(np.searchsorted(self._keys, wanted))
        return at if at < len(self._keys) and self._keys[at] == wanted else None
