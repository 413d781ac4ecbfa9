"""`explain` by the paths that people have in hand, the guesses, and the generated table of parameters."""

from __future__ import annotations

import importlib.util
from dataclasses import fields
from pathlib import Path

import pytest
import ridethrough as rt
from ridethrough import _core
from ridethrough.files.scenario import Scenario
from ridethrough.model.classes import CLASSES
from ridethrough.model.parameter_help import RUN, is_guess

ROOT = Path(__file__).parents[3]


def test_the_committed_table_is_what_the_declarations_say() -> None:
    spec = importlib.util.spec_from_file_location("make_table", ROOT / "tests" / "make_parameter_table.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    fresh = module.table()
    assert module.TABLE.read_text(encoding="utf-8") == fresh, "run python tests/make_parameter_table.py"
    for name in CLASSES:
        assert f"## {name}\n" in fresh


@pytest.mark.parametrize(
    ("bare", "full"),
    [
        ("loads.standby.current_a", "van.loads.standby.current_a"),
        ("habits_scale", "trip.habits_scale"),
        ("solar.tilt_deg", "van.solar.tilt_deg"),
        ("fridge.set_point_c", "Van.fridge.set_point_c"),
        ("cabin_person_heat_w", "van.cabin_person_heat_w"),
    ],
)
def test_the_paths_of_a_verdict_need_no_van(bare: str, full: str) -> None:
    assert rt.explain(bare) == rt.explain(full)


def test_a_part_lists_its_fields_and_kinds() -> None:
    text = rt.explain("van.battery")
    assert "AgmBattery" in text and "bms_cutoff_v" in text
    assert "kettle (Kettle)" in rt.explain("loads")


@pytest.mark.parametrize("path", ["van.battery", "van.dc_dc", "van.loads", "van.loads.fan", "van.arrays.folding"])
def test_kinds_are_those_that_a_file_may_say(path: str) -> None:
    field = rt.Van._declaration.field(path.split(".")[1])
    lines = rt.explain(f"{path}.kind").splitlines()[1:]
    assert [line.split('"')[1] for line in lines] == list(field.choices)
    for line, name in zip(lines, field.choices, strict=True):
        assert CLASSES[name]._declaration.doc.splitlines()[0] in line
    if field.type == "part":
        assert "(when nothing is said)" in lines[field.choices.index(field.default_value.schema.name)]


def test_members_by_a_name_of_ones_own_are_explained() -> None:
    assert "Stop: One place of a trip" in rt.explain("trip.stops.lake")
    assert rt.explain("trip.stops.lake.nights") == rt.explain("Stop.nights")
    assert rt.explain("trip.stops.lake.site.climate.latitude") == rt.explain("Climate.latitude")
    text = rt.explain("van.arrays.folding")
    assert "SolarArray: " in text and "PortableArray: " in text
    watts = rt.explain("van.arrays.folding.rated_w")
    assert watts.splitlines() == [rt.explain(f"{kind}.rated_w") for kind in ("SolarArray", "PortableArray")]
    assert "say which with kind" in rt.explain("loads.my_lamp")
    for wrong in ("loads.kettel", "trip.stops.nigths", "trip.stops.lake.kind", "van.kind", "trip.stops.lake.nigths"):
        with pytest.raises(rt.InputError, match="no such parameter"):
            rt.explain(wrong)


def test_keys_of_files_that_are_no_fields_are_explained() -> None:
    assert "and no others" in rt.explain("van.only_these_loads") == rt.explain("only_these_loads")
    with pytest.raises(rt.InputError, match=r"did you mean van\.only_these_loads"):
        rt.explain("van.only_this_loads")


def test_guesses_are_listed_with_their_defaults() -> None:
    text = rt.explain("guesses")
    assert text.splitlines()[0].endswith("say weak.")
    assert "left_on_probability = 0.1 (from memory" in text
    assert "capacity_ah" not in text.split("van.dc_dc")[0].split("van.battery (AgmBattery)")[0]


@pytest.mark.filterwarnings("ignore:Van.disconnect.cutout_v:UserWarning")
def test_every_spread_that_a_verdict_may_print_is_explained() -> None:
    """The paths of a trial's draws, of a van with most parts."""
    van = rt.Van(
        batteries=[rt.AgmBattery(), rt.AgmBattery()],
        arrays=[rt.SolarArray(), rt.PortableArray()],
        snow_and_frost=rt.SnowAndFrost(),
        disconnect=rt.SystemDisconnect(),
        fridge=rt.Fridge(freezer_box=rt.FreezerBox(), medicine=rt.Medicine()),
        loads=[*rt.Van().loads, rt.Kettle(), rt.Tablets()],
        water=rt.WaterTanks(),
    )
    climate = rt.Climate(latitude=36, longitude=-80, ghi_kwh_m2_day=[2] * 12, air_temp_c=[12] * 12)
    site = rt.Site(latitude=36, longitude=-80, climate=climate)
    trip = rt.Trip(site=site, start="2026-05-06 15:00", nights=2, party=rt.Party(), storage=rt.Storage())
    compiled = rt.simulate(van, trip, trials=10).compiled
    owners = dict(zip(compiled.parameter_paths, compiled.parameter_owners, strict=True))
    assert owners["loads.kettle.power_w"] == "van" and owners["loads.kettle.duration_min"] == "person"
    assert owners["trip.storage.weeks"] == "trip" and owners["climate.ghi_scale"] == "model"
    names = {path for path in compiled.parameter_paths if path}
    assert {"loads.heater.set_point_c", "loads.heater.night_set_point_c", "loads.fan.fitted_probability"} < names
    assert len(names) > 40
    for name in names:
        assert name.rpartition(".")[2] in rt.explain(name)


def test_guesses_are_all_that_say_so() -> None:
    printed = [line.split()[0] for line in rt.explain("guesses").splitlines() if line.startswith("  ")]
    guessed = [field.name for schema in _core.schemas() for field in schema.fields if is_guess(field)]
    assert sorted(printed) == sorted(guessed)
    assert len(printed) > 150


def test_a_wrong_path_is_told_its_neighbours() -> None:
    with pytest.raises(rt.InputError, match="did you mean .*fridge.set_point_c"):
        rt.explain("fridge.setpoint_c")


def test_the_run_of_a_scenario_file_is_explained() -> None:
    lines = rt.explain("run").splitlines()
    assert lines[0] == rt.explain("run.trials") and lines[1] == rt.explain("run.seed")
    low, high, words = RUN["trials"]
    assert lines[0] == f"run.trials (in scenario files): {words}; {low} to {high}"
    for key, (_, _, words) in RUN.items():
        default = next(f.default for f in fields(Scenario) if f.name == key)
        assert f"default {'none' if default is None else default};" in words
    with pytest.raises(rt.InputError, match="run.trails: no such parameter; did you mean run.trials"):
        rt.explain("run.trails")


def test_a_default_says_its_provenance_in_words_and_as_a_kind() -> None:
    words = {"practice": "common practice, no source", "unverified": "from memory", "assumption": "own choice"}
    seen = set()
    for schema in _core.schemas():
        for field in schema.fields:
            seen.add(field.provenance)
            if field.provenance in words:
                assert field.source.startswith(words[field.provenance] + ", weak" * field.weak)
            assert bool(field.provenance) == bool(field.source)
            assert field.required or field.provenance
    assert seen == {"published", *words, ""}
