"""Whoever uses a former name is told the one of now, wherever a user may type it."""

# Former names are used on purpose.
# mypy: disable-error-code="call-arg, attr-defined, union-attr, arg-type"

import re
import subprocess
import sys
from typing import Any

import pytest
import quick_studies
import ridethrough as rt
from ridethrough import _core
from ridethrough.model.classes import CLASSES
from study_fixture import TRIP, VAN

SITE = '[trip]\nstart = "2026-11-06 15:00"\nnights = 2\n[trip.site]\nlatitude = 36.1\nlongitude = -79.9\n'


@pytest.mark.parametrize("name", CLASSES)
def test_every_former_name_of_a_field_is_told(name: str) -> None:
    fields = CLASSES[name]._declaration.fields
    names = [field.name for field in fields]
    assert len({*names}) == len(names)
    for field in fields:
        if not field.former_name:
            continue
        assert field.former_name not in names, "a former name that is another field's now would be misunderstood"
        with pytest.raises(rt.InputError, match=rf"^{name}\.{field.former_name}: now {field.name}$") as refused:
            CLASSES[name](**{field.former_name: 1})
        assert refused.value.path == f"{name}.{field.former_name}"
        assert refused.value.suggestion == field.name


@pytest.mark.parametrize(
    ("use", "printed"),
    [
        (lambda: rt.AgmBattery(start_charge=0.9), "AgmBattery.start_charge: now initial_soc"),
        (lambda: VAN.replace(**{"battery.start_charge": 0.9}), "AgmBattery.start_charge: now initial_soc"),
        (lambda: VAN.get("battery.start_charge"), "AgmBattery.start_charge: now initial_soc"),
        (lambda: VAN.replace(**{"panel_film": None}), "Van.panel_film: now snow_and_frost"),
        (lambda: VAN.replace(**{"panel_film.light_share": 0.2}), "Van.panel_film: now snow_and_frost"),
        (lambda: VAN.battery.rest_voltage_v, "AgmBattery.rest_voltage_v: now open_circuit_voltage_v"),
        (lambda: VAN.origin("battery.start_charge"), "AgmBattery.start_charge: now initial_soc"),
        (lambda: rt.sweep(VAN, TRIP, {"solar.dirt_loss": [0.1, 0.2]}, trials=8), "now soiling_loss"),
        (lambda: rt.sensitivity(VAN, TRIP, {"solar.dirt_loss": rt.spreads.uniform(0, 0.2)}), "now soiling_loss"),
        (lambda: rt.explain("van.battery.start_charge"), "now initial_soc"),
        (lambda: rt.explain("panel_film.light_share"), "panel_film.light_share: now snow_and_frost"),
        (lambda: rt.explain("columns.device"), "columns.device: now cutout_cause"),
        (lambda: rt.explain("paths"), "paths: now time_series"),
        (lambda: rt.explain("LfpBattery"), "LfpBattery: now LithiumBattery"),
        (lambda: rt.LfpBattery, "ridethrough.LfpBattery is now ridethrough.LithiumBattery"),
        (lambda: rt.AlternatorLink, "ridethrough.AlternatorLink is now ridethrough.AlternatorCable"),
        (lambda: rt.DEVICES, "ridethrough.DEVICES is now ridethrough.CUTOUT_CAUSES"),
        (lambda: rt.PATHS, "ridethrough.PATHS is now ridethrough.TIME_SERIES"),
        (lambda: rt.level(), "ridethrough.level is now ridethrough.instruction_set"),
        (lambda: rt.simulate(VAN, TRIP, trials=8, paths=True), "paths: now time_series"),
        (lambda: rt.simulate(VAN, TRIP, trials=8, time_series=["charge"]), "time_series: 'charge': now 'soc'"),
        (lambda: rt.simulate(VAN, TRIP, trials=8).columns["device"], "columns = 'device': now cutout_cause"),
        (lambda: rt.simulate(VAN, TRIP, trials=8, time_series=True).time_series_values["posts_v"], "now terminal_v"),
        (lambda: rt.simulate(VAN, TRIP, trials=8).paths, r"Risk.paths: now time_series"),
        (lambda: rt.Stop(name="a", site=TRIP.site, drive_hours=2), "Stop.drive_hours: now drive_duration_h"),
        (lambda: rt.Part, "ridethrough.Part is now ridethrough.PricedPart"),
        (lambda: rt.Range, "ridethrough.Range is now ridethrough.AmountRange"),
        (lambda: rt.Candidate("a", lambda v, t: None, removed=()), "Candidate.removed: now parts_removed"),
        (lambda: rt.worksheet_says_empty(None, 1000, usable=0.5), "worksheet_says_empty.usable: now deepest"),
        (lambda: quick_studies.CALLS["monthly_risk"][0](progress=False)["low"], "column = 'low': now risk_low"),
        (lambda: quick_studies.CALLS["sweep"][0](progress=False)["lowest_charge_q"], "now min_soc_quantiles"),
    ],
)
def test_a_former_name_is_an_error_that_tells_the_new_one(use, printed: str) -> None:
    with pytest.raises((rt.InputError, AttributeError, KeyError), match=printed):
        use()


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("[van.battery]\nstart_charge = 0.9", "van.battery.start_charge: now initial_soc"),
        ('[van]\npanel_film = "none"', "van.panel_film: now snow_and_frost"),
        ('[van.battery]\nkind = "LfpBattery"', "van.battery.kind = 'LfpBattery': now LithiumBattery"),
        ("[van.loads.kettle]\nuses = 2", "van.loads.kettle.uses: now uses_per_day"),
        ("[van.loads.laptop]\nhours = 2", "van.loads.laptop.hours: now duration_h"),
        ('[van.solar]\nregulator = "pwm"', "van.solar.regulator: now charge_controller"),
    ],
)
def test_a_scenario_file_with_a_former_name(tmp_path, text: str, printed: str) -> None:
    file = tmp_path / "old.toml"
    file.write_text(SITE + text)
    with pytest.raises(rt.InputError, match=re.escape(printed)):
        rt.load_scenario(file)


def test_the_environment_variable() -> None:
    code = "import ridethrough as rt; print(rt.instruction_set())"
    run = subprocess.run([sys.executable, "-c", code], env={"RIDETHROUGH_LEVEL": "x"}, capture_output=True, text=True)
    assert "RIDETHROUGH_LEVEL: now RIDETHROUGH_INSTRUCTION_SET" in run.stderr


def test_former_outputs_are_none_of_now() -> None:
    now = {row.name for row in (*_core.RESULTS, *_core.TIME_SERIES)}
    assert not now & _core.FORMER_RESULTS.keys() and {*_core.FORMER_RESULTS.values()} <= now


def test_former_names_of_results_tell_the_ones_of_now() -> None:
    risk: Any = rt.simulate(VAN, TRIP, trials=20)
    day: Any = risk.day_balances[0]
    for of, name, now in (
        (risk, "days", "Risk.days: now day_balances"),
        (risk, "reached", "Risk.reached: now half_width_reached"),
        (day, "solar", "DayBalance.solar: now solar_wh"),
        (day, "sun", "DayBalance.sun: now sun_wh"),
        (day, "charge_after", "DayBalance.charge_after: now soc_after"),
        (day, "nothing", "no attribute 'nothing'"),
    ):
        with pytest.raises(AttributeError, match=now):
            getattr(of, name)
    played = quick_studies.CALLS["hindcast"][0](progress=False)
    with pytest.raises(rt.InputError, match="column = 'first_cutout_hour': now first_cutout_h"):
        played["first_cutout_hour"]
