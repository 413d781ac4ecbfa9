"""The value protocol of every configuration class, from its declaration alone, and the spreads against SciPy."""

import copy
import inspect
import math
import pickle
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from every_class import EVERY_CLASS, build
from ridethrough import _core, spreads
from ridethrough.model.classes import CLASSES

# Fields that only go together with others: stops stand in place of the site and the nights.
TOGETHER = {("Trip", "stops"): {"site": None, "nights": None}}


NAMES = {**vars(rt), **vars(spreads)}  # what a repr is read with


def fields_of(cls):
    return _core.Configuration._classes[cls.__name__]._declaration.fields


def centre(value):
    return value.quantile(0.5, -math.inf, math.inf) if isinstance(value, spreads.Spread) else value


def other_values(field, value):
    """Candidates that a field allows and that are not `value`; relations between fields may refuse some."""
    if field.type in ("number", "integer"):
        here = field.low if value is None else centre(value)
        steps = [here + share * (end - here) for share in (0.5, 0.1, 1e-3) for end in (field.high, field.low)]
        if field.type == "integer":
            steps = [here + 1, here - 1, *(here // d for d in (2, 4))]
        elif field.variation != "fixed":
            drawn = [spreads.triangular(min(here, x), x, max(here, x), per="trial") for x in steps if x != here]
            return drawn + [spreads.pert(*s.arguments) for s in drawn] + steps
        return steps
    if field.type == "flag":
        return [not value]
    if field.type == "choice":
        return [word for word in field.choices if word != value]
    if field.name == "time_zone":
        return ["America/New_York", "Asia/Kathmandu"]
    if field.type == "text":
        return [f"{value or field.name}_2", "2027-02-03 09:00"]
    if field.type == "numbers":
        if value is None or not value:
            return [[field.low + 1.0] * (field.size or 1), [(field.low + field.high) / 2] * (field.size or 1)]
        i, x = len(value) // 2, value[len(value) // 2]
        return [[*value[:i], x + share * (field.high - x), *value[i + 1 :]] for share in (0.1, 1e-3)]
    if field.type == "days":
        return [[1], ["2027-02-04"], ["Sunday", 2]]
    if field.type == "bearings":
        return [[[300, field.high], [90.5, field.low + 1]]]
    inside = [build(CLASSES[name]) for name in field.choices]
    if field.type == "part":
        return [r for r in inside if r != value] + [other for r in inside for other in changed_one_by_one(r)]
    return [[r] for r in inside]


def changed_one_by_one(record):
    """For each field (but a series) the record with another value there."""
    for field in record.schema.fields:
        if field.type == "series":
            continue
        value = getattr(record, field.name)
        refusals = []
        for candidate in other_values(field, value):
            try:
                more = TOGETHER.get((type(record).__name__, field.name), {})
                changed = record.replace(**{field.name: candidate, **more})
            except rt.InputError as error:
                refusals.append(str(error))
                continue
            if changed != record:
                yield changed
                break
        else:
            pytest.fail(f"{type(record).__name__}.{field.name} takes no second value: {refusals}")


@EVERY_CLASS
def test_value_protocol(cls):
    record = build(cls)
    for value in [record, *changed_one_by_one(record)]:
        assert (value == record) is (value is record)
        for twin in (
            eval(repr(value), NAMES),
            pickle.loads(pickle.dumps(value)),
            copy.copy(value),
            copy.deepcopy(value),
            value.replace(),
            cls(**value.values()),
            cls.from_dict(value.to_dict()),
        ):
            assert type(twin) is cls
            assert twin == value
            assert hash(twin) == hash(value)
            assert twin.digest == value.digest
        assert value is record or value.digest != record.digest
        assert value.warnings() is not None
    assert record != repr(record)


@EVERY_CLASS
def test_frozen(cls):
    record = build(cls)
    for field in record.schema.fields:
        with pytest.raises(AttributeError, match=f"read-only.*{field.name}"):
            setattr(record, field.name, getattr(record, field.name))
        with pytest.raises(AttributeError, match="read-only"):
            delattr(record, field.name)
        assert field.name in dir(record)
    with pytest.raises(AttributeError, match="read-only"):
        record.another = 1
    with pytest.raises(AttributeError, match="no such field"):
        record.another  # noqa: B018
    with pytest.raises(rt.InputError, match="takes its values by name"):
        cls(*record.values().values())


@EVERY_CLASS
def test_numbers_outside_their_range_are_refused(cls):
    for field in fields_of(cls):
        if field.type not in ("number", "integer", "numbers"):
            continue
        below, above = math.nextafter(field.low, -math.inf), math.nextafter(field.high, math.inf)
        if field.type == "integer":
            below, above = field.low - 1, field.high + 1
        text = "here" if field.name in ("latitude", "longitude") else "1"  # "1" is a coordinate
        for bad in (math.nan, math.inf, -math.inf, below, above, text, True):
            many = [bad] * (field.size or 1)
            with pytest.raises(rt.InputError) as error:
                build(cls, **{field.name: many if field.type == "numbers" else bad})
            message = str(error.value)
            assert message.startswith(f"{cls.__name__}.{field.name}")
            assert all(f"{end:.15g}" in message for end in (field.low, field.high)), message
        if field.type == "integer":
            with pytest.raises(rt.InputError, match=f"{field.name} = .*whole"):
                build(cls, **{field.name: field.low + 0.5})


@EVERY_CLASS
def test_spreads_no_finer_than_the_level(cls):
    levels: list[Any] = ["fixed", "trial", "day", "hour"]
    for field in fields_of(cls):
        if field.type != "number":
            continue
        for level in levels[1:]:
            spread = spreads.uniform(field.low, field.high, per=level)
            if levels.index(level) > levels.index(field.variation):
                with pytest.raises(rt.InputError, match=f"{field.name} = uniform.*allowed (one number|per=)"):
                    build(cls, **{field.name: spread})
        if field.variation != "fixed":
            with pytest.raises(rt.InputError, match=f"{field.name} = uniform.*allowed"):
                build(cls, **{field.name: spreads.uniform(field.low, math.nextafter(field.high, math.inf))})


@pytest.mark.parametrize("first", ["Van", "Trip"])
def test_every_path_is_explained(first):
    def walk(path, schema):
        for field in schema.fields:
            text = rt.explain(f"{path}.{field.name}")
            assert f"{schema.name}.{field.name}" in text
            assert field.doc in text
            for name in field.choices if field.type in ("part", "parts") else ():
                walk(f"{path}.{field.name}", CLASSES[name]._declaration)

    walk(first, CLASSES[first]._declaration)
    assert rt.explain(first) == inspect.getdoc(CLASSES[first])


def test_explain_tells_what_is_wrong():
    assert "150" in rt.explain("Van.battery.capacity_ah")
    assert rt.explain("Van.loads.lights") == inspect.getdoc(rt.Lights)
    assert rt.explain("Van.loads.lights.current_a") in rt.explain("Van.loads.current_a")
    for path, match in {
        "Vann": "did you mean van",
        "Van.battery.capacity": "did you mean van.battery.capacity_ah",
        "Van.battery.capacity_ah.x": "nothing inside",
    }.items():
        with pytest.raises(rt.InputError, match=match):
            rt.explain(path)


def test_numbers_by_compass_bearing() -> None:
    trip = rt.Trip(site=rt.Site(latitude=36, longitude=-80), start="2026-05-06 15:00", nights=2)

    def around(points: object) -> tuple[tuple[float, float], ...]:
        return trip.replace(horizon_deg=points).horizon_deg

    assert around([[180, 5], (90, 15)]) == ((90, 15), (180, 5))
    assert around({"S": 5, "E": 15}) == around(np.array([[180, 5], [90, 15]])) == ((90, 15), (180, 5))
    names = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"]
    assert around(dict.fromkeys(names, 1)) == tuple((45 * i, 1) for i in range(8))
    assert around([[360, 5]]) == ((0, 5),) and around([]) == around({}) == trip.horizon_deg == ()
    for points, words in {
        (0, 0, 20, 0): r"4 numbers in a row; .*\[\[0, 0\], \[20, 0\]\]; .* \[\[0, 0\], \[90, 0\], \[180, 20\], ",
        ((90, 5), (90.0, 6)): r"Trip.horizon_deg = \[90, 6\]: the bearing 90 deg is given twice",
        ((0, 5), (360, 5)): "the bearing 360 deg is given twice",
        ((361, 5),): r"Trip.horizon_deg = \[361, 5\]: allowed .*bearing 0 to 360 deg",
        ((90, 91),): r"Trip.horizon_deg = \[90, 91\]: allowed .*number 0 to 90 deg",
        ((90, math.nan),): r"Trip.horizon_deg = \[90, nan\]",
        ((90, 5, 6),): r"Trip.horizon_deg = \(90, 5, 6\): allowed",
        ((90, "5"),): "Trip.horizon_deg = '5': allowed",
        (90, (90, 5)): "Trip.horizon_deg = 90.*allowed",
        "N": "Trip.horizon_deg = 'N': allowed",
        frozenset({("NNE", 5)}): "Trip.horizon_deg.NNE: no such point; allowed N, NE, E",
        frozenset({("N", 95)}): r"Trip.horizon_deg = \[0, 95\]: allowed .*0 to 90 deg",
    }.items():
        with pytest.raises(rt.InputError, match=words):
            around(dict(points) if isinstance(points, frozenset) else points)


def test_python_and_numpy_numbers():
    expected = rt.AgmBattery(capacity_ah=120.0)
    numbers: list[Any] = [120, np.float32(120), np.int16(120), np.float64(120)]
    for value in numbers:
        assert rt.AgmBattery(capacity_ah=value) == expected
    assert expected.get("capacity_ah").__class__ is float
    table = rt.AgmBattery().open_circuit_voltage_v
    assert isinstance(table, tuple)
    assert rt.AgmBattery(open_circuit_voltage_v=np.array(table)) == rt.AgmBattery(open_circuit_voltage_v=list(table))
    no_numbers: list[Any] = [10**400, 1j, np.bool_(True), object(), [120.0], "120", b"120"]
    for wrong in no_numbers:
        with pytest.raises(rt.InputError, match="AgmBattery.capacity_ah = .*allowed 5 to 2000 Ah"):
            rt.AgmBattery(capacity_ah=wrong)
    assert issubclass(rt.InputError, ValueError)
