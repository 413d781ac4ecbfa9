"""Written scenario files: they read back as they were, say what each line is, and refuse what they cannot hold."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import random_cases
import ridethrough as rt
from hypothesis import given, settings
from hypothesis import strategies as st
from ridethrough import _core
from study_fixture import SITE, TRIP, VAN


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "saved.toml"


def numbers_in(part: rt.Configuration, at: str = "") -> dict[str, Any]:
    """All that can be measured in a part and in the parts inside, by dotted path."""
    found: dict[str, Any] = {}
    for field in part.schema.fields:
        value, path = getattr(part, field.name), f"{at}{field.name}"
        if isinstance(value, rt.Configuration):
            found |= numbers_in(value, f"{path}.")
        elif field.type == "parts":
            for name, member in zip(value.names, value, strict=True):
                found |= numbers_in(member, f"{path}.{name}.")
        elif field.type in ("number", "integer", "numbers", "bearings") and value is not None:
            found[path] = value
    return found


def measured_in(part: rt.Configuration) -> dict[str, str]:
    """Origins of what was measured, by path."""
    origins = {path: part.origin(path) for path in numbers_in(part)}
    return {path: str(origin) for path, origin in origins.items() if origin.type == "measured"}


@st.composite
def with_some_measured(draw: Any, parts: Any) -> Any:
    """Up to three numbers of a van or a trip, at their default or not, were measured on days of their own."""
    part = draw(parts)
    for path in draw(st.lists(st.sampled_from(sorted(numbers_in(part))), max_size=3)):
        part = part.with_measured({path: part.get(path)}, str(draw(st.dates())))
    return part


@settings(max_examples=60, deadline=None)
@given(van=with_some_measured(random_cases.vans()), trip=with_some_measured(random_cases.trips()))
def test_any_van_and_trip_read_back_as_they_were(tmp_path_factory: Any, van: rt.Van, trip: rt.Trip) -> None:
    path = tmp_path_factory.getbasetemp() / "any.toml"
    rt.save_scenario(path, van, trip, overwrite=True)
    read = rt.load_scenario(path)
    assert (read.van, read.trip, read.notes) == (van, trip, ())
    assert read.van.digest == van.digest and read.trip.digest == trip.digest
    for part, twin in ((van, read.van), (trip, read.trip)):
        assert measured_in(twin) == measured_in(part) == measured_in(type(part).from_dict(part.to_dict()))


@settings(max_examples=20, deadline=None)
@given(data=st.data())
def test_a_file_of_a_file_is_the_same(tmp_path_factory: Any, data: Any) -> None:
    path = tmp_path_factory.getbasetemp() / "again.toml"
    van = data.draw(with_some_measured(random_cases.vans()))
    rt.save_scenario(path, van, data.draw(random_cases.trips()), overwrite=True)
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
    stops = [rt.Stop(name=f"stop {i}", site=SITE, nights=i) for i in (1, 2)]
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
    van = VAN.replace("loads.inverter.duration_h", 3)
    van = van.with_measured({"battery.capacity_ah": 92}, "2026-05-01")
    rt.save_scenario(file, van, TRIP)
    text = file.read_text()
    assert 'capacity_ah = { value = 92, measured_on = "2026-05-01" }  # Ah, rated capacity at the 20-hour rate' in text
    assert "duration_h = 3  # h, hours on, on a day it is used" in text
    assert "[van.battery]  # Absorbent-glass-mat lead-acid battery of nominal 12 V" in text
    lines = text.splitlines()
    for number, line in enumerate(lines):
        if re.match(r"\w+ = ", line) and not line.startswith(("name", "title", "trials", "seed", "kind")):
            assert "  # " in line or lines[number - 1].startswith("# "), line
        assert len(line) <= 120 or "[" in line


def test_what_was_measured_is_kept_with_its_day(file: Path) -> None:
    capacity = rt.spreads.triangular(88, 92, 95, per="trial")
    van = VAN.with_measured({"battery.capacity_ah": capacity}, "2026-05-01")
    van = van.with_measured({"wiring.shared_mohm": van.wiring.shared_mohm}, "2026-05-02")  # the default, confirmed
    rt.save_scenario(file, van, TRIP.with_measured({"horizon_deg": [(90, 15)]}, "2026-05-03"))
    read = rt.load_scenario(file)
    assert measured_in(read.van) == {
        "batteries.1.capacity_ah": "measured on 2026-05-01",
        "wiring.shared_mohm": "measured on 2026-05-02",
    }
    assert measured_in(read.trip) == {"horizon_deg": "measured on 2026-05-03"}
    assert read.van == van and read.van.battery.capacity_ah == capacity
    assert 'capacity_ah = { triangular = [88, 92, 95], per = "trial", measured_on = "2026-05-01" }' in file.read_text()
    file.write_text(file.read_text().replace('"2026-05-01"', "2026-05-01"))  # a date of TOML
    assert rt.load_scenario(file).van.origin("battery.capacity_ah").date == "2026-05-01"


@pytest.mark.parametrize(
    ("line", "printed"),
    [
        (
            "capacity_ah = { value = 92, measured_on = '2026-05-32' }",
            r"van.battery.capacity_ah: measured on '2026-05-32'",
        ),
        (
            "capacity_ah = { value = 92, measured_on = 2026-05-01T12:00:00 }",
            "measured on '2026-05-01 12:00'; allowed a",
        ),
        (
            "capacity_ah = { value = 92, measured_on = 5 }",
            "van.battery.capacity_ah.measured_on = 5: allowed a date such",
        ),
        (
            "capacity_ah = { value = 1, measured_on = 2026-05-01 }",
            "van.battery.capacity_ah = 1 Ah: allowed 5 to 2000 Ah",
        ),
        ("capacity_ah = { value = 92 }", "van.battery.capacity_ah.value = 92: no such spread"),
        ("capacity_ah = { measured_on = 2026-05-01 }", "van.battery.capacity_ah = {}: allowed one of uniform"),
        (
            "capacity_ah = { value = 92, uniform = [90, 94], measured_on = 2026-05-01 }",
            "van.battery.capacity_ah = {.*: allowed value or a spread beside measured_on, not both",
        ),
        (
            "capacity_a = { value = 92, measured_on = 2026-05-01 }",
            "van.battery.capacity_a: no such field; did you mean",
        ),
        (
            "location = { value = 'locker', measured_on = 2026-05-01 }",
            "van.battery.location: only numbers are measured",
        ),
        ("measured_on = 2026-05-01", "van.battery.measured_on: no such field"),
    ],
)
def test_what_is_wrong_with_a_measured_number_is_told(file: Path, line: str, printed: str) -> None:
    rt.save_scenario(file, rt.Van(), TRIP)
    file.write_text(f"{file.read_text()}\n[van.battery]\n{line}\n")
    with pytest.raises(rt.InputError, match=printed):
        rt.load_scenario(file)


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
        latitude=SITE.latitude,
        longitude=SITE.longitude,
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
def test_trials_and_seed_are_checked(file: Path, wrong: dict[str, Any], printed: str) -> None:
    with pytest.raises(rt.InputError, match=printed):
        rt.save_scenario(file, VAN, TRIP, **wrong)


HALF = "caf\udce9"  # half a character, as a path of another encoding has it


@pytest.mark.parametrize(
    "wrong", [{"title": HALF}, {"name": HALF}, {"name": 5}, {"title": b"x"}, {"trials": True}, {"seed": 1.5}]
)
def test_a_file_that_is_there_stays_whole_where_another_cannot_be_written(file: Path, wrong: dict[str, Any]) -> None:
    rt.save_scenario(file, VAN, TRIP)
    before = file.read_bytes()
    with pytest.raises(rt.InputError, match=f"{next(iter(wrong))} = "):
        rt.save_scenario(file, VAN, TRIP, overwrite=True, **wrong)
    with pytest.raises(rt.InputError, match="path"):
        rt.save_scenario(file.with_name(f"{HALF}.toml"), VAN, TRIP)
    with pytest.raises(rt.InputError, match="path = 5: allowed the path"):
        rt.save_scenario(5, VAN, TRIP)  # type: ignore[arg-type]
    with pytest.raises(rt.InputError, match=r"Appliance\.name = .*allowed a text of whole characters"):
        rt.Appliance(name=HALF, current_a=1, duration_min=5)
    assert file.read_bytes() == before and [*file.parent.iterdir()] == [file]


def test_numbers_of_numpy_and_a_byte_order_mark(file: Path) -> None:
    numbers: dict[str, Any] = {"trials": np.int64(5), "seed": np.uint64(2**63)}
    rt.save_scenario(file, VAN, TRIP, **numbers)
    file.write_bytes(b"\xef\xbb\xbf" + file.read_bytes())
    read = rt.load_scenario(file)
    assert (read.van, read.trials, read.seed) == (VAN, 5, 2**63)


def test_a_link_leads_to_the_new_file_and_rights_stay(file: Path) -> None:
    rt.save_scenario(file, VAN, TRIP)
    file.chmod(0o640)
    link = file.with_name("link.toml")
    link.symlink_to(file)
    rt.save_scenario(link, VAN, TRIP, title="again", overwrite=True)
    assert link.is_symlink() and rt.load_scenario(file).title == "again" and file.stat().st_mode & 0o777 == 0o640


def test_the_charge_that_is_kept_to(file: Path) -> None:
    rt.save_scenario(file, VAN, TRIP, charge_limit=0.5)
    assert rt.load_scenario(file).charge_limit == 0.5
    rt.save_scenario(file, VAN, TRIP, overwrite=True)
    assert "charge_limit" not in file.read_text() and rt.load_scenario(file).charge_limit is None
    with pytest.raises(rt.InputError, match="charge_limit = 5: allowed 0.01 to 0.99"):
        rt.save_scenario(file, VAN, TRIP, charge_limit=5, overwrite=True)
