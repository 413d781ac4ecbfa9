"""Arrays and batteries are lists; a list of one goes by a name of its own."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest
import ridethrough as rt
from input_fixture import trip
from ridethrough.files.scenario import Scenario, load_scenario
from ridethrough.files.scenario_writer import dump_scenario
from verdict_text import details, verdict

ROOF = rt.SolarArray(rated_w=150)
SIDE = rt.SolarArray(name="side", rated_w=60, tilt_deg=80)
FOLDING = rt.PortableArray(rated_w=120)
AGM = rt.AgmBattery(capacity_ah=100, location="locker")
OLD = rt.AgmBattery(capacity_ah=90, age_years=6)
TWO = rt.Van(arrays=[ROOF, FOLDING], batteries=[AGM, OLD])


def same(a: rt.Van, b: rt.Van) -> bool:
    return a == b and a.digest == b.digest and hash(a) == hash(b) and repr(a) == repr(b) and a.to_dict() == b.to_dict()


def test_one_of_each_is_a_list_of_one() -> None:
    assert same(rt.Van(solar=ROOF), rt.Van(arrays=[ROOF]))
    assert same(rt.Van(solar=FOLDING), rt.Van(arrays=[FOLDING]))
    assert same(rt.Van(solar=None), rt.Van(arrays=[]))
    assert same(rt.Van(battery=AGM), rt.Van(batteries=[AGM]))
    van = rt.Van(solar=ROOF, battery=AGM)
    assert (van.solar, van.battery, van.arrays, van.batteries) == (ROOF, AGM, (ROOF,), (AGM,))
    assert rt.Van(solar=None).solar is None and rt.Van(solar=None).arrays == ()
    assert not same(van, TWO)
    assert {"battery", "batteries", "solar", "arrays"} <= set(dir(van))
    assert repr(van) == "Van(battery=AgmBattery(capacity_ah=100, location='locker'), solar=SolarArray(rated_w=150))"


@pytest.mark.parametrize("van", [rt.Van(solar=None), rt.Van(solar=ROOF, battery=AGM), TWO, rt.Van(arrays=[ROOF] * 3)])
def test_a_van_reads_back(van: rt.Van, tmp_path: Path) -> None:
    assert same(rt.Van.from_dict(van.to_dict()), van)
    assert same(pickle.loads(pickle.dumps(van)), van)
    assert same(eval(repr(van), vars(rt)), van)
    assert same(van.replace(), van)
    scenario = Scenario(name="read back", van=van, trip=trip())
    path = tmp_path / "read_back.toml"
    path.write_text(dump_scenario(scenario))
    assert same(load_scenario(path).van, van)


def test_several_have_no_only_one() -> None:
    with pytest.raises(rt.InputError, match=r"Van.solar: there are 2 arrays; say which: arrays.roof, arrays.portable"):
        _ = TWO.solar
    with pytest.raises(rt.InputError, match=r"Van.battery: there are 2 batteries; say which: batteries.1, batteries.2"):
        TWO.get("battery.capacity_ah")
    assert TWO.replace(solar=SIDE).arrays == (SIDE,)


def test_paths_by_name_and_by_place() -> None:
    assert TWO.get("arrays.roof.rated_w") == TWO.get("arrays.1.rated_w") == 150
    assert TWO.get("batteries.2.capacity_ah") == 90
    one = rt.Van(solar=ROOF)
    assert one.get("solar.rated_w") == one.get("arrays.roof.rated_w") == one.get("arrays.1.rated_w") == 150
    assert one.replace(**{"arrays.1.rated_w": 90}) == one.replace(**{"solar.rated_w": 90})
    more = TWO.replace(**{"arrays.portable.rated_w": 80, "batteries.1.capacity_ah": 70})
    assert (more.arrays[1].rated_w, more.batteries[0].capacity_ah) == (80, 70)
    named = rt.Van(batteries=[AGM.replace(name="house"), OLD.replace(name="old")])
    assert named.get("batteries.old.capacity_ah") == named.get("batteries.2.capacity_ah") == 90
    assert TWO.paths_of("arrays") == ["arrays.roof", "arrays.portable"] and one.paths_of("arrays") == ["solar"]
    alike = rt.Van(arrays=[ROOF, ROOF, SIDE])
    assert alike.paths_of("arrays") == ["arrays.1", "arrays.2", "arrays.side"]
    for path, said in {
        "arrays.roof.rated_w": "2 in the list are called 'roof'; say which by place: 1, 2",
        "arrays.4.rated_w": "no '4' in the list",
        "arrays.0.rated_w": "no '0' in the list",
        "arrays.sides.rated_w": "did you mean 'side'",
    }.items():
        with pytest.raises(rt.InputError, match=said):
            alike.get(path)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"solar": ROOF, "arrays": [ROOF]}, "Van.solar: not allowed beside Van.arrays"),
        ({"more_solar": [FOLDING]}, r"Van.more_solar: no such field; it is now arrays.*arrays=\[SolarArray"),
        ({"arrays": [ROOF] * 9}, "Van.arrays = a list of 9: allowed a list of 0 to 8 SolarArray or PortableArray"),
        ({"batteries": []}, "Van.batteries = a list of 0: allowed a list of 1 to 8 AgmBattery or LithiumBattery"),
        ({"battery": None}, "Van.battery = None: allowed AgmBattery or LithiumBattery"),
        ({"solar": AGM}, "Van.solar = AgmBattery.*: allowed SolarArray or PortableArray, or None"),
        ({"arrays": [SIDE, SIDE]}, "the name 'side' is used twice"),
        ({"arrays": [SIDE.replace(name="2")]}, "name = '2': allowed a string without a dot, not empty, no number"),
        ({"batteries": [AGM, rt.LithiumBattery()]}, "Van.batteries.2 = LithiumBattery: allowed AgmBattery"),
        ({"batteries": [OLD, AGM]}, "Van.batteries.2.location = 'locker': not allowed to differ"),
    ],
)
def test_what_lists_refuse(given: dict[str, object], said: str) -> None:
    with pytest.raises(rt.InputError, match=said):
        rt.Van(**given)  # type: ignore[arg-type]


def test_old_names_say_the_new_ones() -> None:
    with pytest.raises(rt.InputError, match=r"AgmBattery.second: no such field; it is now Van.batteries"):
        rt.AgmBattery(second=AGM)  # type: ignore[call-arg]
    with pytest.raises(AttributeError, match="batteries"):
        _ = rt.SecondBattery  # type: ignore[attr-defined]
    with pytest.raises(rt.InputError, match="van.more_solar.side.rated_w: no such parameter; it is now arrays"):
        rt.explain("van.more_solar.side.rated_w")


def test_help_knows_both_ways() -> None:
    assert rt.explain("van.solar.rated_w") == rt.explain("van.arrays.2.rated_w") == rt.explain("van.arrays.my.rated_w")
    assert rt.explain("van.batteries.2.capacity_ah") == rt.explain("battery.capacity_ah")
    assert "its place, counted from 1" in rt.explain("van.batteries.2")
    with pytest.raises(rt.InputError, match="such as Van\\(battery="):
        rt.Van(AGM)  # type: ignore[call-arg]


FILE = """
[trip]
start = "2026-11-06 15:00"
nights = 1
[trip.site]
latitude = 36.1
longitude = -79.95
"""


@pytest.mark.parametrize(
    ("text", "paths"),
    [
        ("[[van.arrays]]\nrated_w = 80\n[[van.arrays]]\nkind = 'PortableArray'", ["arrays.roof", "arrays.portable"]),
        ("[[van.arrays]]\nname = 'back'", ["solar"]),
        ("[van.arrays.roof]\n[van.arrays.portable]", ["arrays.roof", "arrays.portable"]),
        ("[van]\narrays = []", []),
        ("[van]\nsolar = 'none'", []),
    ],
)
def test_arrays_in_files(text: str, paths: list[str], tmp_path: Path) -> None:
    path = tmp_path / "arrays.toml"
    path.write_text(f"{text}\n{FILE}")
    assert load_scenario(path).van.paths_of("arrays") == paths


def test_batteries_in_files(tmp_path: Path) -> None:
    path = tmp_path / "batteries.toml"
    path.write_text(f"[van.batteries.house]\ncapacity_ah = 90\n[van.batteries.old]\nage_years = 6\n{FILE}")
    named = load_scenario(path).van
    assert named.paths_of("batteries") == ["batteries.house", "batteries.old"]
    path.write_text(f"[[van.batteries]]\ncapacity_ah = 90\n[[van.batteries]]\nage_years = 6\n{FILE}")
    assert [b.replace(name=None) for b in named.batteries] == list(load_scenario(path).van.batteries)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[van.more_solar.portable]", r"van.more_solar: no such key; it is now arrays.*\[van.arrays.roof\]"),
        ("[van.battery.second]", r"van.battery.second: no such key; it is now Van.batteries; \[van.batteries.first\]"),
        ("[van.solar]\n[van.arrays.roof]", "van.solar: not allowed beside .*arrays"),
        ("[[van.arrays]]\nrated = 80", r"van.arrays.1.rated: no such field; did you mean rated_w"),
        ("[van.arrays.side]\nrated_w = 80", "known without a kind are roof, portable"),
        ("[[van.loads]]\nname = 'fan'", "van.loads = .*: allowed a table"),
    ],
)
def test_what_files_refuse(text: str, said: str, tmp_path: Path) -> None:
    path = tmp_path / "odd.toml"
    path.write_text(f"{text}\n{FILE}")
    with pytest.raises(rt.InputError, match=said):
        load_scenario(path)


def test_the_draws_of_a_member_do_not_hang_on_the_list() -> None:
    """The first array and the first battery of several are drawn as the only ones are."""
    one, two = (
        dict(zip(risk.compiled.parameter_paths, range(10_000), strict=False))
        for risk in (rt.simulate(van, trip(), trials=8) for van in (rt.Van(solar=ROOF, battery=AGM), TWO))
    )
    assert {path.replace("solar.", "arrays.roof.").replace("battery.", "batteries.1.") for path in one} <= set(two)
    assert {"arrays.portable.use_probability", "batteries.2.capacity_ah"} <= set(two)


def test_several_count_in_every_part_of_the_report() -> None:
    risk = rt.simulate(TWO, trip(), trials=200, seed=1)
    text = details(risk)
    assert "100 + 90 Ah AGM, " in verdict(risk) and "150 W glued + 120 W folding panel; " in verdict(risk)
    assert "100 + 90 Ah AGM in parallel" in text and "150 W glued + 120 W folding" in text
    found = rt.size(TWO, trip(), "batteries.2.capacity_ah", 0.5, within=(20, 200), step=60, trials=50)
    assert found.tried
    with pytest.raises(rt.InputError, match="say which"):
        rt.size(TWO, trip(), "battery.capacity_ah", trials=50)
