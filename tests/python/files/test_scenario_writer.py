"""Written scenario files: they read back as they were, say what each line is, and refuse what they cannot hold."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
import random_cases
import ridethrough as rt
from hypothesis import given, settings
from hypothesis import strategies as st
from ridethrough import _core
from study_fixture import TRIP, VAN


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "saved.toml"


@settings(max_examples=60, deadline=None)
@given(van=random_cases.vans(), trip=random_cases.trips())
def test_any_van_and_trip_read_back_as_they_were(tmp_path_factory: Any, van: rt.Van, trip: rt.Trip) -> None:
    path = tmp_path_factory.getbasetemp() / "any.toml"
    rt.save_scenario(path, van, trip, overwrite=True)
    read = rt.load_scenario(path)
    assert (read.van, read.trip, read.notes) == (van, trip, ())
    assert read.van.digest == van.digest and read.trip.digest == trip.digest


@settings(max_examples=20, deadline=None)
@given(data=st.data())
def test_a_file_of_a_file_is_the_same(tmp_path_factory: Any, data: Any) -> None:
    path = tmp_path_factory.getbasetemp() / "again.toml"
    rt.save_scenario(path, data.draw(random_cases.vans()), data.draw(random_cases.trips()), overwrite=True)
    text, read = path.read_text(), rt.load_scenario(path)
    rt.save_scenario(path, read.van, read.trip, overwrite=True)
    assert path.read_text() == text


def test_what_there_is_of_lists_spreads_and_profiles(file: Path) -> None:
    van = rt.Van(
        battery=rt.LithiumBattery(capacity_ah=rt.spreads.triangular(90, 100, 105, per="trial"), initial_soc=0.7),
        arrays=[rt.SolarArray(name="awning", tilt_deg=20), rt.PortableArray(charge_controller="pwm")],
        mains=rt.MainsCharger(charge_profile=rt.ChargeProfile(ready_made="converter")),
        loads=[rt.Kettle(uses_per_day=1), rt.Appliance(name="my own, with a comma", current_a=2, duration_min=5)],
    )
    stops = [rt.Stop(name=f"stop {i}", site=TRIP.site, nights=i) for i in (1, 2)]
    trip = rt.Trip(stops=stops, start=TRIP.start, party=rt.Party(persons=3))
    rt.save_scenario(file, van, trip, name="of all", title="All that there is", trials=2000, seed=2**64 - 1)
    read = rt.load_scenario(file)
    assert (read.van, read.trip) == (van, trip)
    assert (read.name, read.title, read.trials, read.seed) == ("of all", "All that there is", 2000, 2**64 - 1)
    assert {"kettle", "my own, with a comma"} == tomllib.loads(file.read_text())["van"]["loads"].keys()


def test_a_horizon(file: Path) -> None:
    trip = TRIP.replace(horizon_deg=[(90, 15), (180, 5.5)])
    rt.save_scenario(file, VAN, trip)
    assert rt.load_scenario(file).trip == trip and "horizon_deg = [[90, 15], [180, 5.5]]" in file.read_text()


def test_a_van_without_loads(file: Path) -> None:
    rt.save_scenario(file, VAN.replace(loads=[]), TRIP)
    assert rt.load_scenario(file).van.loads == ()


def test_each_line_says_what_it_is(file: Path) -> None:
    van = VAN.with_measured({"battery.capacity_ah": 92}, "2026-05-01").replace("loads.inverter.duration_h", 3)
    rt.save_scenario(file, van, TRIP)
    text = file.read_text()
    assert "capacity_ah = 92  # Ah, rated capacity at the 20-hour rate, new, 25 degC, measured on 2026-05-01" in text
    assert "duration_h = 3  # h, hours on, on a day it is used" in text
    assert "[van.battery]  # Absorbent-glass-mat lead-acid battery of nominal 12 V" in text
    lines = text.splitlines()
    for number, line in enumerate(lines):
        if re.match(r"\w+ = ", line) and not line.startswith(("name", "title", "trials", "seed", "kind")):
            assert "  # " in line or lines[number - 1].startswith("# "), line
        assert len(line) <= 120 or "[" in line


def test_a_file_that_is_there_stays(file: Path) -> None:
    file.write_text("precious")
    with pytest.raises(rt.InputError, match=r"saved\.toml: there is such a file; overwrite=True replaces it"):
        rt.save_scenario(file, VAN, TRIP)
    assert file.read_text() == "precious"
    rt.save_scenario(file, VAN, TRIP, overwrite=True)
    assert rt.load_scenario(str(file)).van == VAN


def test_a_place_that_cannot_be_written(tmp_path: Path) -> None:
    with pytest.raises(rt.InputError, match=r"none/a\.toml: No such file or directory"):
        rt.save_scenario(tmp_path / "none" / "a.toml", VAN, TRIP)
    with pytest.raises(rt.InputError, match="directory"):
        rt.save_scenario(tmp_path, VAN, TRIP, overwrite=True)


def series() -> Any:
    hours = [0.0] * 48
    return _core.HourlySeries(
        latitude=TRIP.site.latitude,
        longitude=TRIP.site.longitude,
        utc_offset_h=-5,
        first_hour=0,
        ghi_w_m2=hours,
        air_temp_c=hours,
    )


@pytest.mark.parametrize(
    ("van", "trip", "printed"),
    [
        (VAN, TRIP.replace("site.climate.weather_series", series()), "climate.weather_series: a scenario file holds"),
        (VAN.replace(loads=[rt.Fan(name="habits")]), TRIP, "van.loads: a load called 'habits' cannot be written"),
        (TRIP, VAN, "van = .*: allowed a Van"),
    ],
)
def test_what_has_no_place_in_a_file_is_told_by_name(file: Path, van: Any, trip: Any, printed: str) -> None:
    with pytest.raises(rt.InputError, match=printed):
        rt.save_scenario(file, van, trip)
    assert not file.exists()


@pytest.mark.parametrize(("wrong", "printed"), [({"trials": 0}, "trials = 0: allowed"), ({"seed": -1}, "seed = -1")])
def test_trials_and_seed_are_checked(file: Path, wrong: dict[str, int], printed: str) -> None:
    with pytest.raises(rt.InputError, match=printed):
        rt.save_scenario(file, VAN, TRIP, **wrong)
