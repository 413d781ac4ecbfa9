"""Distances on the globe, and blends between cells of a grid."""

import numpy as np
import pytest
from optional import there
from ridethrough.weather.world_grid import CellGrid, distance_km


def test_distances_on_the_globe():
    # Closed forms on a sphere of 6,371 km: a degree, a quarter of the way round, half of it, and along 60 N.
    assert distance_km(0, 0, 1, 0) == pytest.approx(6371 * np.pi / 180, rel=1e-4)
    assert distance_km(0, 170, 0, -100) == pytest.approx(6371 * np.pi / 2, rel=1e-4)
    assert distance_km(90, 0, -90, 0) == pytest.approx(6371 * np.pi, rel=1e-4)
    assert distance_km(60, 0, 60, 1) == pytest.approx(6371 * np.pi / 180 / 2, rel=1e-3)


def test_blends_between_cells_by_hand():
    # Cells of 10 degrees at the corners of a square over the date line: 0 and 1 in the south, 2 and 3 in the north.
    grid = CellGrid(0.0, -180.0, 10.0, np.array([0, 0, 1, 1]), np.array([0, 35, 0, 35]))
    values = np.array([1.0, 0.0, 3.0, 2.0])  # in the order of rows, then columns: -180 comes before 170
    blend = there(grid.at(2.5, 177.5))
    assert blend.corners == 4
    assert blend.of(values) == pytest.approx(0.75 * (0.25 * 0 + 0.75 * 1) + 0.25 * (0.25 * 2 + 0.75 * 3))
    assert there(grid.at(2.5, -182.5)).of(values) == pytest.approx(blend.of(values))
    alone = CellGrid(0.0, -180.0, 10.0, np.array([0, 1]), np.array([0, 35]))
    assert there(alone.at(2.5, 177.5)).of(np.array([1.0, 2.0])) == pytest.approx((0.5625 * 1 + 0.0625 * 2) / 0.625)
    assert alone.at(50.0, 0.0) is None
    assert alone.nearest(50.0, 170.0).rows == [1]
