"""Words of tanks and chargers: a device that is not there is refused, the rest gives a sentence."""

from __future__ import annotations

import pytest
import ridethrough as rt
from evenings import AGM, LITHIUM, notes
from ridethrough.tonight.reading_text import WORDS
from ridethrough.tonight.stated_checks import require_device


@pytest.mark.parametrize(
    ("text", "van", "missing"),
    [
        ("310 Wh today", AGM.replace(arrays=[]), "Van.arrays"),
        ("sun absent", AGM.replace(arrays=[]), "Van.arrays"),
        ("2 nights of water", LITHIUM, "Van.water"),
        ("grey valve open", LITHIUM, "Van.water"),
        ("vehicle feed present", AGM.replace(dc_dc=None), "Van.dc_dc"),
        ("charger in float", AGM.replace(dc_dc=None, arrays=[]), "any charger"),
    ],
)
def test_a_device_that_the_van_has_not(text: str, van: rt.Van, missing: str) -> None:
    with pytest.raises(rt.InputError, match=f"has not .*{missing}"):
        require_device(rt.Reading(text), van)
    require_device(rt.Reading(text), AGM)


def test_more_water_than_the_tank_holds() -> None:
    require_device(rt.Reading("70 l of water"), AGM)
    with pytest.raises(rt.InputError, match="more than the fresh tank holds, 70 l"):
        require_device(rt.Reading("90 l of water"), AGM)


@pytest.mark.parametrize("text", WORDS)
def test_every_word_gives_a_sentence(text: str) -> None:
    said = notes(text)
    assert said.endswith(".")
    assert len(said) > 30


def test_nights_of_water_against_the_nights_to_go() -> None:
    """At 20:00 on 8 November of a trip to 11 November 15:00 three nights are left."""
    assert "the trip has 3 to go: it runs dry before the end" in notes("2 nights of water")
    assert "runs dry" not in notes("3 nights of water")
    assert "35 l, 50 % of the tank" in notes("35 l of water")


def test_charge_types() -> None:
    assert "never quite full" in notes("charger set to lithium")
    assert "wrong voltages" in notes("charger set to agm", LITHIUM)
    assert "as the battery is" in notes("charger set to agm")
    assert "as the battery is" in notes("charger set to lithium", LITHIUM)


def test_a_feed_that_is_absent_is_no_silent_matter() -> None:
    assert "line_closed = false" in notes("vehicle feed absent")
    assert "still counts on the Sun" in notes("sun absent")
