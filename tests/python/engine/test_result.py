"""The protocol of results: each prints, shows, converts, copies and pickles, and is equal by content."""

from __future__ import annotations

import copy
import json
import pickle
from functools import cache
from typing import Any

import numpy as np
import pandas as pd
import pytest
import ridethrough as rt
from quick_studies import CALLS
from ridethrough.engine.content import plain_content, same_content
from ridethrough.report import format_report
from study_fixture import TRIP, VAN

pytest.importorskip("xarray")
pytestmark = pytest.mark.filterwarnings("ignore::UserWarning")
TABLES = {"hindcast", "monthly_risk", "sweep"}  # these give a DataFrame or a Dataset
RESULTS = sorted(set(CALLS) - TABLES)


@cache
def result(name: str, seed: int = 1) -> Any:
    return CALLS[name][0](seed=seed, progress=False)


@pytest.mark.parametrize("name", RESULTS)
def test_text_and_html(name: str) -> None:
    found = result(name)
    assert isinstance(found, rt.Result) and type(found).__name__ in rt.__all__
    html = found._repr_html_()
    assert html.startswith("<div><table>") and "planning aid" in html and "nan" not in html
    assert "trials" in html or name == "sensitivity", "no probability without its trials"
    assert len(html) < 12_000 and str(found).strip()


@pytest.mark.parametrize("name", RESULTS)
def test_plain_numbers_go_through_json(name: str) -> None:
    plain = result(name).to_dict()
    assert json.loads(json.dumps(plain_content(plain), allow_nan=False)) == plain_content(plain)


@pytest.mark.parametrize("name", RESULTS)
def test_copies_and_pickles_are_equal_and_other_seeds_are_not(name: str) -> None:
    found = result(name)
    for twin in (copy.copy(found), pickle.loads(pickle.dumps(found))):
        assert twin == found
        assert str(twin) == str(found)
    assert found != result(name, seed=2) and found != 1
    with pytest.raises(TypeError, match="unhashable"):
        hash(found)


@pytest.mark.parametrize("name", RESULTS)
def test_tables_and_labelled_data(name: str, tmp_path: Any) -> None:
    data, frame = result(name).to_xarray(), result(name).to_dataframe()
    for variable in data.data_vars.values():
        if variable.dtype.kind == "f":
            assert "units" in variable.attrs and "long_name" in variable.attrs, variable.name
    assert data.attrs["seed"] == 1 and data.attrs["version"] == rt.__version__
    assert "caution" in data.attrs and "van_digest" in data.attrs or name == "van_range"
    assert len(frame) > 0
    if name == "simulate":  # a row each trial, and no more
        risk = result(name)
        assert len(frame) == risk.trials and set(frame.columns) == {"trial", *risk.columns}
        np.testing.assert_array_equal(frame["first_cutout_h"], risk.columns["first_cutout_h"])
    else:
        assert set(map(str, data.data_vars)) - {"shift"} <= set(frame.columns)
    assert frame.attrs["units"] and set(frame.attrs["units"]) <= set(frame.columns)
    with_units = result(name).to_dataframe(units=True)
    assert with_units.columns.names == ["name", "unit"]
    assert dict(with_units.columns)[frame.columns[-1]] == frame.attrs["units"].get(frame.columns[-1], "")
    data.to_zarr(tmp_path / "kept", zarr_format=2, consolidated=False)


def test_a_risk_is_rebuilt_from_what_was_pickled() -> None:
    risk = rt.simulate(VAN, TRIP, trials=64, seed=3, time_series=["soc", "fridge_c"])
    twin = pickle.loads(pickle.dumps(risk))
    assert twin == risk and twin.to_dict() == risk.to_dict()
    assert not twin.columns["cutout_cause"].flags.writeable
    assert twin != rt.simulate(VAN, TRIP, trials=64, seed=3)  # without paths


def test_a_summary_without_columns_has_a_row_each_night() -> None:
    risk = rt.simulate(VAN, TRIP, trials=64, seed=3, keep="summary")
    frame = risk.to_dataframe()
    assert frame["survival"].tolist() == [estimate.value for estimate in risk.survival()]
    assert frame["night"].tolist() == [1, 2, 3] and frame.attrs["units"]["survival"] == "1"


def test_paths_of_a_risk_have_time_and_units() -> None:
    risk = rt.simulate(VAN, TRIP.replace(start="2026-10-30 15:00"), trials=16, seed=3, time_series=["soc"])
    data = risk.to_xarray()
    assert data["soc"].dims == ("trial", "hour") and data["soc"].attrs["units"] == "1"
    np.testing.assert_array_equal(data["soc"], risk.time_series["soc"])
    # Python's own zone data: New York leaves summer time on 1 November 2026 at 2:00, 35 h after the start.
    assert data["time_utc"].values[0] == np.datetime64("2026-10-30T20:00")
    assert data["local_time"].values[0] == np.datetime64("2026-10-30T16:00")
    assert data["local_time"].values[47] == np.datetime64("2026-11-01T14:00")
    assert data["local_time"].attrs["time_zone"] == "America/New_York"
    assert data.attrs["latitude"] == [36.1] and data.attrs["place"] == ["Greensboro"]


@pytest.mark.parametrize(
    ("a", "b", "same"),
    [
        ([1.0, float("nan")], [1.0, float("nan")], True),
        (np.array([1.0, np.nan]), np.array([1.0, np.nan]), True),
        (np.array([1.0]), np.array([2.0]), False),
        ({"a": 1}, {"b": 1}, False),
        (1, 1.0, False),
        ((1, 2), (1, 2, 3), False),
    ],
)
def test_sameness(a: Any, b: Any, same: bool) -> None:
    assert same_content(a, b) is same


def test_parts_of_results_follow_the_protocol_too() -> None:
    days = pd.date_range("2019-01-01", "2020-12-31", freq="D")
    record = pd.DataFrame(
        {"ghi_kwh_m2": np.where(days.day_of_year % 3, 2.0, 0.8), "temp_min_c": 3.0, "temp_max_c": 11.0}, index=days
    )
    frequency, risk = rt.hindcast(VAN, TRIP, record, trials=1), rt.monthly_risk(VAN, TRIP, trials=1)
    scores = rt.score_hindcasts({"van": frequency}, {"van": risk}, resamples=100)
    failing = rt.FailingDifference("loads.standby.current_a", "A", 0.4, 0.3, 0.9)
    for found in (scores, result("lithium_pays").pays_against_new, failing):
        twin = pickle.loads(pickle.dumps(found))
        assert twin == found and str(twin) == str(found) and found._repr_html_()
        assert len(found.to_dataframe()) > 0 and json.dumps(found.to_dict(), allow_nan=False)
    assert scores.to_xarray()["frequency"].dims == ("van", "month")
    assert str(failing) == "loads.standby.current_a 0.4 A against 0.3 A"


def test_every_type_of_result_has_a_report() -> None:
    kinds = [kind for kind in vars(rt).values() if isinstance(kind, type) and issubclass(kind, rt.Result)]
    assert len(kinds) > 12
    plain = format_report.dispatch(object)
    assert [kind.__name__ for kind in kinds if format_report.dispatch(kind) is plain] == ["Result"]
