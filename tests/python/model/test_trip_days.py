"""What a trip plans, as people say it: days, their one schedule, starts; against the standard library's calendar."""

from datetime import date, datetime, timedelta
from typing import Any

import numpy as np
import pandas as pd
import pytest
import ridethrough as rt
from hypothesis import given, settings
from hypothesis import strategies as st
from ridethrough.files.scenario import Scenario, load_scenario
from ridethrough.files.scenario_writer import dump_scenario
from ridethrough.model.clocks import compile_with_clock
from ridethrough.model.trip_days import with_numbered_days
from small_runs import CLIMATE

NORMALS: dict[str, Any] = {"ghi_kwh_m2_day": [2.0] * 12, "air_temp_c": [12.0] * 12}


SITE = rt.Site(latitude=36.1, longitude=-79.95, climate=rt.Climate(**NORMALS))


TRIP = rt.Trip(site=SITE, start="2026-11-06 08:00", nights=5)  # a Friday


VAN = rt.Van(mains=rt.MainsCharger(), generator=rt.Generator(), water=rt.WaterTanks())


def schedule(**plan):
    return compile_with_clock(VAN, TRIP.replace(**plan)).schedule


@settings(deadline=None, max_examples=40)
@given(
    st.dates(date(1951, 1, 1), date(2049, 1, 1)),
    st.lists(
        st.one_of(st.integers(1, 9), st.integers(1, 9).map(str), st.sampled_from(["Mon", "Tue", "Wed"])),
        min_size=1,
        max_size=4,
    ),
)
def test_numbers_dates_and_weekdays_mean_the_calendars_days(start, said):
    days = [
        start + timedelta(days=int(day) - 1) if str(day).isdecimal() and isinstance(day, str) else day for day in said
    ]
    nine = [start + timedelta(days=i) for i in range(10)]
    wanted = {d for day in days for i, d in enumerate(nine) if day in (d, i + 1, d.strftime("%a"))}
    trip = TRIP.replace(start=datetime(start.year, start.month, start.day, 8), nights=9, drives=[rt.Drive(days=days)])
    planned = compile_with_clock(VAN, trip).schedule if wanted - {nine[9]} else []
    driven = {i.begin for i in planned}
    assert driven == {f"{d} 10:00" for d in wanted if d != nine[9]} or nine[9] in wanted


@pytest.mark.parametrize(
    "day",
    [
        date(2026, 11, 8),
        datetime(2026, 11, 8, 13),
        pd.Timestamp("2026-11-08"),
        np.datetime64("2026-11-08"),
        "2026-11-08",
        3,
        3.0,
        np.int64(3),
        "sunday",
        "Sun",
    ],
)
def test_a_day_may_be_said_in_many_ways(day):
    for days in (day, [day]):
        (drive,) = schedule(drives=[rt.Drive(days=days)])
        assert (drive.day, drive.begin, drive.end) == (3, "2026-11-08 10:00", "2026-11-08 12:00")
        assert (drive.begin_h, drive.end_h) == (50, 52)
    (night,) = schedule(shore_power=[rt.ShorePower(nights=day)])
    assert (night.day, night.begin, night.end) == (3, "2026-11-08 16:00", "2026-11-09 08:00")
    (water,) = schedule(water_days=[day])
    assert (water.kind, water.day, water.begin, water.end_h) == ("water", 3, "2026-11-08 00:00", water.begin_h)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda: rt.Drive(days=0), "Drive.days = 0: .*counted from 1"),
        (lambda: rt.ShorePower(nights=[1, 0]), "ShorePower.nights = 0: .*counted from 1"),
        (lambda: TRIP.replace(water_days=[0]), "Trip.water_days = 0: .*counted from 1"),
        (lambda: TRIP.replace(warm_food_days=0), "Trip.warm_food_days = 0: .*counted from 1"),
        (lambda: rt.Drive(days="Fryday"), "did you mean 'Friday'"),
        (lambda: rt.Drive(days=True), "Drive.days = True"),
        (lambda: rt.Drive(days=[None]), "Drive.days = None"),  # type: ignore[list-item]
        (lambda: TRIP.replace(drives=[rt.Drive(days=7)]), r"Trip.drives.1.days = 7: allowed 1 to 6 .1 is the day of"),
        (
            lambda: TRIP.replace(drives=[rt.Drive(days="2026-11-05")]),
            "'2026-11-05': allowed '2026-11-06' to '2026-11-11'",
        ),
        (lambda: TRIP.replace(shore_power=[rt.ShorePower(nights=6)]), "allowed 1 to 5 .1 is the first night"),
        (
            lambda: TRIP.replace(drives=[rt.Drive(days=2), rt.Drive(days="Saturday", start_h=11.5)]),
            r"Trip.drives.2: day 2, 11:30 to 13:30 overlaps Trip.drives.1 .day 2, 10:00 to 12:00",
        ),
        (lambda: rt.Trip(site=SITE, nights=5, idle_hours=1), r"idling=\[Idle\(days"),  # type: ignore[call-arg]
        (lambda: TRIP.replace(powered_nights=[1]), r"shore_power=\[ShorePower\(nights=\[2\].*count from 1"),
    ],
)
def test_what_is_wrong_with_a_day_is_said(wrong, said):
    with pytest.raises(rt.InputError, match=said):
        wrong()


def test_files_say_the_new_way(tmp_path):
    path = tmp_path / "trip.toml"
    drives = [rt.Drive(days=[2, "Monday"]), rt.Drive(days=["2026-11-07"], start_h=15, duration_h=0.5)]
    trip = TRIP.replace(drives=drives, shore_power=[rt.ShorePower(nights=1, duration_h=10)], water_days=[3])
    path.write_text(dump_scenario(Scenario(name="trip", van=VAN, trip=trip)))
    assert load_scenario(path).trip == trip
    text = path.read_text()
    assert text.count("[[trip.drives]]") == 2
    for old, new in (
        ("drive_hours = 2", r"\[\[trip.drives\]\] and under it days = \[2, 4\], start_h = 10, duration_h = 2"),
        ("powered_nights = [1]", r"\[\[trip.shore_power\]\] and under it nights = \[2\]"),
        ("drives = 3", "allowed a list of tables, each"),
    ):
        path.write_text(text[: text.index("[[trip")].replace("nights = 5", f"nights = 5\n{old}"))
        with pytest.raises(rt.InputError, match=new):
            load_scenario(path)
    path.write_text(text.replace("start_h = 15", "start_h = 24"))
    with pytest.raises(rt.InputError, match="trip.drives.2.start_h = 24 h: allowed 0 to 23 h"):
        load_scenario(path)


def test_members_go_by_their_place():
    trip = TRIP.replace(drives=[rt.Drive(days=2), rt.Drive(days=3)])
    assert trip.replace(**{"drives.2.duration_h": 4}).drives == (rt.Drive(days=2), rt.Drive(days=3, duration_h=4))
    assert trip.get("drives.1.days") == (2,)
    assert "length of the drive" in rt.explain("trip.drives.2.duration_h")


def test_dates_move_with_the_start_where_a_study_moves_it():
    trip = TRIP.replace(drives=[rt.Drive(days=["2026-11-08", "Tuesday"])], water_days=["2026-11-07"])
    moved = with_numbered_days(trip).replace(start="2027-01-01 08:00")
    assert (moved.drives[0].days, moved.water_days) == ((3, "Tuesday"), (2,))


def test_the_place_is_typed_once():
    place: dict[str, Any] = {"latitude": 36.1, "longitude": -79.95}
    twice = SITE.replace(climate=rt.Climate(**place, **NORMALS))
    once, other = (rt.simulate(VAN, TRIP.replace(site=site), trials=40, seed=2) for site in (SITE, twice))
    assert once.cutout == other.cutout and str(once) == str(other)
    assert once.columns["min_soc"].tobytes() == other.columns["min_soc"].tobytes()
    with pytest.raises(rt.InputError, match="the climate was made for 40 deg"):
        SITE.replace(climate=rt.Climate(latitude=40, longitude=-79.95, **NORMALS))
    with pytest.raises(rt.InputError, match="Climate.ghi_kwh_m2_day"):
        SITE.replace(latitude=89)  # no sun in January: the normals cannot be of there
    assert CLIMATE.latitude is not None
