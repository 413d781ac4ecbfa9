"""What is said of coming days: words, clearness and irradiation, a skill that fades, days that cannot be."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from evenings import POLAR, TRIP, clock, failed_examples
from ridethrough.tonight import outlook
from ridethrough.tonight.meter_errors import error_value
from ridethrough.tonight.outlook import DayOutlook, dull_days, each_day, outlook_sd, read_outlook, skill_of

LONG = clock(trip=TRIP.replace(nights=14))  # now is the evening of day 3


def test_words_in_their_order() -> None:
    found = read_outlook("sunny, mixed, dull, rain", LONG)
    assert [one.day for one in found] == [4, 5, 6, 7]
    assert [one.clearness for one in found] == sorted((one.clearness for one in found), reverse=True)
    assert found == read_outlook(["clear", "cloudy", "Overcast", "wet"], LONG)


def test_days_by_date_and_number() -> None:
    by_date = read_outlook({"2026-11-10": "rain", "2026-11-09": "sunny"}, LONG)
    assert by_date == read_outlook({5: "rain", 4: "sunny"}, LONG) == read_outlook("sunny, rain", LONG)
    assert by_date == read_outlook({date(2026, 11, 9): "sunny", date(2026, 11, 10): "rain"}, LONG)


def test_irradiation_is_taken_by_what_the_day_has() -> None:
    """Without an atmosphere: Duffie & Beckman's daily integral, declination of Spencer 1971 (from memory)."""
    n, latitude = 313, np.radians(36.1)
    year = 2 * np.pi * (n - 1) / 365
    series = [0.006918, -0.399912, 0.070257, -0.006758, 0.000907, -0.002697, 0.00148]
    terms = [1, *(f(k * year) for k in (1, 2, 3) for f in (np.cos, np.sin))]
    declination = np.dot(series, terms)
    sunset = np.arccos(-np.tan(latitude) * np.tan(declination))
    above = np.cos(latitude) * np.cos(declination) * np.sin(sunset) + sunset * np.sin(latitude) * np.sin(declination)
    sky = 24 / np.pi * 1.361 * (1 + 0.033 * np.cos(2 * np.pi * n / 365)) * above
    (one,) = read_outlook(["2.5 kWh/m2"], LONG)
    assert one.clearness == pytest.approx(2.5 / sky, rel=0.02)
    (same,) = read_outlook(["9 MJ/m2"], LONG)
    assert same == one
    assert read_outlook([0.45], LONG) == read_outlook("45 %", LONG)


def test_skill_fades_within_about_a_week() -> None:
    skills = [skill_of(lead) for lead in range(1, 11)]
    assert skills[0] == error_value("outlook_skill_first_day")
    assert skills == sorted(skills, reverse=True)
    assert skills[6] > 0 == skills[7]
    found = read_outlook(["rain"] * 10, LONG)
    assert [one.day for one in found] == [*range(4, 11)]
    assert [one.sd for one in found] == sorted(one.sd for one in found)


def test_the_error_leaves_the_stated_skill() -> None:
    """Of made-up days with the table's spread, seen with that error, the correlation is the skill."""
    draws = np.random.default_rng(1)
    days = draws.normal(0.5, error_value("clearness_of_days"), 200_000)
    for skill in (0.85, 0.5, 0.2):
        seen = days + draws.normal(0, outlook_sd(skill, 0), days.size)
        assert np.corrcoef(days, seen)[0, 1] == pytest.approx(skill, abs=4.9 / days.size**0.5)
    assert outlook_sd(0.85, 0.1) > outlook_sd(0.85, 0)


def test_given_dull_days() -> None:
    dull = error_value("outlook_dull")
    assert dull_days(4, LONG) == tuple(DayOutlook(day, dull, 0.0) for day in (4, 5, 6, 7))
    with pytest.raises(rt.InputError, match="dull_days = 4; allowed|dull_days = 4: allowed"):
        dull_days(4, clock())
    with pytest.raises(rt.InputError, match="no day left"):
        dull_days(1, clock(now="2026-11-11 10:00"))


def test_sentences_tell_the_skill() -> None:
    (said,) = each_day(read_outlook("rain", LONG), LONG)
    assert said.startswith("2026-11-09: clearness 0.16, standard deviation 0.")
    assert "skill (correlation) 0.85" in said
    (given,) = each_day(dull_days(1, LONG), LONG)
    assert given == "2026-11-09: clearness 0.25, as given."


@pytest.mark.parametrize(
    ("outlook", "words"),
    [
        ("suny", "did you mean 'sunny'"),
        ({"2026-11-08": "rain"}, "day 3 of the trip, is today or past"),
        ({"2026-12-24": "rain"}, "after the trip's end; allowed days 4 to 15"),
        ({"24.12.2026": "rain"}, "not a date"),
        ({4: "rain", "2026-11-09": "sunny"}, "a day is in it twice"),
        (["9 kWh/m2"], "more than a clear sky gives there on 2026-11-09"),
        (["-1 kWh/m2"], "negative"),
        ([4.2], "4.2 kWh/m2"),
        ([1.2], "allowed a clearness"),
        ([None], "allowed sunny"),
        ([], "of each coming day"),
        (3, "of each coming day"),
    ],
)
def test_what_is_refused(outlook: Any, words: str) -> None:
    with pytest.raises(rt.InputError, match=words):
        read_outlook(outlook, LONG)


def test_a_day_without_sun_has_no_irradiation() -> None:
    with pytest.raises(rt.InputError, match="the Sun hardly rises on 2026-12-09"):
        read_outlook(["1 kWh/m2"], clock(trip=POLAR, now="2026-12-08 20:00"))


def test_examples() -> None:
    assert failed_examples(outlook) == []
