"""Times of readings: on the trip's clock, within the trip, not later than now; when the battery was last charged."""

from __future__ import annotations

import pytest
import ridethrough as rt
from evenings import AGM, LITHIUM, NOW, TRIP, clock
from ridethrough.model.clocks import compile_with_clock
from ridethrough.tonight.reading_times import TripClock


def test_hours_of_clock_times() -> None:
    at = clock()
    assert (at.now_h, at.start, at.end) == (53, "2026-11-06 15:00", "2026-11-11 15:00")
    assert at.hour_of("2026-11-07 07:30") == 16.5
    assert at.hour_of("2026-11-05 15:00") == -24
    assert (at.day_of(0), at.day_of(9), at.day_of(53)) == (1, 2, 3)
    assert TripClock.of(AGM, TRIP, NOW, compile_with_clock(AGM, TRIP)).now_h == 53


def test_summer_time_within_the_trip() -> None:
    """Clocks in New York go back on 1 November 2026: the day before the evening has 25 hours."""
    trip = TRIP.replace(start="2026-10-31 15:00")
    assert clock(trip=trip, now="2026-11-01 20:00").now_h == 30


@pytest.mark.parametrize("now", ["2026-11-06 14:00", "2026-11-11 16:00"])
def test_now_lies_within_the_trip(now: str) -> None:
    with pytest.raises(rt.InputError, match="not within the trip; allowed 2026-11-06 15:00 to 2026-11-11 15:00"):
        clock(now=now)


def test_now_must_be_a_time() -> None:
    for wrong in ("2026-11-08", "tonight"):
        with pytest.raises(rt.InputError, match=f"now = '{wrong}'"):
            clock(now=wrong)


def test_hours_of_readings() -> None:
    at = clock()
    assert at.hour_of_reading(None, "") == 53
    assert at.hour_of_reading("2026-11-07 20:00", "") == 29
    assert at.hour_of_reading("2026-11-07", "today") == 31  # 22:00, the Sun is down
    assert at.hour_of_reading("2026-11-08", "today") == 53
    assert at.hour_of_reading(None, "yesterday") == 31
    assert at.hour_of_reading("2026-11-08 08:00", "yesterday") == 31


@pytest.mark.parametrize(
    ("time", "day", "words"),
    [
        ("2026-11-08 20:01", "", "later than now, 2026-11-08 20:00"),
        ("2026-11-09", "today", "later than now"),
        ("2026-11-06 14:00", "", "before the trip's start, 2026-11-06 15:00"),
        ("2026-11-06 20:00", "yesterday", "the day before is before the trip's start"),
    ],
)
def test_times_that_cannot_be(time: str, day: str, words: str) -> None:
    with pytest.raises(rt.InputError, match=words):
        clock().hour_of_reading(time, day)


def test_the_first_day_is_cut_where_the_trip_starts_in_it() -> None:
    assert clock().first_day_is_cut(5)
    assert not clock().first_day_is_cut(29)
    assert not clock(trip=TRIP.replace(start="2026-11-06 02:00")).first_day_is_cut(18)
    assert clock(trip=TRIP.replace(start="2026-11-06 09:00")).first_day_is_cut(11)


def test_last_charge_by_the_sun() -> None:
    """Sunset on 8 November there is at 17:16 (NOAA's calculator, from memory to 5 min); 5 degrees come before."""
    assert clock().charged_before_h(53, None) == pytest.approx(20 - 16.8, abs=0.3)
    assert clock().charged_before_h(45, None) == 0  # noon


def test_last_charge_by_the_plan() -> None:
    drive = TRIP.replace(drives=[rt.Drive(days=[3], start_h=18, duration_h=1)])
    assert clock(trip=drive).charged_before_h(53, None) == 1
    assert clock(LITHIUM.replace(arrays=[], dc_dc=None), drive).charged_before_h(53, None) == float("inf")
    plugged = TRIP.replace(shore_power=[rt.ShorePower(nights=[3])])
    assert clock(AGM.replace(mains=rt.MainsCharger()), plugged).charged_before_h(53, None) == 0


def test_last_charge_as_said() -> None:
    assert clock().charged_before_h(53, "2026-11-08 18:30") == 1.5
    with pytest.raises(rt.InputError, match="Reading.charged.*later than the reading"):
        clock().charged_before_h(53, "2026-11-08 20:30")


def test_a_full_charge_of_a_date_alone_is_at_noon() -> None:
    assert clock().hour_of_full("2026-11-07") == 21
    assert clock().hour_of_full("2026-11-05 15:00") == -24
