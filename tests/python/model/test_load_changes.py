"""Loads are added, changed and taken away by their names."""

from typing import Any

import pytest
import ridethrough as rt


def test_loads_by_name() -> None:
    van: Any = rt.Van()
    names = [load.name for load in van.loads]
    more = van.with_loads(rt.Kettle(uses_per_day=2), rt.Lights(current_a=1.5), rt.Fan(name="second_fan"))
    assert [load.name for load in more.loads] == [*names, "kettle", "second_fan"]
    assert more.get("loads.lights.current_a") == 1.5 and more.get("loads.kettle.uses_per_day") == 2
    assert more.replace(loads=van.loads) == van
    less = more.without("second_fan", "laptop")
    assert [load.name for load in less.loads] == [name for name in names if name != "laptop"] + ["kettle"]
    assert van.with_loads() == van.without() == van and van.without(*names).loads == ()
    assert rt.Van(loads=[rt.Heater()]).loads == (rt.Heater(),)  # a list is all loads
    for call, words in {
        lambda: van.without("fans"): "without: no load 'fans' to take away; did you mean fan?",
        lambda: van.without("fan", "fan"): "no load 'fan' to take away",
        lambda: van.without("xylophone"): "allowed lights, ",
        lambda: van.without(["fan"]): "no load .*fan",
        lambda: van.with_loads(rt.Fan(), rt.Fan(current_a=2)): "with_loads: the name 'fan' is used twice",
        lambda: van.with_loads([rt.Fan()]): "with_loads: .*is no load",
        lambda: van.with_loads(rt.SolarArray()): "with_loads: SolarArray.*is no load",
    }.items():
        with pytest.raises(rt.InputError, match=words):
            call()
