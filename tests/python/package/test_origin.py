"""Whether a value is the default, was given or was measured: a remark for readers that no answer hangs on."""

import copy
import pickle

import pytest
import ridethrough as rt


def test_a_value_knows_whether_it_was_measured():
    van = rt.Van(battery=rt.AgmBattery(capacity_ah=150)).with_measured(
        {
            "battery.capacity_ah": 92,
            "loads.standby.current_a": rt.spreads.uniform(0.1, 0.2),
            "cabin_person_heat_w": 3,
        },
        "2026-05-01",
    )
    for twin in (van, pickle.loads(pickle.dumps(van)), copy.deepcopy(van), van.replace(towed=True)):
        assert str(twin.origin("battery.capacity_ah")) == "measured on 2026-05-01"
        assert twin.battery.origin("capacity_ah") == twin.origin("cabin_person_heat_w")
        assert (twin.origin("loads.standby.current_a").type, twin.loads[5].name) == ("measured", "standby")
        assert twin.origin("battery.initial_soc").type == twin.origin("wiring.shared_mohm").type == "default"
        assert type(twin.battery) is rt.AgmBattery and type(twin) is rt.Van
    assert van.battery.capacity_ah == 92
    assert rt.AgmBattery(capacity_ah=150).origin("capacity_ah").type == "given"

    given = rt.Van(**{n: v for n, v in van.values().items() if n != "towed"})
    assert given.origin("cabin_person_heat_w") != van.origin("cabin_person_heat_w")
    assert given == van and hash(given) == hash(van) and repr(given) == repr(van)

    with pytest.raises(rt.InputError, match=r"AgmBattery.capacity_ah: measured on '2026-05-32'; allowed a date"):
        van.with_measured({"battery.capacity_ah": 92}, "2026-05-32")
    with pytest.raises(rt.InputError, match="only numbers are measured"):
        van.with_measured({"battery.location": "locker"}, "2026-05-01")
    for wrong in ("battery.capacity_ah.x", "mains.current_a", "loads.current_a"):
        with pytest.raises(rt.InputError, match="there is nothing inside"):
            van.with_measured({wrong: 1}, "2026-05-01")
        with pytest.raises(rt.InputError, match="there is nothing inside"):
            van.origin(wrong)
    with pytest.raises(rt.InputError, match="did you mean capacity_ah"):
        van.origin("battery.capacity_a")
