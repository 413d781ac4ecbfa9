"""Results are declared once, in the core: what is handed out, kept, averaged and said of them follows from that.

The checks are of the declarations against runs; nothing outside the project says what its results are called.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from ridethrough import _core, load_scenario
from ridethrough.model import outputs
from ridethrough.model.parameter_help import explain

ROOT = Path(__file__).parents[3]
SCENARIO = load_scenario(ROOT / "tests" / "data" / "scenarios" / "agm_winter.toml")
PLAIN = SCENARIO.van.without("heater")
# What has to be added to the plain van for each condition without which a result is absent.
ADDED: dict[str, Any] = {
    "water tanks": {"water": rt.WaterTanks()},
    "a heater": {"loads": [rt.Heater()]},
    "something on an inverter": {"loads": [rt.Inverter()]},
    "medicine in the fridge": {"fridge": rt.Fridge(medicine=rt.Medicine())},
    "a freezer box": {"fridge": rt.Fridge(freezer_box=rt.FreezerBox())},
    "ice in the fridge": {"fridge": rt.Fridge(ice_kg=1)},
}
STORED = {"count": np.uint8, "flag": np.uint8, "night": np.uint16, "code": np.uint8, "days": np.uint16}
UNIT_BY_END = {"_h": "h", "_wh": "Wh", "_ah": "Ah", "_c": "degC"}


def run(van: rt.Van, **more: Any) -> rt.Risk:
    return rt.simulate(van, SCENARIO.trip, trials=200, seed=3, **more)


def test_columns_are_the_declared_results_that_the_van_fills() -> None:
    absent = {result.condition for result in _core.RESULTS if result.absent_without}
    assert absent == set(ADDED)
    for condition, parts in {"always": {}, **ADDED}.items():
        filled = [r for r in _core.RESULTS if not r.absent_without or r.condition == condition]
        columns = run(PLAIN.replace(**parts)).columns
        assert list(columns) == [result.name for result in filled]  # in their order
        for result in filled:
            assert columns[result.name].dtype == STORED.get(result.type, np.float32)


def test_what_never_happens_has_its_declared_value() -> None:
    columns = run(PLAIN.replace(battery=rt.AgmBattery(capacity_ah=110), water=rt.WaterTanks(fresh_l=400))).columns
    held = columns["cutout_cause"] == outputs.RESULTS["cutout_cause"].never
    assert 0 < held.sum() < 200
    assert (columns["first_cutout_h"][held] == outputs.RESULTS["first_cutout_h"].never).all()
    assert np.isfinite(columns["first_cutout_h"][~held]).all()
    assert (columns["water_dry_night"] == outputs.RESULTS["water_dry_night"].never).any()


def test_means_are_of_the_results_that_have_one() -> None:
    risk = run(PLAIN)
    averaged = [name for name in risk.columns if outputs.RESULTS[name].averaged]
    assert list(risk.means) == averaged
    for name in averaged:
        assert risk.means[name] == pytest.approx(risk.columns[name].mean(dtype=np.float64), rel=1e-12)
    quasi = pytest.importorskip("scipy") and rt.quasi_means(PLAIN, SCENARIO.trip, trials=64, replicates=4)
    assert list(quasi) == [name for name in averaged if name not in outputs.FLAGS]


def test_causes_and_series_are_the_declared_ones() -> None:
    risk = run(PLAIN, time_series=True)
    assert tuple(risk.cutout_causes) == tuple(cause.name for cause in _core.CUTOUT_CAUSES) == rt.CUTOUT_CAUSES
    assert risk.columns["cutout_cause"].max() < len(_core.CUTOUT_CAUSES)
    assert tuple(risk.time_series) == tuple(series.name for series in _core.TIME_SERIES) == rt.TIME_SERIES


def test_each_declaration_says_what_it_is() -> None:
    for result in _core.RESULTS:
        assert result.doc.endswith(".") and result.label and result.unit
        of_name = next((unit for end, unit in UNIT_BY_END.items() if result.name.endswith(end)), None)
        assert of_name in (None, result.unit), result.name
        assert result.averaged == (result.type not in ("time", "night", "code"))
        with pytest.raises(AttributeError):
            result.unit = "furlong"  # type: ignore[misc]
    assert {series.type for series in _core.TIME_SERIES} == {
        "mean over the hour",
        "at the end of the hour",
        "lowest of the hour",
    }


def test_help_and_explain_tell_of_every_one() -> None:
    printed, paths = explain("columns"), explain("time_series")
    for result in _core.RESULTS:
        line = outputs.result_line(result.name)
        assert line in printed and explain(f"columns.{result.name}") == line
        assert f"- {result.name} [" in (rt.Risk.__doc__ or "")
    for series in _core.TIME_SERIES:
        assert series.doc in paths and f"- {series.name} [" in (rt.Risk.__doc__ or "")


def test_a_study_says_of_its_means_what_the_declarations_say() -> None:
    pytest.importorskip("xarray")
    found = rt.sweep(PLAIN, SCENARIO.trip, {"solar.rated_w": [200.0]}, trials=20, progress=False)
    for name in set(outputs.AVERAGED) & set(found) - set(outputs.FLAGS):
        result = outputs.RESULTS[name]
        assert found[name].attrs["units"] == result.unit and result.label in found[name].attrs["long_name"]
    assert outputs.RESULTS["frozen"].label in found["frozen"].attrs["long_name"]


def test_names_are_written_down_in_one_place() -> None:
    """The line in outputs.def is the only place in the core where a result's name stands as text."""
    names = "|".join(outputs.RESULTS)
    files = [p for folder in ("include", "src", "bindings") for p in sorted((ROOT / "cpp" / folder).rglob("*"))]
    former = re.compile(r"kFormerNames\[\]\{.*?\};", flags=re.S)  # these tell the name of now
    having = {p.name for p in files if p.is_file() and re.search(rf'"(?:{names})"', former.sub("", p.read_text()))}
    # The bindings hand out a hindcast's two by the same names.
    assert having == {"results.def", "trip.cpp"}
