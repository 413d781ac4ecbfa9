"""What weighted and moved trips say."""

from __future__ import annotations

import math

import numpy as np
import pytest
from ridethrough.tonight.posterior import Posterior, with_effective


def of(weights, replicate=None, effective=100.0):
    weights = np.asarray(weights, dtype=float)
    return Posterior("weights", weights / weights.sum(), replicate, effective, 1000, 0.0, {})


def test_quantiles_are_of_the_weight():
    found = of([1, 1, 2]).quantiles(np.array([3.0, 1.0, 2.0]), [0.1, 0.25, 0.5, 0.75, 0.9])
    assert found.tolist() == [1, 1, 2, 2, 3]


def test_a_mean_over_replicates_has_student_s_interval():
    # Three replicates of equal weight with means 1, 2, 3: mean 2, standard error .577, t of 2 degrees of freedom 4.303
    # (Student's table, any handbook).
    runs = np.repeat(np.arange(3), 4)
    found = of(np.ones(12), runs).mean(np.repeat([1.0, 2.0, 3.0], 4))
    assert found.value == pytest.approx(2)
    assert found.high - found.value == pytest.approx(4.303 / math.sqrt(3), rel=1e-3)


def test_a_share_that_no_replicate_has_is_not_known_to_be_zero():
    runs = np.repeat(np.arange(4), 5)
    none = of(np.ones(20), runs).share(np.zeros(20, dtype=bool))
    assert none.value == none.low == 0 and 0.02 < none.high < 0.05  # 1 - .025 ** (1 / 100) = .0362
    every = of(np.ones(20), runs).share(np.ones(20, dtype=bool))
    assert every.value == every.high == 1 and 0.95 < every.low < 0.98


def test_effective_trips_of_replicates():
    rng = np.random.default_rng(1)
    runs = np.repeat(np.arange(8), 400)
    charge = rng.normal(size=3200)
    alike = with_effective(of(np.ones(3200), runs), charge)
    apart = with_effective(of(np.ones(3200), runs), charge + rng.normal(size=8)[runs])
    assert apart.effective < 60 < 400 < alike.effective
