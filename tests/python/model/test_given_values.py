"""What people give in place of a number, a part or a time: taken where it is plain, and else told what to write."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
import ridethrough
from study_fixture import GREENSBORO, SITE, TRIP, VAN

rt: Any = ridethrough  # as calls here are wrong on purpose


@pytest.mark.parametrize(
    "hundred", [100, 100.0, np.array(100.0), np.float32(100), np.int64(100), Decimal(100), Fraction(100)]
)
def test_a_number_of_any_library_is_a_number(hundred: Any) -> None:
    assert rt.AgmBattery(capacity_ah=hundred) == rt.AgmBattery(capacity_ah=100)
    assert VAN.replace(**{"battery.capacity_ah": hundred}).battery.capacity_ah == 100


WrongCall = tuple[Any, str, str]  # a call, the path of its error, words of its text

KINDS: dict[str, WrongCall] = {
    "a flag": (
        lambda: rt.AgmBattery(capacity_ah=True),
        "AgmBattery.capacity_ah",
        "True: not a number; allowed 5 to 2000",
    ),
    "a list of one": (
        lambda: rt.AgmBattery(capacity_ah=[100]),
        "AgmBattery.capacity_ah",
        "write 100, without brackets",
    ),
    "a pair": (lambda: rt.AgmBattery(capacity_ah=(80, 100)), "AgmBattery.capacity_ah", "rt.spreads.uniform(80, 100)"),
    "a pair for what is fixed": (
        lambda: rt.Fridge(volume_l=(50, 60)),
        "Fridge.volume_l",
        "not a number; allowed 5 to 500 l",
    ),
    "a complex number": (lambda: rt.AgmBattery(capacity_ah=1j), "AgmBattery.capacity_ah", "not a number"),
    "a class for a number": (
        lambda: rt.AgmBattery(capacity_ah=rt.Fridge),
        "AgmBattery.capacity_ah",
        "call it: Fridge(...)",
    ),
    "a class for a part": (lambda: rt.Van(battery=rt.AgmBattery), "Van.battery", "call it: AgmBattery(...)"),
    "a class in a list": (lambda: rt.Van(loads=[rt.Kettle]), "Van.loads", "call it: Kettle(...)"),
    "a class for the van": (lambda: rt.simulate(rt.Van, TRIP), "van", "call it: Van(...)"),
    "days for drives": (lambda: TRIP.replace(drives=[2, 4]), "Trip.drives", "write [rt.Drive(days=[2, 4])]"),
    "nights for shore power": (
        lambda: TRIP.replace(shore_power=[1]),
        "Trip.shore_power",
        "[rt.ShorePower(nights=[1])]",
    ),
    "one drive": (lambda: TRIP.replace(drives=rt.Drive(days=[2])), "Trip.drives", "write [Drive(...)], in brackets"),
    "a day as text": (lambda: rt.Drive(days="2"), "Drive.days", "write a number without quotes: 2"),
    "no day": (lambda: rt.Drive(days=[]), "Drive.days", "Drive.days = []: no day is named"),
    "no night": (lambda: rt.ShorePower(nights=[]), "ShorePower.nights", "no day is named"),
    "a missing time of pandas": (
        lambda: TRIP.replace(start=pd.NaT),
        "Trip.start",
        "NaT: not a time; allowed '2026-11-06 15:00'",
    ),
    "a missing time of NumPy": (lambda: TRIP.replace(start=np.datetime64("NaT")), "Trip.start", "not a time; allowed"),
    "no start": (
        lambda: rt.Trip(site=SITE, nights=2),
        "Trip.start",
        "must be given; allowed '2026-11-06 15:00', or a date",
    ),
    "by place": (lambda: rt.Trip(SITE, "2026-11-06", 5), "Trip", "by name, such as Trip(site=...)"),
    "per cent": (lambda: rt.size(VAN, TRIP, "solar.rated_w", target_risk=5), "target_risk", "write 0.05"),
    "an offset": (lambda: SITE.replace(time_zone="UTC+2"), "Site.time_zone", "Site(utc_offset_h=2)"),
    "half hours of an offset": (lambda: SITE.replace(time_zone="-03:30"), "Site.time_zone", "Site(utc_offset_h=-3.5)"),
    "NumPy's name of a type": (
        lambda: rt.simulate(VAN, TRIP, precision="float32"),
        "precision",
        "did you mean 'single'?",
    ),
    "half a trial": (lambda: rt.simulate(VAN, TRIP, trials=10.5), "trials", "allowed whole numbers"),
    "a list of paths": (lambda: rt.sensitivity(VAN, TRIP, ["solar.rated_w"]), "spreads", "a dict of dotted paths"),
    "a name of a candidate": (lambda: rt.upgrades(VAN, TRIP, ["panel"]), "candidates", "rt.catalogue(van, trip)"),
    "the path last": (lambda: rt.save_scenario(VAN, TRIP, "my.toml"), "path", "save_scenario(path, van, trip)"),
    "the trip's path without trip.": (
        lambda: rt.sweep(VAN, TRIP, {"start": [1]}),
        "start",
        "did you mean 'trip.start'?",
    ),
    "a spread the wrong way round": (lambda: rt.spreads.triangular(3, 2, 1), "triangular", "must have low <= mode"),
    "a member of a list": (
        lambda: rt.spreads.discrete([1, "b"], [1, 1]),
        "values.2",
        "values.2 = 'b': allowed a number",
    ),
    "a month": (
        lambda: GREENSBORO.replace(ghi_kwh_m2_day=[30.0, *GREENSBORO.ghi_kwh_m2_day[1:]]),
        "Climate.ghi_kwh_m2_day.1",
        "Climate.ghi_kwh_m2_day.1 (January) = 30 kWh/m2",
    ),
    "watt-hours of lithium": (
        lambda: rt.LithiumBattery(capacity_wh=1280),
        "LithiumBattery.capacity_wh",
        "1280 Wh at 12.8 V are 100 Ah; did you mean capacity_ah?",
    ),
    "watt-hours of lead": (
        lambda: rt.AgmBattery(capacity_kwh=1.2),
        "AgmBattery.capacity_kwh",
        "1.2 kWh at 12 V are 100 Ah",
    ),
    "a scenario": (
        lambda: rt.simulate(rt.Scenario(name="", van=VAN, trip=TRIP)),
        "simulate.trip",
        "call it as simulate(scenario.van, scenario.trip, ...)",
    ),
}


@pytest.mark.parametrize("name", KINDS)
def test_what_is_of_another_kind_is_told_what_to_write(name: str) -> None:
    call, path, words = KINDS[name]
    with pytest.raises(rt.InputError) as refused:
        call()
    assert refused.value.path == path and words in str(refused.value), str(refused.value)


@pytest.mark.parametrize(
    ("call", "meant"),
    [
        (lambda: rt.SolarArray(panel_w=160), "rated_w"),
        (lambda: rt.Van(panel_w=160), "solar.rated_w"),
        (lambda: VAN.replace(capacity_ah=200), "battery.capacity_ah"),
        (lambda: rt.Fridge(temperature=4), "set_point_c"),
        (lambda: rt.Trip(site=SITE, start="2026-11-06", nights=1, latitude=36), "site.latitude"),
        (lambda: rt.simulate(VAN, TRIP, n_jobs=2), "threads"),
        (lambda: rt.simulate(VAN, TRIP, random_state=2), "seed"),
        (lambda: rt.size(VAN, TRIP, "solar.rated_w", target=0.05), "target_risk"),
        (lambda: rt.sensitivity(VAN, TRIP, outcome="soc"), "min_soc"),
    ],
)
def test_the_name_that_was_meant_is_the_suggestion(call: Any, meant: str) -> None:
    with pytest.raises(rt.InputError) as refused:
        call()
    assert refused.value.suggestion == meant and f"did you mean {meant}?" in str(refused.value).replace("'", "")


def test_a_suggestion_is_a_name_and_a_hint_a_sentence() -> None:
    with pytest.raises(rt.InputError) as refused:
        rt.Fridge(volume_l="65 l")
    assert refused.value.suggestion == "" and refused.value.hint.startswith("write a number without quotes: 65; Python")
    with pytest.raises(rt.InputError) as refused:
        rt.simulate(VAN, TRIP, trails=10)
    assert (refused.value.suggestion, refused.value.hint) == ("trials", "call it as simulate(van, trip, ...)")


@pytest.mark.parametrize(
    ("call", "given"),
    [
        (lambda: rt.AgmBattery(capacity=100), 100),
        (lambda: rt.Van(battery=rt.SolarArray()), rt.SolarArray()),
        (lambda: rt.Drive(days=[1, "Moonday"]), "Moonday"),
        (lambda: rt.simulate(VAN, TRIP, trials=0), 0),
        (lambda: rt.sweep(VAN, TRIP, {"solar.rated_w": [1e9]}), 1e9),
    ],
)
def test_the_value_of_an_error_is_what_was_given(call: Any, given: Any) -> None:
    with pytest.raises(rt.InputError) as refused:
        call()
    assert refused.value.value == given and type(refused.value.value) is type(given)


def test_nan_stays_a_number() -> None:
    with pytest.raises(rt.InputError) as refused:
        rt.AgmBattery(capacity_ah=float("nan"))
    assert np.isnan(refused.value.value)


def test_whole_numbers_may_be_floats() -> None:
    assert rt.simulate(VAN, TRIP, trials=1e1, seed=np.float64(3)) == rt.simulate(VAN, TRIP, trials=10, seed=3)


def test_what_the_package_has_not_names_what_is_near() -> None:
    for wrong, near in {
        "Battery": "AgmBattery",
        "Solar": "SolarArray",
        "Lithium": "LithiumBattery",
        "DCDC": "DcDcCharger",
    }.items():
        with pytest.raises(AttributeError, match=f"no attribute '{wrong}'; did you mean .*{near}"):
            getattr(rt, wrong)
    assert not hasattr(rt, "_repr_mimebundle_")


def test_a_number_with_its_unit_in_a_file_is_repeated_in_quotes(tmp_path: Path) -> None:
    file = tmp_path / "odd.toml"
    for line, words in {"capacity_ah = 200 Ah": 'in quotes: "200 Ah"', "initial_soc = 90 %": 'quotes: "90 %"'}.items():
        file.write_text(f"[van.battery]\n{line}\n")
        with pytest.raises(rt.InputError, match=words):
            rt.load_scenario(file)
