"""Means of spreads, and values of NumPy and pandas as Python's."""

import datetime as dt

import numpy as np
import pandas as pd
import pytest
import ridethrough as rt
from ridethrough.model.values import mean_value, to_python_value


def test_the_mean_of_a_number_or_a_spread() -> None:
    assert mean_value(3) == 3.0 and mean_value(rt.spreads.uniform(1, 4)) == 2.5
    assert mean_value(rt.spreads.triangular(0, 0, 3)) == pytest.approx(1.0)  # (low + mode + high) / 3


@pytest.mark.parametrize(
    ("given", "plain"),
    [
        (np.int64(3), 3),
        (np.float64(0.5), 0.5),
        (np.bool_(True), True),
        (dt.date(2026, 5, 1), "2026-05-01"),
        (dt.datetime(2026, 5, 1, 15), "2026-05-01 15:00"),
        (pd.Timestamp("2026-05-01 15:00"), "2026-05-01 15:00"),
        (np.datetime64("2026-05-01"), "2026-05-01"),
        (np.datetime64("2026-05-01T15:00"), "2026-05-01 15:00"),
        ("x", "x"),
    ],
)
def test_values_become_pythons(given: object, plain: object) -> None:
    found = to_python_value(given)
    assert found == plain and type(found) is type(plain)
    assert to_python_value(pd.NaT) is pd.NaT, "no time is none of any kind"
