"""Sentences beside a reading: with its error, what was taken for granted, and where that is known from."""

from __future__ import annotations

import pytest
import ridethrough as rt
from evenings import AGM, LITHIUM, notes, observation


@pytest.mark.parametrize("text", ["62 %", "62 % by app", "62 % by controller", "38 Ah used", "93 Ah left by counter"])
def test_charge_tells_its_error(text: str) -> None:
    unit = 1 if "%" in text else 130
    assert f"standard deviation {100 * observation(text).total_sd / unit:.0f} points" in notes(text)


def test_what_was_taken_for_granted_is_told() -> None:
    assert "taken as a counter's at a shunt" in notes("62 %")
    assert "as nothing was said of the last one" in notes("62 %")
    said = notes(rt.Reading("62 %", meter="counter", full="2026-11-06 20:00"))
    assert "62 %: 2.0 days after a true full charge, as said" in said
    assert "5 points too high" in notes("62 % by app")


def test_volts_of_lithium_say_little() -> None:
    said = notes("13.1 V", LITHIUM)
    assert "says little" in said
    assert f"{observation('13.1 V', LITHIUM).total_sd:.2f} V" in said


def test_surface_charge_is_told_while_it_lasts() -> None:
    assert "charged until 3.0 h before" in notes("12.5 V, charged 2026-11-08 17:00")
    rested = notes("12.5 V, charged 2026-11-08 08:00")
    assert "surface charge" not in rested
    assert f"standard deviation {observation('12.5 V, charged 2026-11-08 08:00', AGM).total_sd:.2f} V" in rested


def test_what_needs_no_sentence_has_none() -> None:
    assert notes("310 Wh today") == notes("5 degC") == notes("4.2 A") == ""
