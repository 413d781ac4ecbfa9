"""The result of a forecast: its examples, and what a wrong key says."""

from __future__ import annotations

import pytest
import ridethrough as rt
from evenings import AGM, NOW, TRIP, failed_examples
from ridethrough.tonight import forecast_result


def test_examples():
    assert failed_examples(forecast_result) == []


def test_it_is_a_result_that_can_be_printed_and_shown():
    found = rt.forecast(AGM, TRIP, now=NOW, readings="62 %", trials=16_384)
    assert isinstance(found, rt.Result)
    assert "WILL THE FRIDGE STAY ON FROM NOW ON?" in str(found)
    assert "cut-out" in found._repr_html_()
    with pytest.raises(rt.InputError, match="0.9"):
        found.soc[0.9]
