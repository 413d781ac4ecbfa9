"""The AGM's wells against the discharge shares that they were fitted to (tests/long/fit_wells.py), from memory."""

from __future__ import annotations

import bench
import numpy as np
import pytest
import ridethrough as rt
from long import fit_wells
from reference.battery import Agm


def test_the_fitted_shares_are_met_and_a_wrong_pair_misses_them() -> None:
    found = fit_wells.shares(Agm.c, Agm.k)
    print(fit_wells.row("as used", Agm.c, Agm.k))
    assert fit_wells.meets(found)
    for pair in ((0.5, Agm.k), (0.2, Agm.k), (Agm.c, 1.0), (Agm.c, 4.0), (0.5, 0.54), bench.WELLS[True]):
        assert not fit_wells.meets(fit_wells.shares(*pair)), pair


def test_the_pair_is_the_fit() -> None:
    """Rounded to .005 and .02."""
    assert (Agm.c, Agm.k) == bench.WELLS[False]
    (c, k), covariance = fit_wells.fitted()
    assert abs(c - Agm.c) < 0.0025 and abs(k - Agm.k) < 0.01
    sd = np.sqrt(np.diag(covariance))
    assert covariance[0, 1] / sd.prod() < -0.95  # the ridge: the shares tell (1 - c) / (c k'), hardly more


def test_the_fit_is_of_the_battery_that_is_declared() -> None:
    battery = rt.AgmBattery()
    assert battery.open_circuit_voltage_v == pytest.approx(fit_wells.REST_V)
    for name, value in {**fit_wells.MIDDLE, "resistance_mohm_100ah": 1000 * fit_wells.OHM}.items():
        spread = getattr(battery, name)
        assert value == spread.arguments[1 if spread.shape == "triangular" else 0], name  # mode or mean
