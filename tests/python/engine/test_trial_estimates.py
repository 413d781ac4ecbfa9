"""Chances that are read off the trials are those of their columns."""

import numpy as np
import pytest
import ridethrough as rt
from study_fixture import TRIP, VAN

RISK = rt.simulate(VAN, TRIP, trials=400, seed=2)


def test_survival_and_nights_are_those_of_the_first_cutouts() -> None:
    first = RISK.columns["first_cutout_h"]
    held = [estimate.events for estimate in RISK.survival()]
    assert held == [int(np.count_nonzero(first >= 24 * night)) for night in (1, 2, 3)]
    for level in (0.05, 0.3, 0.9):
        assert RISK.nights_at(level) == sum(1 - estimate.low <= level for estimate in RISK.survival())
        assert RISK.nights_at(level, model_error=True) <= RISK.nights_at(level)


def test_chances_and_quantiles_are_those_of_the_columns() -> None:
    low = RISK.columns["min_soc"]
    assert RISK.below_soc(0.5).events == pytest.approx(np.count_nonzero(low < 0.5), abs=2)  # to within a bin
    assert RISK.event_counts["below_half"] == RISK.chances["below_half"].events
    assert RISK.quantile("min_soc", 0.5).value == pytest.approx(np.median(low), abs=0.01)
    assert RISK.min_soc_quantiles([0.5])[0] == pytest.approx(np.median(low), abs=0.0025)
    assert RISK.soc_quantiles([0.5]).shape == (1, RISK.hours)
    assert RISK.flag_chance("frozen") == RISK.freezing
