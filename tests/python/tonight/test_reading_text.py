"""Texts of readings: what is read, how far its last digit rounds, what is no reading."""

from __future__ import annotations

import pytest
import ridethrough as rt
from evenings import failed_examples
from ridethrough.tonight import reading_text
from ridethrough.tonight.reading_text import QUANTITIES, WORDS, meaning_of


@pytest.mark.parametrize(
    ("text", "quantity", "low", "high"),
    [
        ("62 %", "soc", 0.615, 0.625),
        ("62%", "soc", 0.615, 0.625),
        ("soc 62.5 per cent", "soc", 0.6245, 0.6255),
        ("12.1 V", "volts", 12.05, 12.15),
        ("12.13 volts", "volts", 12.125, 12.135),
        ("12130 mV", "volts", 12.1295, 12.1305),
        ("12 V", "volts", 11.5, 12.5),
        ("-38 Ah", "ah_used", 37.5, 38.5),
        ("\u221238 Ah", "ah_used", 37.5, 38.5),
        ("38 Ah used", "ah_used", 37.5, 38.5),
        ("93 ah left", "ah_left", 92.5, 93.5),
        ("4.2 A", "amps", 4.15, 4.25),
        ("-4.2 A", "amps", 4.15, 4.25),
        ("4.2 A out", "amps", 4.15, 4.25),
        ("8 A in", "amps", -8.5, -7.5),
        ("+8 A", "amps", -8.5, -7.5),
        ("310 Wh", "yield_wh", 309.5, 310.5),
        ("0.31 kWh today", "yield_wh", 305, 315),
        ("1,200 Wh today", "yield_wh", 1199.5, 1200.5),
        ("25 Ah today", "yield_ah", 24.5, 25.5),
        ("14 h left", "hours_left", 13.5, 14.5),
        ("90 min left", "hours_left", 89.5 / 60, 90.5 / 60),
        ("5 degC", "fridge_c", 4.5, 5.5),
        ("-2 \u00b0C", "fridge_c", -2.5, -1.5),
        ("41 F", "fridge_c", 8.5 / 1.8, 9.5 / 1.8),
        ("2 nights of water", "water_nights", 1.5, 2.5),
        ("30 l of water", "water_l", 29.5, 30.5),
        ("charger in float", "charger", 0, 0),
    ],
)
def test_what_a_text_says(text: str, quantity: str, low: float, high: float) -> None:
    meaning = meaning_of(text)
    assert meaning.quantity == quantity
    assert (meaning.low, meaning.high) == pytest.approx((low, high))
    again = meaning_of(meaning.text)
    assert (again.quantity, again.low, again.high, again.text) == (quantity, meaning.low, meaning.high, meaning.text)


def test_a_yield_has_its_day() -> None:
    assert [meaning_of(text).day for text in ("310 Wh", "310 Wh today", "25 Ah yesterday")] == [
        *("today", "today", "yesterday"),
    ]


def test_words_of_chargers_and_tanks_have_one_form() -> None:
    for text, others in WORDS.items():
        for other in (text, *others, text.upper()):
            assert meaning_of(other).text == text
            assert meaning_of(other).quantity == "charger"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("150 %", "allowed 0 to 100 %"),
        ("40 V", "allowed 8 to 16 V; only 12 V systems"),
        ("-12.1 V", "allowed 8 to 16 V"),
        ("-5 %", "never negative"),
        ("-3 Ah left", "never negative; what was used"),
        ("-310 Wh", "never negative"),
        ("38 Ah", "which ampere-hours"),
        ("62", "a unit is needed"),
        ("12,1 V", "decimals are written with a point"),
        ("14 h", "14 h left"),
        ("2 nights", "2 nights of water"),
        ("30 l", "30 l of water"),
        ("62 furlongs", "not a reading"),
        ("chargr in float", "did you mean 'charger in float'"),
        ("60 degC", "allowed -40 to 50 degC"),
        ("2000 A", "allowed -1,000 to 1,000 A"),
        ("", "not a reading"),
    ],
)
def test_what_is_no_reading(text: str, words: str) -> None:
    with pytest.raises(rt.InputError, match=words) as found:
        meaning_of(text)
    assert found.value.path == "Reading.text"


def test_every_quantity_can_be_typed() -> None:
    said = {name: f"10 {quantity.ending}" for name, quantity in QUANTITIES.items()}
    said |= {"yield_wh": "10 Wh today", "yield_ah": "10 Ah today"}
    assert {name: meaning_of(text).quantity for name, text in said.items()} == {name: name for name in said}


def test_examples() -> None:
    assert failed_examples(reading_text) == []
