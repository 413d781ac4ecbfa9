"""What "hours left" leaves out: this van's loads and cut-out, and the next sunrise."""

from __future__ import annotations

import re

import pytest
import ridethrough as rt
from evenings import AGM, POLAR, notes


def test_it_names_what_it_leaves_out() -> None:
    said = notes("14 h left")
    assert said.startswith("14 h left is the charge that the meter counts, over the current of these minutes.")
    assert "this van has lights, water_pump, phones" in said
    assert "cuts out at 10.4 V" in said
    assert "not weighed" in said
    bare = AGM.replace(fridge=rt.Fridge(cutout_v=11), loads=[rt.Lights()])
    assert "this van has lights)" in notes("14 h left", bare)
    assert "cuts out at 11 V" in notes("14 h left", bare)


@pytest.mark.parametrize(("time", "until_sun"), [("20:00", 10.8), ("02:00", 4.8)])
def test_the_next_sun(time: str, until_sun: float) -> None:
    """Sunrise on 8 and 9 November at 36.1 N, 80.0 W is at 6:50 (NOAA's calculator, from memory to 5 min)."""
    found = re.search(r"the Sun is up again (\d+) h from then", notes(f"14 h left, 2026-11-08 {time}"))
    assert found is not None
    assert int(found[1]) == pytest.approx(until_sun, abs=0.6)
    assert "the Sun" not in notes("14 h left", AGM.replace(arrays=[]))


def test_where_the_sun_does_not_rise() -> None:
    assert "the Sun is up again" not in notes("14 h left", trip=POLAR, now="2026-12-08 20:00")
