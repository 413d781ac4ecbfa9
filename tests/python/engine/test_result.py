"""The protocol of results: each prints, shows, converts, copies and pickles, and is equal by content."""

from __future__ import annotations

import copy
import dataclasses
import json
import pickle
import re
from html import escape
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from made_results import MADE, PARTS, result
from quick_studies import CALLS
from ridethrough.engine.content import plain_content
from ridethrough.engine.error_estimates import ErrorEstimates
from ridethrough.engine.table_result import FrameResult, TableResult
from ridethrough.engine.trial_estimates import TrialEstimates
from ridethrough.model.cautions import CAUTION, IN_SHORT
from ridethrough.report import format_report
from study_fixture import TRIP, VAN
from verdict_text import one_line

pytest.importorskip("xarray")


pytestmark = pytest.mark.filterwarnings("ignore::UserWarning")


RESULTS = sorted(MADE)


KINDS = [kind for kind in (getattr(rt, name) for name in rt.__all__) if isinstance(kind, type)]


KINDS = [kind for kind in KINDS if issubclass(kind, rt.Result) and kind is not rt.Result]


def every_subclass(kind: type) -> set[type]:
    children: list[type] = kind.__subclasses__()
    return {kind, *(inner for child in children for inner in every_subclass(child))}


def test_every_type_of_result_is_public_documented_and_tested_here() -> None:
    """Found among the subclasses, so that no new one is forgotten."""
    bases = {rt.Result, TableResult, FrameResult, TrialEstimates, ErrorEstimates}
    assert every_subclass(rt.Result) - bases == set(KINDS)
    assert {type(result(name)) for name in RESULTS} == set(KINDS)
    assert all(kind.__doc__ and kind.__doc__.strip() for kind in KINDS)


@pytest.mark.parametrize("name", RESULTS)
def test_text_and_html(name: str) -> None:
    found = result(name)
    assert isinstance(found, rt.Result) and type(found).__name__ in rt.__all__
    html = found._repr_html_()
    assert "nan" not in re.sub(r"base64,[^\"]*", "", html) and CAUTION in html
    assert (IN_SHORT if name == "simulate" else CAUTION).rstrip(".") in one_line(str(found))
    if name in ("battery_sheet", "common", "pays_against_new"):  # a sentence each
        assert html == f"<pre>{escape(str(found))}</pre>"
        return
    assert html.startswith("<div><table>" if name != "simulate" else "<div><p><b>") and "planning aid" in html
    assert "trial" in html or name == "sensitivity", "no probability without its trials"
    html, pictures = re.subn(r'src="data:image/png;base64,[^"]*"', "", html)
    assert pictures == (name == "simulate") and len(html) < 12_000 and str(found).strip()


@pytest.mark.parametrize("name", RESULTS)
def test_plain_numbers_go_through_json(name: str) -> None:
    plain = result(name).to_dict()
    assert json.loads(json.dumps(plain_content(plain), allow_nan=False)) == plain_content(plain)


def test_what_was_run_is_in_the_plain_numbers() -> None:
    for name in sorted(set(CALLS) - {"compare", "sweep", "sensitivity", "van_range"}):  # those keep it in attributes
        plain = json.dumps(result(name).to_dict())
        assert '"seed": 1' in plain and '"trip": {' in plain and '"van": {' in plain and '"trials": ' in plain, name
    played = result("hindcast")
    assert played.to_dict()["days_left_out"] == played.days_left_out
    assert dataclasses.replace(played, days_left_out=7) != played != dataclasses.replace(played, trials=9)


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
    assert "caution" in data.attrs and "interval" in data.attrs
    if name not in PARTS:  # what was run: the parts belong to a result that says it
        assert data.attrs["seed"] == 1 and data.attrs["version"] == rt.__version__
        about = {"van", "van_digest", "trip", "trip_digest", "start", "place", "latitude", "longitude"}
        assert about <= set(data.attrs) or name == "van_range"  # whose vans and places are coordinates
    assert len(frame) > 0
    if name == "simulate":  # a row each trial, and no more
        risk = result(name)
        assert len(frame) == risk.trials and set(frame.columns) == {"trial", *risk.columns}
        np.testing.assert_array_equal(frame["first_cutout_h"], risk.columns["first_cutout_h"])
    else:  # what goes along an axis of its own has no place in a row of the others
        cells = {str(v.name) for v in data.data_vars.values() if not {"night", "share", "cutout_cause"} & set(v.dims)}
        assert cells - {"shift"} <= set(frame.columns)
    assert frame.attrs["units"] and set(frame.attrs["units"]) <= set(frame.columns)
    with_units = result(name).to_dataframe(units=True)
    assert with_units.columns.names == ["name", "unit"]
    assert dict(with_units.columns)[frame.columns[-1]] == frame.attrs["units"].get(frame.columns[-1], "")
    data.to_zarr(tmp_path / "kept", zarr_format=2, consolidated=False)


@pytest.mark.parametrize("name", RESULTS)
def test_labelled_data_come_back_from_a_netcdf_file_as_they_were(name: str, tmp_path: Any) -> None:
    """Classic netCDF, by SciPy's engine: it holds no lists, no long integers and no time zones."""
    xarray = pytest.importorskip("xarray")
    data = result(name).to_xarray()
    data.to_netcdf(tmp_path / "kept.nc", engine="scipy")
    with xarray.open_dataset(tmp_path / "kept.nc", engine="scipy") as kept:
        xarray.testing.assert_identical(kept.load(), data)


@pytest.mark.parametrize("name", RESULTS)
def test_a_repr_is_short_and_no_address(name: str) -> None:
    shown = repr(result(name))
    assert " at 0x" not in shown and "<xarray" not in shown


def test_the_range_has_one_row_a_month() -> None:
    found = result("van_range")
    frame = found.to_dataframe()
    assert "night" not in frame and frame["risk"].tolist() == found.mix["risk"].values.ravel().tolist()


def test_days_of_a_rare_risk_count_from_1() -> None:
    rare = rt.rare_risk(VAN, TRIP, trials=2000, shifts={"weather.clearness": -0.1, "loads.standby.current_a": 0.1})
    days = sorted(day for name, day in rare.shifts if name == "weather.clearness")
    assert days[0] == 1 and days == list(range(1, len(days) + 1)) and ("loads.standby.current_a", 0) in rare.shifts
    assert {"weather.clearness, day 1", "loads.standby.current_a"} <= {*rare.to_xarray()["coordinate"].values}
    assert f"weather.clearness on {TRIP.start[:10]}" in str(rare)


def test_failing_differences_and_scores_read_well() -> None:
    failing = rt.FailingDifference("loads.standby.current_a", "A", 0.4, 0.3, 0.9)
    assert str(failing) == f"loads.standby.current_a 0.4 A against 0.3 A\n{CAUTION}"
    assert result("score_hindcasts").to_xarray()["frequency"].dims == ("van", "month")


def test_means_are_a_mapping_of_estimates() -> None:
    means = result("quasi_means")
    assert means["solar_wh"].low < means["solar_wh"].value < means["solar_wh"].high
    assert "solar_wh" in means and len(means) == len(list(means)) and means.trials == 64
    with pytest.raises(rt.InputError, match="did you mean 'solar_wh'"):
        means["solr_wh"]


def test_every_type_of_result_has_a_report() -> None:
    kinds = [kind for kind in vars(rt).values() if isinstance(kind, type) and issubclass(kind, rt.Result)]
    assert len(kinds) > 12
    plain = format_report.dispatch(object)
    assert [kind.__name__ for kind in kinds if format_report.dispatch(kind) is plain] == ["Result"]


def test_the_table_of_a_risk_has_words_and_the_van() -> None:
    html = rt.simulate(VAN, TRIP, trials=64, seed=3)._repr_html_()
    assert 'alt="State of charge, hour by hour.' in html
    assert "chance of food above 5 degC for over 2 h in a row" in html and "food_warm" not in html
    assert "Van: 80 Ah AGM" in html and "Plan: no drives planned" in html
