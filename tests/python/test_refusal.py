"""Of a ventilator no probability is told, by whatever way somebody asks for one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pandas as pd
import pytest
import ridethrough as rt
from study_fixture import TRIP, VAN

NAMES = ("ventilator", "my respirator", "O2 concentrator", "Oxygen")
VENTILATOR = VAN.replace(loads=[rt.Appliance(name="ventilator", current_a=3, minutes=60)])
RECORD = pd.DataFrame(
    {"ghi_kwh_m2": 3.0, "temp_min_c": 5.0, "temp_max_c": 15.0}, index=pd.date_range("2001-01-01", periods=365, freq="D")
)
FEW: dict[str, Any] = {"trials": 64}


@pytest.mark.parametrize(
    "ask",
    [
        lambda: rt.rare_risk(VENTILATOR, TRIP),
        lambda: rt.hindcast(VENTILATOR, TRIP, RECORD, trials=1),
        lambda: rt.monthly_risk(VENTILATOR, TRIP, trials=1),
        lambda: rt.sweep(VENTILATOR, TRIP, {"solar.rated_w": [100, 200]}, trials=8, progress=False),
    ],
)
def test_numbers_are_refused(ask: Callable[[], object]) -> None:
    with pytest.raises(rt.InputError, match="No probability is given"):
        ask()


@pytest.mark.parametrize(
    "ask",
    [
        lambda: rt.simulate(VENTILATOR, TRIP, **FEW),
        lambda: rt.worksheet(VENTILATOR, TRIP, **FEW),
        lambda: rt.lithium_pays(VENTILATOR, TRIP, **FEW),
        lambda: rt.compare(VENTILATOR, {"more": VENTILATOR.replace(**{"solar.rated_w": 300})}, TRIP, **FEW),
        lambda: rt.size(VENTILATOR, TRIP, "solar.rated_w", within=(100, 300), step=100, **FEW),
        lambda: rt.upgrades(VENTILATOR, TRIP, pairs=False, **FEW),
    ],
)
def test_words_refuse(ask: Callable[[], object]) -> None:
    text = str(ask())
    assert text.startswith("No probability is given") and "%" not in text


@pytest.mark.parametrize("name", NAMES)
def test_by_the_usual_names(name: str) -> None:
    van = VAN.replace(loads=[rt.Appliance(name=name, current_a=3, minutes=60)])
    assert "No probability is given" in str(rt.simulate(van, TRIP, trials=8))
