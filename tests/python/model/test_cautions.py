"""Cautions stand where the thing is chosen: in the verdict, in what is offered, in the declarations, on the command
line."""

from __future__ import annotations

from typing import Any

import pytest
import ridethrough as rt
from demo_studies import demo
from ridethrough.console import main
from ridethrough.model import cautions
from ridethrough.model.cautions import CAUTION
from verdict_text import one_line

VAN, TRIP = demo()
AGM, LFP = rt.AgmBattery, rt.LithiumBattery
WITH_GENERATOR = {"mains": rt.MainsCharger(), "generator": rt.Generator()}


@pytest.mark.parametrize(
    ("van", "trip", "printed"),
    [
        ({"battery": AGM(location="locker")}, {}, []),
        ({"battery": AGM(location="living_space")}, {}, [cautions.LEAD_ACID_INSIDE]),
        ({"battery": LFP(location="living_space")}, {}, [cautions.LITHIUM_INSIDE]),
        ({"battery": LFP(location="locker")}, {}, []),
        ({"battery": AGM(location="locker")}, {"idling": [rt.Idle(days=2)]}, [cautions.CARBON_MONOXIDE]),
        (
            {"battery": AGM(location="locker"), **WITH_GENERATOR},
            {"generator_runs": [rt.GeneratorRun(days=2)]},
            [cautions.CARBON_MONOXIDE],
        ),
    ],
    ids=["lead-acid outside", "lead-acid inside", "lithium inside", "lithium outside", "idling", "generator"],
)
def test_a_verdict_cautions_against_what_was_chosen(van: Any, trip: Any, printed: list[str]) -> None:
    risk = rt.simulate(VAN.replace(**van), TRIP.replace(**trip), trials=20, seed=1)
    every = [cautions.LEAD_ACID_INSIDE, cautions.LITHIUM_INSIDE, cautions.CARBON_MONOXIDE]
    for shown in (one_line(risk.verdict(details=True)), risk.to_dict()["caution"]):
        assert [text for text in every if text in shown] == printed
        assert CAUTION in shown


@pytest.mark.parametrize("path", ["trip.generator_runs", "trip.idling", "GeneratorRun", "Idle", "van.generator"])
def test_declarations_name_carbon_monoxide(path: str) -> None:
    assert "carbon monoxide" in " ".join(rt.explain(path).split())


def test_what_is_offered_names_fuse_venting_and_a_competent_person() -> None:
    van = VAN.replace(dc_dc=None, solar=rt.SolarArray(mounting="air_gap"))
    notes = {c.name: c.note for c in [*rt.catalogue(van, TRIP), *rt.catalogue(VAN, TRIP)]}
    bought = ("battery of 100 Ah beside", "lithium bundle", "DC-DC charger", "more panel", "folding panel")
    for words in bought:
        (note,) = [note for name, note in notes.items() if words in name]
        assert "fuse" in note and "competent person" in note, words
    (beside,) = [note for name, note in notes.items() if "beside the old one" in name]
    assert "vented to the outside" in beside
    (drive,) = [note for name, note in notes.items() if name.startswith("drive ")]
    assert drive.startswith("never drive to charge when tired")
    panels = [c for c in rt.catalogue(VAN, TRIP) if "panel" in c.name]
    shown = " ".join(str(rt.upgrades(VAN, TRIP, panels, pairs=False, trials=20)).split())
    assert all(f"Note on {c.name}: {c.note}." in shown for c in panels)


def test_a_lithium_bundle_goes_where_the_local_code_allows_it() -> None:
    for place in ("living_space", "engine_bay"):
        notes = " ".join(rt.lithium_bundle(VAN.replace(**{"battery.location": place})).notes)
        assert "local code allows" in notes and "fuse at the battery" in notes and "competent person" in notes


def test_help_cautions(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["--help"])
    assert CAUTION in " ".join(capsys.readouterr().out.split())
