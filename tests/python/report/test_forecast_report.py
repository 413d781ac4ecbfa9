"""The evening's forecast as text: every chance with its interval and trips, and the cautions."""

from __future__ import annotations

import re

import pytest
import ridethrough as rt
from evenings import AGM, NOW, TRIP
from ridethrough.report.forecast_report import write_forecast
from verdict_text import one_line

CHANCE = (
    r"(?:(?:under |over )?[\d.]+ % \((?:under |over )?[\d.]+-(?:under |over )?[\d.]+ %|none seen, at most [\d.]+ % \(?)"
)


@pytest.fixture(scope="module")
def found():
    return rt.forecast(AGM, TRIP, now=NOW, readings=["80 %, 2026-11-07 20:00", "62 %"], trials=16_384)


def test_every_chance_has_interval_and_trips(found):
    said = one_line(str(found))
    for begins in ("before the sun of Mon 9 Nov", "By the end of Mon 9 Nov", "By the end of the trip", "At the start"):
        assert re.search(rf"{begins}[^%]*?{CHANCE}[^)]*\d+ (?:effective )?trips\)", said), (begins, said)


def test_it_says_what_the_readings_changed_and_what_they_do_not(found):
    said = one_line(str(found))
    assert "Read: 80 %, 2026-11-07 20:00; 62 %." in said
    assert "On Sat 7 Nov 20:00 the chance of a cut-out by the end was" in said
    assert "the model's own error comes on top" in said
    assert "A planning aid, no guarantee" in said


def test_a_phone_s_lines_are_short(found):
    assert max(map(len, write_forecast(found, narrow=True, title="Lake").splitlines())) <= 45


def test_a_drop_that_is_not_excluded_is_not_said_to_be(found):
    assert "taken as known" in one_line(str(found))
    other = rt.forecast(AGM, TRIP, now=NOW, readings="62 %", trials=16_384, kept_on=False)
    assert "taken as known" not in one_line(str(other))
