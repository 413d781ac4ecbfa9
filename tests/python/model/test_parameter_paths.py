"""Values at dotted paths."""

import pytest
import ridethrough as rt
from demo_studies import demo
from ridethrough.model.parameter_paths import number_at
from ridethrough.studies.sizing import NOT_SIZED


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


@pytest.mark.parametrize("part", ["fridge", "battery", "solar", "wiring", "loads", "loads.laptop"])
def test_a_part_in_place_of_a_number_is_answered_with_numbers_that_can_be_sized(part: str) -> None:
    van, trip = demo()
    with pytest.raises(rt.InputError, match=r"allowed the path of a number; such as ") as refused:
        rt.size(van, trip, part, trials=10)
    told = refused.value.hint.removeprefix("such as ").split(", ")
    assert len(told) == 2
    for path in told:
        assert path.startswith(f"{part}.") and number_at(van, trip, path).type in ("number", "integer")
        assert not path.endswith(tuple(NOT_SIZED))
    with pytest.raises(rt.InputError, match="allowed the path of a number"):
        rt.size(van, trip, "battery.location", trials=10)
