"""What stations say of the reanalysis' clearness: a line with a knee, and a smooth map of what that leaves.

The knee keeps deserts, which a straight line pulls down. The map is the mean of a Gaussian process over the log
residuals; its lengths and sizes are set by hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from climate_stations import Normals
from ridethrough.weather.world_grid import distance_km
from world_grids import Sun

KNEE = 0.55
LENGTH_KM = 1000.0
PLACE_SD, SEASON_SD, FILE_SD, MONTH_SD = 0.12, 0.08, 0.08, 0.06  # of ln clearness
LOWEST, HIGHEST = 0.01, 0.795  # of a month's mean, as a Climate allows


@dataclass(frozen=True)
class Correction:
    a: float
    b: float
    c: float
    latitude: np.ndarray  # of the stations
    longitude: np.ndarray
    weight: np.ndarray  # (stations, 12) of the map

    def of(self, k: np.ndarray, latitude: np.ndarray, longitude: np.ndarray) -> np.ndarray:
        """Corrected clearness of places (n, 12)."""
        far = distance_km(latitude[:, None], longitude[:, None], self.latitude, self.longitude)
        between = np.exp(-far / LENGTH_KM)
        season = _alike_months()
        residual = np.einsum("ps,sm,mn->pn", between, self.weight, season)
        return np.clip(self.line(k) * np.exp(residual), LOWEST, HIGHEST)

    def line(self, k: np.ndarray) -> np.ndarray:
        return self.a + self.b * k + self.c * np.maximum(0, k - KNEE)


def _alike_months() -> np.ndarray:
    apart = np.subtract.outer(np.arange(12), np.arange(12))
    return PLACE_SD**2 + SEASON_SD**2 * np.cos(2 * np.pi * apart / 12)


def density_weights(stations: Sequence[Normals]) -> np.ndarray:
    """One over the files within 600 km, so that a country with many does not decide."""
    at = np.array([(s.latitude, s.longitude) for s in stations])
    far = distance_km(at[:, None, 0], at[:, None, 1], at[:, 0], at[:, 1])
    return 1 / (far < 600).sum(1)


def reanalysis_at(sun: Sun, s: Normals) -> np.ndarray:
    blend = sun.grid.at(s.latitude, s.longitude) or sun.grid.nearest(s.latitude, s.longitude)
    return np.asarray(blend.of(sun.clearness))


def fit(sun: Sun, stations: Sequence[Normals]) -> Correction:
    k = np.array([reanalysis_at(sun, s) for s in stations])
    kt = np.array([s.clearness for s in stations])
    lit = np.isfinite(kt)
    weight = (np.sqrt(density_weights(stations))[:, None] / np.where(lit, kt, 1))[lit]  # relative errors count alike
    terms = np.stack([np.ones(lit.sum()), k[lit], np.maximum(0, k[lit] - KNEE)], axis=1)
    a, b, c = np.linalg.lstsq(terms * weight[:, None], kt[lit] * weight, rcond=None)[0]
    place = np.array([(s.latitude, s.longitude) for s in stations])
    line = Correction(a, b, c, place[:, 0], place[:, 1], np.zeros_like(kt)).line(k)
    return Correction(a, b, c, place[:, 0], place[:, 1], _map_weights(place, kt, line, lit))


def _map_weights(place: np.ndarray, kt: np.ndarray, line: np.ndarray, lit: np.ndarray) -> np.ndarray:
    station, month = np.nonzero(lit)
    far = distance_km(place[:, None, 0], place[:, None, 1], place[:, 0], place[:, 1])
    covariance = np.exp(-far / LENGTH_KM)[np.ix_(station, station)] * _alike_months()[np.ix_(month, month)]
    covariance += FILE_SD**2 * (station[:, None] == station) + MONTH_SD**2 * np.eye(len(station))
    out = np.zeros_like(kt)
    out[station, month] = np.linalg.solve(covariance, np.log(kt[lit] / line[lit]))
    return out


def corrected_at(sun: Sun, correction: Correction, latitude: float, longitude: float) -> np.ndarray:
    """As the shipped table gives it: the cells are corrected, then blended."""
    blend = sun.grid.at(latitude, longitude) or sun.grid.nearest(latitude, longitude)
    cells = correction.of(sun.clearness[blend.rows], sun.grid.latitude[blend.rows], sun.grid.longitude[blend.rows])
    return np.asarray(blend.weights @ cells)
