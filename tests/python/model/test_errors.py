"""Errors of bad input: facts as attributes, and no raw Python error where the usual mistakes are made."""

from __future__ import annotations

import pickle
from typing import Any

import pandas as pd
import pytest
import quick_studies
import ridethrough as rt
from quick_studies import CALLS, DAYS, RECORD
from ridethrough.model.errors import bad_input, with_new_path, with_prefix
from study_fixture import SITE, TRIP, VAN


def facts(error: rt.InputError) -> tuple[Any, ...]:
    return error.path, error.value, error.allowed, error.suggestion


def test_facts_of_the_cores_errors_are_read_from_their_text() -> None:
    with pytest.raises(rt.InputError) as refused:
        rt.AgmBattery(capacity_ah=1e9)
    error = refused.value
    assert (error.path, error.allowed) == ("AgmBattery.capacity_ah", "5 to 2000 Ah") and "1" in error.value
    with pytest.raises(rt.InputError) as refused:
        rt.AgmBattery(capacityah=100)  # type: ignore[call-arg]
    assert refused.value.path == "AgmBattery.capacityah" and "capacity_ah" in refused.value.suggestion
    odd = rt.InputError("something else")
    assert facts(odd) == ("", "", "", "")


def test_facts_of_pythons_errors_are_the_values_themselves() -> None:
    with pytest.raises(rt.InputError, match="trials = 0: allowed whole numbers 1 to 1,000,000,000") as refused:
        rt.simulate(VAN, TRIP, trials=0)
    assert facts(refused.value) == ("trials", 0, "whole numbers 1 to 1,000,000,000", "")
    with pytest.raises(rt.InputError, match="did you mean 'soc'") as refused:
        rt.simulate(VAN, TRIP, time_series=["chrge"])
    assert refused.value.path == "time_series" and refused.value.suggestion == "soc"


def test_facts_survive_a_prefix_a_new_path_and_a_pickle() -> None:
    error = bad_input("AgmBattery.capacity_ah", 1, allowed="5 to 2000 Ah", suggestion="measured_capacity_ah")
    assert str(error) == "AgmBattery.capacity_ah = 1: allowed 5 to 2000 Ah; did you mean measured_capacity_ah?"
    moved = with_prefix("trip.toml", with_new_path("AgmBattery", "van.battery", error))
    assert str(moved).startswith("trip.toml: van.battery.capacity_ah = 1: allowed 5 to 2000 Ah")
    for twin in (moved, pickle.loads(pickle.dumps(moved))):
        assert facts(twin) == ("van.battery.capacity_ah", 1, "5 to 2000 Ah", "measured_capacity_ah")


def test_an_error_in_a_file_has_the_path_of_its_table(tmp_path: Any) -> None:
    file = tmp_path / "odd.toml"
    file.write_text(
        "[van.battery]\nkind = 'AgmBattery'\ncapacity_ah = 1\n[trip]\nnights = 1\nstart = '2026-11-06 15:00'\n"
    )
    with pytest.raises(rt.InputError, match=r"odd.toml: van.battery.capacity_ah = 1") as refused:
        rt.load_scenario(file)
    assert refused.value.path == "van.battery.capacity_ah" and refused.value.allowed == "5 to 2000 Ah"


# The calls of the others make vans of VAN themselves, before the study sees it; they are below.
@pytest.mark.parametrize("name", sorted(set(CALLS) - {"compare", "upgrades", "van_range"}))
def test_a_part_in_place_of_a_van_is_refused_by_name(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(quick_studies, "VAN", rt.AgmBattery())
    with pytest.raises(rt.InputError, match="van = .*must be a Van"):
        CALLS[name][0](progress=False)


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: rt.compare(rt.AgmBattery(), {"a": VAN}, TRIP), r"van = AgmBattery\(\): must be a Van"),
        (
            lambda: rt.compare(VAN, {"lithium": rt.LithiumBattery()}, TRIP),
            r"others\['lithium'\] = LithiumBattery\(\): must be a Van or a Bundle; van.replace\(battery=...\)",
        ),
        (lambda: rt.upgrades(SITE, TRIP), "van = Site.*: must be a Van"),
        (lambda: rt.simulate(TRIP, VAN), "the van comes first, then the trip"),
        (lambda: rt.hindcast(VAN, TRIP, 1), "record = 1: must be a pandas DataFrame"),
        (
            lambda: rt.hindcast(VAN, TRIP, RECORD.rename(columns={"ghi_kwh_m2": "ghi_kwh"})),
            r"record: no column ghi_kwh_m2 \(daily\) or ghi \(hourly\); it has ghi_kwh, .*did you mean ghi_kwh_m2\?",
        ),
        (lambda: rt.hindcast(VAN, TRIP, pd.DataFrame(index=DAYS)), "it has none"),
        (
            lambda: rt.van_range({"a": rt.AgmBattery()}, TRIP, sites=[SITE], customers={"light_couple": 1}),
            r"models\['a'\] = AgmBattery\(\): must be a Van",
        ),
    ],
    ids=range(8),
)
def test_usual_mistakes_are_refused_by_name(call: Any, match: str) -> None:
    with pytest.raises(rt.InputError, match=match):
        call()
