"""Of a van with a ventilator no trial is run, by whatever way somebody asks: there is then no number to be had."""

from __future__ import annotations

import sys
import unicodedata
from collections.abc import Callable
from typing import Any

import pandas as pd
import pytest
import ridethrough as rt
from ridethrough import _core
from study_fixture import TRIP, VAN

NAMES = (
    "ventilator",
    "venti\u1e37ator",  # letters that keep a mark of their own when they are put together
    "\u1ecdxygen",
    "my respirator",
    "O2 concentrator",
    "Oxygen",
    "Beatmung",
    "oxígeno",
    "koncentrator tlenu",
    "respirador",
)
VENTILATOR = VAN.replace(loads=[rt.Appliance(name="ventilator", current_a=3, duration_min=60)])
RECORD = pd.DataFrame(
    {"ghi_kwh_m2": 3.0, "temp_min_c": 5.0, "temp_max_c": 15.0}, index=pd.date_range("2001-01-01", periods=365, freq="D")
)
MORE = {"more": VENTILATOR.replace(**{"solar.rated_w": 300})}
CUTOUTS: dict[str, Any] = {"makers_range_v": (10, 12), "dedicated_house_battery": True}


@pytest.mark.parametrize(
    "ask",
    [
        lambda: rt.simulate(VENTILATOR, TRIP),
        lambda: rt.quasi_means(VENTILATOR, TRIP),
        lambda: rt.rare_risk(VENTILATOR, TRIP),
        lambda: rt.hindcast(VENTILATOR, TRIP, RECORD, trials=1),
        lambda: rt.monthly_risk(VENTILATOR, TRIP, trials=1),
        lambda: rt.sweep(VENTILATOR, TRIP, {"solar.rated_w": [100, 200]}, progress=False),
        lambda: rt.sensitivity(VENTILATOR, TRIP, method="morris"),
        lambda: rt.worksheet(VENTILATOR, TRIP),
        lambda: rt.lithium_pays(VENTILATOR, TRIP),
        lambda: rt.compare(VAN, MORE, TRIP),
        lambda: rt.compare(VENTILATOR, MORE, TRIP),
        lambda: rt.size(VENTILATOR, TRIP, "solar.rated_w"),
        lambda: rt.iso_risk(VENTILATOR, TRIP, [200]),
        lambda: rt.cutout_settings(VENTILATOR, TRIP, [10.75], **CUTOUTS),
        lambda: rt.upgrades(VENTILATOR, TRIP, pairs=False),
    ],
)
def test_no_trial_is_run(ask: Callable[[], object], monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*arguments: object, **keywords: object) -> None:
        pytest.fail("a trial was simulated")

    for run in ("simulate", "hindcast", "trace"):
        monkeypatch.setattr(f"ridethrough._core.{run}", never)
    with pytest.raises(rt.InputError, match="No probability is given"):
        ask()


@pytest.mark.parametrize("name", NAMES)
def test_by_the_usual_names(name: str) -> None:
    van = VAN.replace(loads=[rt.Appliance(name=name, current_a=3, duration_min=60)])
    with pytest.raises(rt.InputError, match=f"loads.{name}: No probability.*call a roof fan a fan"):
        rt.simulate(van, TRIP, trials=8)
    fan = VAN.replace(loads=[rt.Appliance(name="fan", current_a=3, duration_min=60)])
    assert rt.simulate(fan, TRIP, trials=8).trials == 8


def test_a_letter_hides_no_name_however_it_is_dressed() -> None:
    """Every letter that Unicode decomposes (NFKD) into an ASCII one and marks, as Python's standard library has it."""
    words = ("ventilator", "oxygen", "koncentrat", "zuurstof", "beadem")
    found = 0
    for letter in map(chr, range(0x80, sys.maxunicode + 1)):
        plain = unicodedata.normalize("NFKD", letter).lower()
        base = "".join(c for c in plain if not unicodedata.combining(c))
        word = next((w for w in words if base.isascii() and len(base) == 1 and base in w), "")
        if word:
            found += 1
            with pytest.raises(rt.InputError, match="No probability is given"):
                _core.refuse_life_support([word.replace(base, letter)])
    assert found > 1000
