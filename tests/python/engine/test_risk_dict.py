"""A risk as plain numbers: what stands there is what the risk says."""

import pytest
import ridethrough as rt
from study_fixture import TRIP, VAN


def test_plain_numbers_are_those_of_the_risk() -> None:
    risk = rt.simulate(VAN, TRIP, trials=200, seed=2)
    plain = risk.to_dict()
    assert plain["cutout"]["value"] == risk.cutout.value and plain["cutout"]["trials"] == 200
    assert [row["nights"] for row in plain["nights_at"]] == [risk.nights_at(level) for level in (0.05, 0.1, 0.2)]
    assert [row["nights_with_model_error"] for row in plain["nights_at"]] == [
        risk.nights_at(level, model_error=True) for level in (0.05, 0.1, 0.2)
    ]
    assert plain["min_soc"]["q50"] == risk.min_soc_quantiles([0.5])[0]
    assert plain["likely_range"]["low"] == risk.likely_range[0]
    assert plain["model_error"]["odds_factor"] == pytest.approx(risk.model_error.odds_factor)
    assert len(plain["failing_trials_had"]) == len(risk.failing_differences)
    assert rt.Trip.from_dict(plain["trip"]) == risk.trip and rt.Van.from_dict(plain["van"]) == risk.van
