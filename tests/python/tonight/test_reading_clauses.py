"""Clauses after a reading, and arguments: read, written and refused in the same words."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from evenings import failed_examples
from ridethrough.tonight import reading_clauses
from ridethrough.tonight.reading_clauses import (
    clauses_text,
    read_loads,
    read_meter,
    read_place,
    read_time,
    split_clauses,
)

EMPTY: dict[str, Any] = {
    **{"at": "terminals", "meter": None, "compressor": None, "on": None},
    **{"charged": None, "full": None, "time": None},
}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("12.1 V at fridge", {"at": "fridge"}),
        ("12.1 V at control panel", {"at": "control panel"}),
        ("12.1 V, at fridge, compressor running", {"at": "fridge", "compressor": True}),
        ("12.1 V, with lights and laptop on", {"on": ("lights", "laptop")}),
        ("12.1 V; lights + laptop on", {"on": ("lights", "laptop")}),
        ("12.1 V, nothing on", {"on": ()}),
        ("12.1 V, compressor off, 2026-09-24 20:00", {"compressor": False, "time": "2026-09-24 20:00"}),
        ("12.1 V, charged 2026-09-24 17:00", {"charged": "2026-09-24 17:00"}),
        ("12.1 V by counter at panel", {"at": "panel", "meter": "counter"}),
        ("1,200 Wh today", {}),
    ],
)
def test_clauses(text: str, said: dict[str, Any]) -> None:
    head, found = split_clauses(text)
    assert found == said
    assert head in ("12.1 V", "1,200 Wh today")


def test_clauses_are_read_back() -> None:
    values = {
        **{"at": "fridge", "meter": "counter", "compressor": False, "on": ("lights", "laptop")},
        **{"charged": "2026-09-24 17:00", "full": "2026-09-22", "time": "2026-09-24 20:00"},
    }
    assert split_clauses("12.1 V" + clauses_text(values)) == ("12.1 V", values)
    assert clauses_text(EMPTY) == ""
    assert split_clauses("12.1 V" + clauses_text({**EMPTY, "on": ()}))[1] == {"on": ()}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("62 %, whatever", "'whatever' is not understood"),
        ("62 %, 24.9.2026 20:00", "not a date and time.*2026-09-24 20:00"),
        ("12.1 V at fridge, at panel", "at is said twice"),
    ],
)
def test_clauses_that_are_refused(text: str, words: str) -> None:
    with pytest.raises(rt.InputError, match=words):
        split_clauses(text)


def test_places_and_meters() -> None:
    assert [read_place(name) for name in ("shunt", "Fridge", "battery", "distribution")] == [
        *("shunt", "fridge", "terminals", "panel"),
    ]
    assert [read_meter(name) for name in ("counter", "bms", "monitor", None)] == ["counter", "app", "counter", None]
    with pytest.raises(rt.InputError, match="Reading.at = 'frige'.*did you mean 'fridge'"):
        read_place("frige")
    with pytest.raises(rt.InputError, match="Reading.meter = 3"):
        read_meter(3)


def test_loads() -> None:
    assert read_loads("lights") == ("lights",)
    assert read_loads(["lights", "laptop"]) == ("lights", "laptop")
    assert read_loads([]) == ()
    assert read_loads(None) is None
    wrong: Any
    for wrong in (3, [3], {"lights": 1}, ["lights", "lights"]):
        with pytest.raises(rt.InputError, match="Reading.on"):
            read_loads(wrong)


def test_times() -> None:
    at = datetime(2026, 9, 24, 20)
    for time in (at, np.datetime64(at), "2026-09-24 20:00", "2026-09-24T20:00", "2026-09-24T20:00:00"):
        assert read_time("Reading.time", time, day_alone=False) == "2026-09-24 20:00"
    assert read_time("Reading.full", date(2026, 9, 22), day_alone=True) == "2026-09-22"
    assert read_time("Reading.full", None, day_alone=False) is None


@pytest.mark.parametrize(
    ("time", "words"),
    [
        ("2026-09-24", "a date alone"),
        ("20:00", "not a date and time"),
        ("9/24/2026 20:00", "did you mean '2026-09-24 20:00'"),
        ("2026-02-30 20:00", "no such date"),
        (20, "Reading.time = 20"),
    ],
)
def test_times_that_are_refused(time: Any, words: str) -> None:
    with pytest.raises(rt.InputError, match=words):
        read_time("Reading.time", time, day_alone=False)


def test_examples() -> None:
    assert failed_examples(reading_clauses) == []
