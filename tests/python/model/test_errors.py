"""Errors of bad input: facts as attributes, and no raw Python error where the usual mistakes are made."""

from __future__ import annotations

import pickle
from typing import Any

import pandas as pd
import pytest
import quick_studies
import ridethrough as rt
from quick_studies import CALLS, DAYS, RECORD
from ridethrough.model.errors import bad_input, with_new_path, with_prefix
from study_fixture import SITE, TRIP, VAN

ANY: Any = rt  # whose types are not looked at here


def facts(error: rt.InputError) -> tuple[Any, ...]:
    return error.path, error.value, error.allowed, error.suggestion


def assert_facts(error: rt.InputError, expected: tuple[Any, ...]) -> None:
    """Those expected; ANY stands for whatever it is."""
    assert all(b is ANY or a == b for a, b in zip(facts(error), expected, strict=True)), (facts(error), str(error))


@pytest.mark.parametrize(
    ("call", "expected"),
    [
        (
            lambda: rt.AgmBattery(capacity_ah=1e9),
            ("AgmBattery.capacity_ah", 1_000_000_000, "5 to 2000 Ah", ""),
        ),
        (lambda: ANY.AgmBattery(capacityah=100), ("AgmBattery.capacityah", 100, ANY, "capacity_ah")),
        (
            lambda: TRIP.replace(weather="generatd"),
            ("Trip.weather", "generatd", "'generated' or 'replayed'", "generated"),
        ),
        (
            lambda: ANY.Fridge(volume_l="60"),
            ("Fridge.volume_l", "60", "5 to 500 l", ""),
        ),
        (lambda: TRIP.replace(step_min=7), ("Trip.step_min", 7, "60, 30, 15, 5, 1 min", "")),
        (lambda: TRIP.replace(bedtime_h=3), ("Trip.bedtime_h", 3, "18 to 24 h", "")),
        (lambda: rt.stats.wilson(1, 2, 1.0), ("confidence", 1, "more than 0 up to 0.999999999", "")),
        (lambda: ANY.spreads.uniform(1, 2, per="week"), ("per", "week", "'trial', 'day' or 'hour'", "")),
    ],
    ids=range(8),
)
def test_the_core_sets_the_facts_of_its_errors(call: Any, expected: tuple[Any, ...]) -> None:
    with pytest.raises(rt.InputError) as refused:
        call()
    assert_facts(refused.value, expected)
    assert str(refused.value).startswith(refused.value.path)
    assert isinstance(refused.value, ValueError)


def test_a_text_alone_has_no_facts() -> None:
    assert facts(rt.InputError("something else")) == ("", None, "", "")


def test_an_unknown_field_is_told_what_there_is_and_where_to_look() -> None:
    for wrong, words in (
        ("volum_l", "did you mean volume_l?"),  # the nearest
        ("door", "there are door_openings_per_day, door_opening_wh"),  # those that share a word
        ("qqq", "it has volume_l, "),  # all of them
    ):
        with pytest.raises(rt.InputError) as refused:
            ANY.Fridge(**{wrong: 5})
        text = str(refused.value)
        assert text.startswith(f"Fridge.{wrong}: no such field; {words}"), text
        assert text.endswith("explain('Fridge') and PARAMETERS.md list all")
    assert "volume_l" in rt.explain("Fridge")


LOADS = ", ".join(rt.Van().loads.names)


@pytest.mark.parametrize(
    ("call", "part", "near"),
    [
        (lambda: ANY.Fridge(volum_l=60), rt.Fridge, "volume_l"),
        (lambda: ANY.Fridge(qqq=60), rt.Fridge, ""),
        (lambda: ANY.Van(batery=None), rt.Van, "battery"),
        (lambda: VAN.replace("fridge.volum_l", 60), rt.Fridge, "volume_l"),
        (lambda: VAN.replace(battery_capacity_ah=60), rt.Van, "battery.capacity_ah"),
        (lambda: VAN.get("fridge.volum_l"), rt.Fridge, "volume_l"),
        (lambda: VAN.origin("fridge.volum_l"), rt.Fridge, "volume_l"),
        (lambda: VAN.with_measured({"fridge.volum_l": 60}, "2026-05-01"), rt.Fridge, "volume_l"),
        (lambda: rt.sweep(VAN, TRIP, {"trip.nigts": [1, 2]}, trials=2), rt.Trip, "nights"),
        (lambda: rt.Fridge.from_dict({"volum_l": 60}), rt.Fridge, "volume_l"),
        (lambda: VAN.get("loads.phone.charge_ah"), LOADS, "phones"),
        (lambda: VAN.without("phone"), LOADS, "phones"),
        (lambda: ANY.simulate(VAN, TRIP, trails=3), "van, trip, trials, ", "trials"),
        (lambda: ANY.spreads.uniform(1, 2, pr="day"), "low, high, per", "per"),
    ],
    ids=range(14),
)
def test_a_wrong_name_comes_with_all_right_ones_and_the_near_one(call: Any, part: Any, near: str) -> None:
    with pytest.raises(rt.InputError) as refused:
        call()
    if isinstance(part, str):
        assert refused.value.allowed.startswith(part)
    else:
        allowed = refused.value.allowed.split(", ")
        assert {field.name for field in part._declaration.fields} <= {*allowed} and all(
            map(part.__doc__.count, allowed)
        )
    assert refused.value.suggestion == near


@pytest.mark.parametrize(
    ("line", "near"),
    [
        ("volum_l = 3", "volume_l"),
        ('type = "Fridge"', "kind"),
        ("rated_w = 3", ""),
        ("qqq = 3", ""),
    ],
)
def test_so_does_a_wrong_key_of_a_file(line: str, near: str, tmp_path: Any) -> None:
    file = tmp_path / "odd.toml"
    file.write_text(f"[van.fridge]\n{line}\n[trip]\nnights = 1\nstart = '2026-11-06 15:00'\n")
    with pytest.raises(rt.InputError, match="no such") as refused:
        rt.load_scenario(file)
    assert "volume_l" in refused.value.allowed.split(", ") and refused.value.suggestion.startswith(near)


def test_facts_of_pythons_errors_are_the_values_themselves() -> None:
    with pytest.raises(rt.InputError, match="trials = 0: allowed whole numbers 1 to 1,000,000,000") as refused:
        rt.simulate(VAN, TRIP, trials=0)
    assert facts(refused.value) == ("trials", 0, "whole numbers 1 to 1,000,000,000", "")
    with pytest.raises(rt.InputError, match="did you mean 'terminal_v'") as refused:
        rt.simulate(VAN, TRIP, time_series=["terminal_a"])
    assert refused.value.path == "time_series" and refused.value.suggestion == "terminal_v"


def test_facts_survive_a_prefix_a_new_path_and_a_pickle() -> None:
    error = bad_input("AgmBattery.capacity_ah", 1, allowed="5 to 2000 Ah", suggestion="measured_capacity_ah")
    assert str(error) == "AgmBattery.capacity_ah = 1: allowed 5 to 2000 Ah; did you mean measured_capacity_ah?"
    moved = with_prefix("trip.toml", with_new_path("AgmBattery", "van.battery", error))
    assert str(moved).startswith("trip.toml: van.battery.capacity_ah = 1: allowed 5 to 2000 Ah")
    for twin in (moved, pickle.loads(pickle.dumps(moved))):
        assert facts(twin) == ("van.battery.capacity_ah", 1, "5 to 2000 Ah", "measured_capacity_ah")


def test_an_error_in_a_file_has_the_path_of_its_table(tmp_path: Any) -> None:
    file = tmp_path / "odd.toml"
    file.write_text(
        "[van.battery]\nkind = 'AgmBattery'\ncapacity_ah = 1\n[trip]\nnights = 1\nstart = '2026-11-06 15:00'\n"
    )
    with pytest.raises(rt.InputError, match=r"odd.toml: van.battery.capacity_ah = 1") as refused:
        rt.load_scenario(file)
    assert refused.value.path == "van.battery.capacity_ah" and refused.value.allowed == "5 to 2000 Ah"


@pytest.mark.parametrize(
    ("right", "wrong", "expected"),
    [
        ("nights = 1", "nigts = 1", ("trip.nigts", 1, ANY, "nights")),
        ("capacity_ah = 100", "capacity_ah = '100 W'", ("van.battery.capacity_ah", "100 W", "a number of Ah", ANY)),
        ("[van.battery]", "[battery]", ("battery", ANY, "name, title, van, trip, run", "")),
        ("[trip]", "[run]\ntrials = 0\n[trip]", ("run.trials", 0, "whole numbers 1 to 1,000,000,000", "")),
        ("[trip]", "[van.loads]\nfan = 3\n[trip]", ("van.loads.fan", 3, 'a table, or "none"', "")),
        (
            "'AgmBattery'",
            "'AgmBatery'",
            ("van.battery.kind", "AgmBatery", "AgmBattery or LithiumBattery", "AgmBattery"),
        ),
    ],
)
def test_errors_of_files_have_facts_too(right: str, wrong: str, expected: tuple[Any, ...], tmp_path: Any) -> None:
    text = (
        "[van.battery]\nkind = 'AgmBattery'\ncapacity_ah = 100\n[trip]\nnights = 1\nstart = '2026-11-06 15:00'\n"
        "[trip.site]\nlatitude = 36.1\nlongitude = -79.95\n"
    )
    assert right in text
    file = tmp_path / "odd.toml"
    file.write_text(text.replace(right, wrong, 1))
    with pytest.raises(rt.InputError) as refused:
        rt.load_scenario(file)
    assert_facts(refused.value, expected)
    assert str(refused.value).startswith(f"{file}: {refused.value.path}")


@pytest.mark.parametrize(
    ("call", "path", "part"),
    [
        (lambda: ANY.Fridge(nothing=7), "Fridge.nothing", rt.Fridge),
        (lambda: VAN.replace("battery.nothing", 7), "AgmBattery.nothing", rt.AgmBattery),
        (lambda: VAN.get("battery.nothing"), "AgmBattery.nothing", rt.AgmBattery),
        (lambda: rt.sweep(VAN, TRIP, {"solar.nothing": [7]}), "solar.nothing", rt.SolarArray),
        (lambda: rt.explain("wiring.nothing"), "wiring.nothing", rt.Wiring),
        (lambda: rt.Van.from_dict({"wiring": {"nothing": 7}}), "Wiring.nothing", rt.Wiring),
    ],
)
def test_an_unknown_field_has_the_parts_fields_as_what_is_allowed(call: Any, path: str, part: Any) -> None:
    with pytest.raises(rt.InputError, match="no such") as refused:
        call()
    assert refused.value.path == path
    assert {*part().values()} <= {*refused.value.allowed.split(", ")}


def test_an_unknown_key_of_a_file_has_its_value_and_the_parts_fields(tmp_path: Any) -> None:
    file = tmp_path / "odd.toml"
    file.write_text("[van.wiring]\nnothing = 7\n[trip]\n")
    with pytest.raises(rt.InputError, match="van.wiring.nothing: no such field") as refused:
        rt.load_scenario(file)
    assert refused.value.value == 7 and {*rt.Wiring().values()} <= {*refused.value.allowed.split(", ")}


# The calls of the others make vans of VAN themselves, before the study sees it; they are below.
@pytest.mark.parametrize("name", sorted(set(CALLS) - {"compare", "upgrades", "van_range"}))
def test_a_part_in_place_of_a_van_is_refused_by_name(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(quick_studies, "VAN", rt.AgmBattery())
    with pytest.raises(rt.InputError, match="van = .*must be a Van"):
        CALLS[name][0](progress=False)


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: ANY.simulate(VAN), r"simulate.trip: must be given; call it as simulate\(van, trip, ...\)"),
        (lambda: ANY.simulate(VAN, TRIP, 100), "simulate = 100: an argument without its name; only van and trip go by"),
        (
            lambda: ANY.simulate(VAN, TRIP, trails=100),
            "simulate.trails = 100: no such argument; .*did you mean trials?",
        ),
        (lambda: ANY.simulate(VAN, TRIP, van=VAN), "simulate.van = .*given twice, by place and by name"),
        (lambda: ANY.AgmBattery(150), r"takes its values by name, such as AgmBattery\(capacity_ah=150\)"),
        (lambda: ANY.Van().replace({"loads.heater": None}), r"takes its values by name; .*replace\(\*\*\{"),
        (
            lambda: VAN.replace(**{"loads.lights": None}),
            r'loads.lights = None: .*van.without\("lights"\) takes it away',
        ),
        (
            lambda: VAN.replace(loads_lights=None),
            r'no such field; paths have dots: replace\("loads.lights", ...\)',
        ),
        (lambda: VAN.replace(battery_capacity_ah=90), "did you mean battery.capacity_ah"),
        (lambda: ANY.Van().get(3), "path = 3: allowed a dotted path"),
        (lambda: ANY.explain(3), "path = 3: allowed a dotted path"),
        (lambda: ANY.habits(3), "habits = 3: no such habits; allowed light_couple, "),
        (lambda: ANY.load_scenario(3), "path = 3: allowed the path of a scenario file"),
        (lambda: ANY.Prices(3), "prices = 3: allowed the path of a price table"),
        (lambda: ANY.spreads.uniform("a", 2), "low = 'a': allowed a number"),
        (lambda: ANY.spreads.uniform(1), "uniform.high: must be given"),
        (lambda: ANY.spreads.discrete([1, "b"], [1, 1]), r"values\.2 = 'b': allowed a number"),
        (lambda: ANY.stats.wilson("a", 3), "events = 'a': allowed whole numbers 0 to 3"),
        (lambda: ANY.Climate.from_hourly(3, label="left"), "weather frame = 3: must be a pandas DataFrame"),
        (lambda: ANY.Climate.from_daily(RECORD), "from_daily.latitude: must be given"),
        (lambda: ANY.catalogue(3, TRIP), "van = 3: must be a Van"),
        (lambda: ANY.lithium_bundle(3), "van = 3: must be a Van"),
        (lambda: ANY.normals_of(3, RECORD), "trip = 3: must be a Trip"),
        (lambda: rt.simulate(VAN, TRIP, trials=2).columns["first_cutout"], "did you mean 'first_cutout_h'"),
        (
            lambda: rt.simulate(VAN, TRIP, trials=2).means["nothing"],
            "means = 'nothing': there is none.*; allowed min_soc",
        ),
        (lambda: rt.simulate(VAN, TRIP, trials=2).chances["food_warm"], "did you mean 'food_warm_.h'"),
        (lambda: ANY.size(VAN, TRIP, 3), "path = 3: allowed a dotted path"),
        (lambda: ANY.score_hindcasts(3, {}), "hindcasts = 3: allowed a dict"),
        (lambda: ANY.score_hindcasts({"a": RECORD}, {"a": RECORD}), r"hindcasts\['a'\] = .*has no column cutout"),
        (
            lambda: ANY.compare(rt.AgmBattery(), {"a": VAN}, TRIP),
            r"base = AgmBattery\(\): must be a Van; put it into one: Van\(battery=...\)",
        ),
        (
            lambda: ANY.compare(VAN, {"lithium": rt.LithiumBattery()}, TRIP),
            r"others\['lithium'\] = LithiumBattery\(\): must be a Van, a Bundle or \(Van, Trip\); van.replace",
        ),
        (lambda: ANY.upgrades(SITE, TRIP), "van = Site.*: must be a Van"),
        (lambda: ANY.simulate(TRIP, VAN), "the van comes first, then the trip"),
        (lambda: ANY.hindcast(VAN, TRIP, 1), "record = 1: must be a pandas DataFrame"),
        (
            lambda: rt.hindcast(VAN, TRIP, RECORD.rename(columns={"ghi_kwh_m2": "ghi_kwh"})),
            r"record: no column ghi_kwh_m2 \(daily\) or ghi \(hourly\); it has ghi_kwh, .*did you mean ghi_kwh_m2\?",
        ),
        (lambda: rt.hindcast(VAN, TRIP, pd.DataFrame(index=DAYS)), "it has none"),
        (
            lambda: ANY.van_range({"a": rt.AgmBattery()}, TRIP, sites=[SITE], customers={"light_couple": 1}),
            r"models\['a'\] = AgmBattery\(\): must be a Van",
        ),
    ],
    ids=range(37),
)
def test_usual_mistakes_are_refused_by_name(call: Any, match: str) -> None:
    with pytest.raises(rt.InputError, match=match):
        call()
