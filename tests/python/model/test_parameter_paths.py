"""Values at dotted paths."""

import pytest
import ridethrough as rt


def test_dotted_paths():
    van = rt.Van()
    other = van.replace(**{"battery.capacity_ah": 200, "loads.lights.current_a": 1.5})
    assert other.battery.capacity_ah == other.get("battery.capacity_ah") == 200
    assert other.get("loads.lights.current_a") == 1.5
    assert other.get("loads.lights") == rt.Lights(current_a=1.5)
    assert [m for m in other.loads if m.name != "lights"] == [m for m in van.loads if m.name != "lights"]
    assert van.replace(battery=rt.LithiumBattery(), **{"battery.capacity_ah": 90}).battery == rt.LithiumBattery(
        capacity_ah=90
    )
    assert van.replace(**{"loads.lights": rt.Lights(current_a=1.5)}).get("loads.lights.current_a") == 1.5
    for path, match in {
        "battery.capacity": "did you mean capacity_ah",
        "loads.light.current_a": "did you mean 'lights'",
        "battery.capacity_ah.x": "nothing inside",
        "mains.current_a": "nothing inside",
    }.items():
        with pytest.raises(rt.InputError, match=match):
            van.replace(**{path: 1})
        with pytest.raises(rt.InputError, match=match):
            van.get(path)
