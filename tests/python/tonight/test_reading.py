"""A reading: text and arguments say the same, its text can be typed again, and senseless circumstances are refused."""

from __future__ import annotations

import pickle
from typing import Any

import pytest
import ridethrough as rt

AT = "2026-09-24 20:00"
READINGS = [
    rt.Reading("62 %"),
    rt.Reading("62 %", time=AT, full="2026-09-22", meter="counter"),
    rt.Reading("12.1 V", at="fridge", compressor=True, time=AT, on=["lights", "laptop"], meter="counter"),
    rt.Reading("12.10 V", at="panel", on=[], charged="2026-09-24 17:30"),
    rt.Reading("-38 Ah", full="2026-09-22 14:00"),
    rt.Reading("93 Ah left", meter="app"),
    rt.Reading("4.2 A", compressor=False, on="lights"),
    rt.Reading("25 Ah today", time="2026-09-24"),
    rt.Reading("14 h left", on=["lights"]),
    rt.Reading("5 degC", time=AT),
    rt.Reading("2 nights of water"),
    rt.Reading("vehicle feed absent", time=AT),
]


@pytest.mark.parametrize("reading", READINGS, ids=str)
def test_it_can_be_typed_again(reading: rt.Reading) -> None:
    again = rt.Reading(str(reading))
    assert (again, again.low, again.high, hash(again)) == (reading, reading.low, reading.high, hash(reading))
    assert eval(repr(reading), {"Reading": rt.Reading}) == reading
    assert pickle.loads(pickle.dumps(reading)) == reading
    assert str(again) == str(reading)


def test_text_and_arguments_say_the_same() -> None:
    typed = rt.Reading(f"12.1 V at fridge, compressor on, lights + laptop on, {AT}")
    assert typed == rt.Reading("12.1 V", at="fridge", compressor=True, on=["lights", "laptop"], time=AT)
    assert typed.text == "12.1 V"
    assert repr(rt.Reading("62%")) == "Reading('62 %')"


@pytest.mark.parametrize(
    ("text", "arguments", "words"),
    [
        ("62 %", {"compressor": True}, "Reading.compressor = True: makes no difference"),
        ("5 degC", {"on": ["lights"]}, "Reading.on.*makes no difference"),
        ("62 %", {"charged": AT}, "Reading.charged.*counter"),
        ("62 %", {"full": "2026-09-22", "meter": "app"}, "Reading.full"),
        ("12.1 V", {"full": "2026-09-22"}, "Reading.full"),
        ("38 Ah used", {"meter": "controller"}, "Reading.meter"),
        ("2 nights of water", {"meter": "counter"}, "Reading.meter"),
        ("12.1 V at fridge", {"at": "panel"}, "Reading.at = 'panel': the text says it too"),
        ("12.1 V, compressor on", {"compressor": False}, "Reading.compressor = False: the text says it too"),
        ("12.1 V", {"compressor": "yes"}, "allowed True, False"),
        ("12.1 V", {"place": "fridge"}, "no such argument"),
        ("12.1 V", {"time": "2026-09-24"}, "a date alone"),
    ],
)
def test_what_is_refused(text: str, arguments: dict[str, Any], words: str) -> None:
    with pytest.raises(rt.InputError, match=words):
        rt.Reading(text, **arguments)


def test_a_reading_is_a_text() -> None:
    wrong: Any = 62
    with pytest.raises(rt.InputError, match="Reading.text = 62: allowed a text"):
        rt.Reading(wrong)
