"""The clock of a trip: its time zone and changes against Python's own zoneinfo, the sun on it against pvlib, measured
hours over a change, and what is said of it. How steps lie on a clock that changes: tests/cpp/trip/test_clock.cpp."""

from __future__ import annotations

import pickle
import warnings
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pvlib
import pytest
import ridethrough as rt
from clock_trips import PLACES, site, trip
from ridethrough import _core
from ridethrough.model import clocks, time_zones
from verdict_text import details


def simulated(plan, trials=200, van=None, **more):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        return rt.simulate(van or rt.Van(), plan, trials=trials, seed=3, **more)


def test_what_the_site_says_goes_before_the_coordinates():
    given = clocks.clock_of(trip("2026-07-10 12:00", where=site(time_zone="America/Chicago")))
    assert (given.zone, given.source, given.utc_offset_h) == ("America/Chicago", "Site.time_zone", -5)
    assert "tzfpy" not in given.zone_data
    for offset in (-12, -3.5, 5.75, 14):
        fixed = clocks.clock_of(trip("2026-07-10 12:00", where=site(utc_offset_h=offset)))
        assert (fixed.zone, fixed.source, fixed.utc_offset_h, fixed.changes) == ("", "Site.utc_offset_h", offset, [])


def test_a_start_that_the_clock_skips_is_refused():
    for start, name, ends in (
        ("2027-03-14 02:00", "carolina", "02:00 to 03:00"),
        ("2026-10-04 02:00", "lord_howe", "02:00 to 02:30"),
    ):
        with pytest.raises(rt.InputError, match=f"Trip.start = '{start}': .* goes from {ends} .* skips this time"):
            rt.simulate(rt.Van(), trip(start, name), trials=10)
    with pytest.raises(rt.InputError, match="skips this time"):  # before any cell
        rt.sweep(
            rt.Van(), trip("2027-03-13 02:00"), {"trip.start": ["2027-03-13 02:00", "2027-03-14 02:00"]}, trials=10
        )


def test_a_start_that_comes_twice_is_the_first_and_said():
    plan = trip("2026-11-01 01:00")
    with pytest.warns(UserWarning, match="shows this time twice; the trip starts the first"):
        risk = rt.simulate(rt.Van(), plan, trials=10)
    assert risk.clock.utc_offset_h == -4 and risk.clock.changes == [(1.0, -5.0)]
    assert any("twice" in text for text in risk.warnings)


@pytest.mark.parametrize(
    ("name", "start", "step_min"),
    [
        ("andalusia", "2026-07-10 15:00", 60),
        ("carolina", "2027-03-13 15:00", 60),
        ("carolina", "2026-10-31 15:00", 60),
        ("tasmania", "2026-10-03 09:00", 60),
        ("tasmania", "2027-04-03 09:00", 30),
        ("lord_howe", "2026-10-03 12:00", 30),
        ("lord_howe", "2027-04-03 12:00", 60),
        ("deccan", "2026-07-10 06:00", 60),
        ("himalaya", "2026-12-10 06:00", 60),
    ],
)
def test_hours_with_sun_are_those_of_pvlib(name, start, step_min):
    """Of the place's own time zone, from the start on, hour by hour that passes."""
    latitude, longitude, zone = PLACES[name]
    risk = simulated(trip(start, name, nights=3, step_min=step_min), trials=20, time_series=["ghi_w_m2"])
    parts = pd.Timedelta(minutes=5) * (np.arange(12) + 0.5)
    begin = pd.Timestamp(start, tz=zone)
    lit = []
    for hour in range(72):
        times = pd.DatetimeIndex([begin + pd.Timedelta(hours=hour) + part for part in parts])
        zenith = pvlib.solarposition.get_solarposition(times, latitude, longitude, method="nrel_numpy")["zenith"]
        lit.append(float((zenith < 90).mean()))
    shares = np.array(lit)
    clear = (shares == 0) | (shares >= 0.25)  # the two differ by a minute at sunrise
    assert (shares == 0).sum() > 20 and (shares > 0).sum() > 20
    np.testing.assert_array_equal((risk.time_series_values["ghi_w_m2"].max(0) > 0)[clear], (shares > 0)[clear])


@pytest.mark.parametrize("name", ["carolina", "andalusia", "tasmania"])
def test_longitude_alone_gives_another_answer_in_summer(name):
    """What was filled in before: winter time at best."""
    month = "01" if name == "tasmania" else "07"
    plan = trip(f"2027-{month}-10 15:00", name, nights=3)
    by_longitude = plan.replace(**{"site.utc_offset_h": round(PLACES[name][1] / 15)})
    van = rt.Van(battery=rt.AgmBattery(capacity_ah=60))
    mine, other = (simulated(p, 500, van) for p in (plan, by_longitude))
    assert mine.compiled.utc_offset_h > other.compiled.utc_offset_h
    assert not np.array_equal(mine.columns["min_soc"], other.columns["min_soc"])


def counted_hours(utc_offset_h, days=1200, first="2026-01-01"):
    """A record whose air temperature is the number of the hour."""
    hours = np.arange(24 * days)
    return _core.HourlySeries(
        latitude=36.1,
        longitude=-79.95,
        utc_offset_h=utc_offset_h,
        first_hour=24 * int(np.datetime64(first, "D").astype(int)),
        ghi_w_m2=np.zeros(len(hours)),
        air_temp_c=hours / 1000,
        dhi_w_m2=None,
    )


@pytest.mark.parametrize("record_offset", [-5.0, 0.0])
@pytest.mark.parametrize("start", ["2027-03-13 15:00", "2026-10-31 15:00", "2026-10-31 01:00"])
def test_no_measured_hour_is_lost_or_doubled_over_a_change(start, record_offset):
    where = site(record=counted_hours(record_offset))
    plan = trip(start, where=where, nights=4, weather="replayed", replay_window_d=0)
    risk = simulated(plan, 8, time_series=["air_c"])
    assert len(risk.clock.changes) == 1
    utc = pd.Timestamp(start, tz="America/New_York").tz_convert("UTC")
    first = (utc - pd.Timestamp("2026-01-01", tz="UTC")) / pd.Timedelta(hours=1) + record_offset
    hours = np.round(1000 * risk.time_series_values["air_c"])
    in_that_year = hours[:, 0] == first  # other trials start in other years
    assert in_that_year.any()
    np.testing.assert_array_equal(hours[in_that_year], np.tile(first + np.arange(96), (in_that_year.sum(), 1)))
    assert np.all(np.diff(hours, axis=1) == 1)


@pytest.mark.filterwarnings("ignore:Site.longitude:UserWarning")
def test_a_record_on_full_hours_of_utc_where_the_clock_has_half_hours():
    where = site(record=counted_hours(6.0), time_zone="Asia/Kolkata")
    plan = trip("2027-03-13 15:00", where=where, weather="replayed", replay_window_d=0, step_min=30)
    risk = simulated(plan, 4, time_series=["air_c"])
    assert not [text for text in risk.warnings if "step_min" in text]
    # 15:00 in India is 9:30 UTC; an hour's last half is in the record's hour that begins at 10:00 UTC, 16:00 there.
    first = 24 * (np.datetime64("2027-03-13") - np.datetime64("2026-01-01")).astype(int) + 16
    hours = np.round(1000 * risk.time_series_values["air_c"])
    assert np.any(hours[:, 0] == first) and np.all(np.diff(hours, axis=1) == 1)
    with pytest.warns(UserWarning, match=r"begin 30 min beside the clock's.*step_min = 30 follows"):
        rt.simulate(rt.Van(), plan.replace(step_min=60), trials=4)


def test_cutouts_are_counted_on_the_clock():
    van = rt.Van(battery=rt.AgmBattery(capacity_ah=25), solar=None)
    for start in ("2027-03-13 15:00", "2026-10-31 15:00", "2027-03-13 01:00"):
        risk = simulated(trip(start, nights=3), 400, van)
        zone, table = ZoneInfo("America/New_York"), np.zeros((4, 24), dtype=int)
        begin = datetime.fromisoformat(start).replace(tzinfo=zone).astimezone(UTC)
        for since in risk.columns["first_cutout_h"][np.isfinite(risk.columns["first_cutout_h"])]:
            wall = (begin + timedelta(hours=int(since))).astimezone(zone).replace(tzinfo=None)
            days = (wall - datetime.fromisoformat(start[:10])) / timedelta(days=1)
            table[max(0, int(days - 0.5)), wall.hour] += 1
        np.testing.assert_array_equal(risk.cutouts_by_night(), table)
        assert table.sum() > 100 and len(risk.clock.changes) == 1


def test_the_result_says_zone_offsets_changes_and_versions():
    risk = simulated(trip("2027-03-13 15:00"))
    (line,) = [text for text in details(risk).splitlines() if text.startswith("Clock: ")]
    assert line == (
        "Clock: America/New_York (found from the coordinates), UTC-5; on 2027-03-14 02:00 it goes to 03:00, UTC-4."
    )
    printed = risk.to_dict()["clock"]
    assert (printed["zone"], printed["source"], printed["utc_offset_h"]) == ("America/New_York", "coordinates", -5)
    assert printed["changes"] == [
        {"hours_since_start": 11, "from": "2027-03-14 02:00", "to": "2027-03-14 03:00", "utc_offset_h": -4}
    ]
    assert printed["zone_data"] == f"{time_zones.rules_version()}, {time_zones.outlines_version()}"
    fixed = simulated(trip("2027-03-13 15:00", where=site(utc_offset_h=5.75)))
    assert "Clock: UTC+5:45, as given (Site.utc_offset_h)." in details(fixed)
    assert fixed.to_dict()["clock"]["zone"] is None


def test_parts_of_a_run_and_workers_have_the_callers_clock():
    from ridethrough.engine.simulation import run_part
    from ridethrough.studies.grid_sweep import cells_outcomes

    plan = trip("2027-03-13 15:00")
    mine, other = clocks.clock_of(plan), _core.Clock(utc_offset_h=3, zone="elsewhere")
    assert pickle.loads(pickle.dumps(mine)) == mine != other
    by_clock = [run_part(rt.Van(), plan, c, 50, 3, 0, "double", True, []).finish() for c in (mine, other)]
    assert np.array_equal(by_clock[0].columns["min_soc"], simulated(plan, 50).columns["min_soc"])
    assert not np.array_equal(by_clock[0].columns["min_soc"], by_clock[1].columns["min_soc"])
    cells = [cells_outcomes([(rt.Van(), plan, c)], 50, 3, "double")[0][0] for c in (mine, other)]
    assert cells[0]["solar_wh"] != cells[1]["solar_wh"]


def test_a_store_is_refused_when_the_zones_have_another_effect(tmp_path, monkeypatch):
    axes = {"trip.start": ["2027-03-13 15:00", "2027-07-13 15:00"]}
    study: dict[str, Any] = {"trials": 10, "store": str(tmp_path / "study"), "progress": lambda done, all: None}
    rt.sweep(rt.Van(), trip("2027-03-13 15:00"), axes, **study)
    monkeypatch.setattr(time_zones, "rules_version", lambda: "tzdata of another day")
    clocks._clock_at.cache_clear()
    rt.sweep(rt.Van(), trip("2027-03-13 15:00"), axes, **study)  # no other effect
    monkeypatch.setattr(time_zones, "clock_changes", lambda *arguments: [])  # summer time is given up
    clocks._clock_at.cache_clear()
    with pytest.raises(rt.InputError, match=r"another study: clock of .* from 2027-03-13 15:00 is .*\(11.0, -4.0\)"):
        rt.sweep(rt.Van(), trip("2027-03-13 15:00"), axes, **study)
    monkeypatch.undo()
    clocks._clock_at.cache_clear()


def test_a_hindcast_keeps_the_clock_of_the_trips_year():
    record = pd.DataFrame(
        {"ghi_kwh_m2": 3.0, "temp_min_c": 5.0, "temp_max_c": 15.0}, index=pd.date_range("2001-01-01", "2002-12-31")
    )
    van, plan = rt.Van(battery=rt.AgmBattery(capacity_ah=40)), trip("2026-07-10 02:00")
    frame = rt.hindcast(van, plan, record)
    # 2026-03-08 has no 2:00; in 2001 it had. In 2001 summer time began in April.
    assert pd.Timestamp("2001-03-08") in frame.index and len(frame) == 730 - 2
    from ridethrough.studies.hindcasting import _on_day

    dated, clock = _on_day(plan, "2001-03-08")
    assert (dated.start, clock.utc_offset_h, clock.changes) == ("2001-03-08 03:00", -4, [])
    assert _on_day(plan, "2001-03-20")[1].utc_offset_h == -4
    assert _on_day(plan, "2000-02-29")[1].utc_offset_h == -5


def test_an_hourly_hindcast_over_changes_uses_measured_hours_only():
    index = pd.date_range("2021-01-01", "2021-12-31 23:00", freq="h", tz="America/New_York")
    record = pd.DataFrame({"ghi": 100.0, "temp_air": np.where(index.month == 7, 20.0, 5.0)}, index=index)
    record = record.drop(record.index[4000:4100])
    frame = rt.hindcast(rt.Van(), trip("2026-07-10 15:00"), record, label="left")
    gap = pd.date_range(index[4000], index[4099], freq="D").tz_localize(None).normalize()
    assert not frame.index.isin(gap).any() and 350 < len(frame) < 365


def test_scenario_files_and_explain(tmp_path, capsys):
    from ridethrough.console import main

    text = """
    [van]
    [trip]
    start = "2026-07-10 15:00"
    nights = 1
    [trip.site]
    latitude = 36.72
    longitude = -4.42
    time_zone = "{zone}"
    [trip.site.climate]
    latitude = 36.72
    longitude = -4.42
    ghi_kwh_m2_day = [2.6, 3.4, 4.6, 5.6, 6.7, 7.4, 7.6, 6.7, 5.3, 3.8, 2.8, 2.3]
    air_temp_c = [12, 13, 15, 16, 19, 23, 26, 26, 23, 19, 15, 13]
    """
    file = tmp_path / "trip.toml"
    file.write_text(text.format(zone="Atlantic/Canary"))
    assert main(["run", str(file), "--trials", "50"]) == 0
    out = capsys.readouterr().out
    assert "Fri 10 Jul 2026 15:00 to Sat 11 Jul 15:00 (Atlantic/Canary, UTC+1)" in out
    file.write_text(text.format(zone="Atlantic/Canaries"))
    assert main(["run", str(file)]) == 2
    said = capsys.readouterr().err
    assert "trip.site.time_zone = 'Atlantic/Canaries'" in said and "did you mean Atlantic/Canary" in said
    assert main(["explain", "trip.site.time_zone"]) == 0
    assert "IANA name" in capsys.readouterr().out
