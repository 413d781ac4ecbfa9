"""A risk: its copies, its series, and names that people try on it."""

from __future__ import annotations

import copy
import pickle
from typing import Any

import pytest
import ridethrough as rt
from study_fixture import TRIP, VAN

pytest.importorskip("xarray")


pytestmark = pytest.mark.filterwarnings("ignore::UserWarning")


def test_a_risk_is_rebuilt_from_what_was_pickled() -> None:
    risk = rt.simulate(VAN, TRIP, trials=64, seed=3, time_series=["soc", "fridge_c"])
    twin = pickle.loads(pickle.dumps(risk))
    assert twin == risk and twin.to_dict() == risk.to_dict()
    assert not twin.columns["cutout_cause"].flags.writeable
    assert twin != rt.simulate(VAN, TRIP, trials=64, seed=3)  # without paths


def test_labelled_time_series_are_made_once_and_only_where_they_are_asked_for() -> None:
    risk, other = (rt.simulate(VAN, TRIP, trials=8, seed=3, time_series=["soc"]) for _ in range(2))
    size = len(pickle.dumps(risk))
    data = risk.time_series
    assert data is risk.time_series and data["soc"].values is risk.time_series_values["soc"]
    for twin in (copy.copy(risk), copy.deepcopy(risk), pickle.loads(pickle.dumps(risk))):
        assert twin == risk == other and "time_series" not in vars(twin)
        assert twin.time_series.identical(data) and twin.time_series is not data
    assert len(pickle.dumps(risk)) == size


def test_kept_series_can_be_written_neither_before_nor_after_a_pickle() -> None:
    risk = rt.simulate(VAN, TRIP, trials=8, time_series=["soc"])
    for one in (risk, pickle.loads(pickle.dumps(risk))):
        assert not one.time_series_values["soc"].flags.writeable


def test_names_that_people_try_on_a_risk_are_told_the_right_one() -> None:
    risk: Any = rt.simulate(VAN, TRIP, trials=16, seed=3)
    for name, meant in {"risk": "cutout", "probability": "cutout", "warning": "warnings", "colums": "columns"}.items():
        with pytest.raises(AttributeError, match=f"no attribute '{name}'; did you mean {meant}[?]"):
            getattr(risk, name)
    with pytest.raises(rt.InputError, match="none was kept; .*time_series=True"):
        _ = risk.time_series
    assert "warnings : tuple of str" in str(rt.Risk.__doc__)


def test_a_risk_is_plotted_by_the_name_of_the_picture() -> None:
    pytest.importorskip("matplotlib")
    risk: Any = rt.simulate(VAN, TRIP, trials=16, seed=3)
    assert "State of charge" in risk.plot().title
    assert risk.plot("survival").alt == risk.plot.survival().alt
    with pytest.raises(rt.InputError, match="did you mean 'charge'"):
        risk.plot("charg")
