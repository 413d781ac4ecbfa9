"""What loads take while they are on: by hand, for every kind that a van may have."""

from __future__ import annotations

import pytest
import ridethrough as rt
from ridethrough.model.classes import CLASSES
from ridethrough.tonight.load_powers import load_w, loads_w


def test_a_few_by_hand() -> None:
    assert load_w(rt.Laptop(current_a=4), 12) == 48
    assert load_w(rt.Phones(count=3, charge_ah=1.2, duration_h=1.5), 12) == pytest.approx(12 * 3 * 0.8)
    assert load_w(rt.Kettle(power_w=900, efficiency=0.9), 12) == 1000
    assert load_w(rt.EBike(energy_wh=500, efficiency=0.8, duration_h=4), 12) == 156.25
    assert load_w(rt.BreathingMachine(duration_h=8), 12) == 30
    assert load_w(rt.BreathingMachine(heated_humidifier="yes", duration_h=8), 12) == 82.5
    assert load_w(rt.Heater(low_current_a=1, full_current_a=2), 12) == 18
    assert load_w(rt.GuestEvening(charge_ah=12, duration_h=4), 12) == 36
    assert load_w(rt.Inverter(idle_current_a=0.5), 12) == 6


def test_every_kind_of_load_takes_something() -> None:
    kinds = rt.Van._declaration.field("loads").choices
    more = {
        "Appliance": {"name": "x", "current_a": 2, "duration_min": 5},
        "InverterAppliance": {"name": "x", "power_w": 100, "duration_min": 5},
    }
    watts = {kind: load_w(CLASSES[kind](**more.get(kind, {})), 12) for kind in kinds}
    assert len(watts) > 20
    assert {kind: w for kind, w in watts.items() if not 0.1 < w < 3000} == {}


def test_named_loads_and_what_is_always_on() -> None:
    van = rt.Van(loads=[rt.Lights(current_a=1), rt.Laptop(current_a=4), rt.Standby(current_a=0.5)])
    assert loads_w(van, []) == 6
    assert loads_w(van, ["lights", "laptop"]) == 66
    lithium = van.replace(battery=rt.LithiumBattery())
    assert loads_w(lithium, ["lights"]) == pytest.approx(12.8 * 1.5)


def test_a_load_that_the_van_has_not() -> None:
    with pytest.raises(rt.InputError, match="Reading.on = 'lapto': no such load in this van; did you mean 'laptop'"):
        loads_w(rt.Van(), ["lapto"])
    with pytest.raises(rt.InputError, match="compressor=True"):
        loads_w(rt.Van(), ["fridge"])
