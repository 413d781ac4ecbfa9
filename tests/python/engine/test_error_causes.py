"""The table of causes, and how they are drawn: on top of the spread that a field has, with no other draw moved."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import ridethrough as rt
import ridethrough._core as _core
from demo_studies import demo
from ridethrough.engine import error_causes
from ridethrough.engine.validation import compile_trip
from ridethrough.model.parameter_paths import field_at, value_at
from ridethrough.model.places import with_climates

VAN, TRIP = demo()
TRIALS = list(range(1000))


def drawn(van: rt.Van, trip: rt.Trip) -> tuple[_core.Compiled, dict[str, Any]]:
    compiled = compile_trip(van, trip)
    return compiled, _core.trace(compiled, TRIALS, 1, "double", ["ghi_w_m2"])


def moved(van: rt.Van, trip: rt.Trip) -> Any:
    places = error_causes.places_of_causes(van, trip)
    return places, *error_causes.move_all(van, trip, places)


def test_every_cause_has_a_size_a_unit_a_source_and_a_group() -> None:
    for cause in error_causes.CAUSES.values():
        assert cause.group in error_causes.GROUPS and cause.words and cause.source and cause.sd > 0
        assert cause.change in ("factor", "offset") and (cause.unit == "1" or cause.change == "offset")
        assert cause.measured_sd is None or cause.measured_sd < cause.sd
        for field in cause.fields:
            name = field.rpartition(".")[2]
            if cause.change == "offset" and name.count("_"):
                unit = {"a": "A", "v": "V", "k": "K", "soc": "1"}[name.rpartition("_")[2]]
                assert unit == cause.unit, cause.name
    for pair in error_causes.CORRELATIONS:
        assert len({error_causes.CAUSES[name].group for name in pair}) == 1, "groups are independent of each other"
    assert np.linalg.eigvalsh(error_causes.correlation_matrix(list(error_causes.CAUSES))).min() > 0


@pytest.mark.parametrize("battery", [rt.AgmBattery(capacity_ah=120), rt.LithiumBattery(capacity_ah=90)])
def test_only_what_a_cause_moves_is_drawn_differently(battery: Any) -> None:
    van, trip = VAN.replace(battery=battery), TRIP
    places, new_van, new_trip, tables = moved(van, trip)
    assert {place.cause.battery for place in places} == {None, type(battery).__name__}
    (before, a), (after, b) = drawn(van, trip), drawn(new_van, new_trip)
    assert (a["ghi_w_m2"] != b["ghi_w_m2"]).any()  # the sun's mean is a cause; its days are the same
    assert np.corrcoef(a["clearness"].ravel(), b["clearness"].ravel())[0, 1] > 0.98
    touched = {place.path.removeprefix("trip.site.") for place in places}
    old = {before.parameter_paths[i]: a["drawn"][:, i] for i in before.spread_parameters}
    new = {after.parameter_paths[i]: b["drawn"][:, i] for i in after.spread_parameters}
    assert {*new} == {*old} | touched
    for path in {*old} - touched:
        np.testing.assert_array_equal(old[path], new[path], err_msg=path)


def test_a_drawn_value_tells_its_score() -> None:
    """Standard normal scores, apart from each other, beside what the field's own spread gives."""
    places, new_van, new_trip, tables = moved(VAN, TRIP)
    compiled, traced = drawn(new_van, new_trip)
    columns = error_causes.columns_of(compiled, new_trip, places, tables)
    assert len(columns) == len(places)
    scores = np.column_stack([column.scores_of(traced["drawn"][:, column.parameter]) for column in columns])
    assert np.abs(scores.mean(axis=0)).max() < 4 / np.sqrt(len(TRIALS))
    assert scores.std(axis=0) == pytest.approx(1, abs=0.09)
    between = np.corrcoef(scores.T) - np.eye(len(columns))
    assert np.abs(between).max() < 4.5 / np.sqrt(len(TRIALS))
    for column in columns:
        if column.place.path == "battery.capacity_ah":  # a plain number: the value is the number times exp(sd x score)
            expected = 150 * np.exp(column.place.sd * column.scores)
            assert column.values == pytest.approx(expected, rel=1e-6)
        if column.place.path == "fridge.heat_leak_factor":  # both parts: the spread's variance and the cause's
            own = VAN.fridge.heat_leak_factor
            sd = np.std([own.quantile(u, 0.3, 3) for u in (np.arange(4000) + 0.5) / 4000])
            assert np.std(column.values) == pytest.approx(np.hypot(sd, own.mean() * column.place.sd), rel=0.05)
            assert (
                abs(
                    np.corrcoef(column.values, column.scores)[0, 1]
                    - own.mean() * column.place.sd / np.std(column.values)
                )
                < 0.05
            )


def test_a_stated_error_of_the_normals_is_drawn_once() -> None:
    trip = with_climates(TRIP.replace(site=rt.Site(latitude=36.1, longitude=-79.95)))
    site: Any = trip.site
    assert isinstance(site.climate.ghi_scale, rt.spreads.Spread)
    places, new_van, new_trip, tables = moved(VAN, trip)
    (_, a), (_, b) = drawn(VAN, trip), drawn(new_van, new_trip)
    np.testing.assert_array_equal(a["ghi_w_m2"], b["ghi_w_m2"])
    values, scores = tables["trip.site.climate.ghi_scale"]
    assert np.corrcoef(values, scores)[0, 1] > 0.99


def test_what_was_measured_is_surer() -> None:
    def sizes(van: rt.Van) -> dict[str, float]:
        return {place.path: place.sd for place in error_causes.places_of_causes(van, TRIP)}

    guessed, known = sizes(VAN), sizes(VAN.with_measured({"battery.capacity_ah": 142}, "2026-05-01"))
    assert known["battery.capacity_ah"] == 0.03 < guessed["battery.capacity_ah"]
    assert {path for path in known if known[path] != guessed[path]} == {"battery.capacity_ah"}
    tested = sizes(VAN.replace("battery.measured_capacity_ah", 130))
    assert "battery.measured_capacity_ah" in tested and "battery.capacity_ah" not in tested


def test_several_batteries_arrays_and_places() -> None:
    stops = [
        rt.Stop(name=name, nights=1, site=rt.Site(latitude=at, longitude=-80)) for name, at in (("a", 36), ("b", 45))
    ]
    trip = with_climates(rt.Trip(stops=stops, start="2026-11-06 15:00"))
    van = VAN.replace(
        batteries=[rt.AgmBattery(capacity_ah=80), rt.AgmBattery(capacity_ah=60)],
        arrays=[rt.SolarArray(name="a", rated_w=100), rt.PortableArray()],
    )
    places, new_van, new_trip, tables = moved(van, trip)
    columns = error_causes.columns_of(compile_trip(new_van, new_trip), new_trip, places, tables)
    of = {name: sum(c.place.cause.name == name for c in columns) for name in error_causes.CAUSES}
    assert (of["agm_capacity"], of["panel_yield"], of["agm_volts"], of["lithium_capacity"]) == (2, 2, 1, 0)
    assert of["normal_sun"] in (1, 2)


def test_another_van_of_the_kind_has_one_score_throughout() -> None:
    for place in error_causes.places_of_causes(VAN, TRIP):
        value, field = value_at(VAN, TRIP, place.path), field_at(VAN, TRIP, place.path)
        less, same, more = (error_causes.fixed_value(value, field, place, score) for score in (-1.0, 0.0, 1.0))
        mean = [v.mean() if isinstance(v, _core.Spread) else v for v in (less, same, more)]
        assert mean[0] < mean[1] < mean[2], place.path
        assert mean[1] == pytest.approx(value.mean() if isinstance(value, _core.Spread) else value, rel=2e-3, abs=1e-3)


def test_what_is_not_there_has_no_cause() -> None:
    bare = rt.Van(arrays=[], loads=[])
    paths = [place.path for place in error_causes.places_of_causes(bare, TRIP)]
    assert not any("arrays" in path or "solar" in path or "loads" in path for path in paths)
    assert "fridge.carnot_share" in paths
