"""Alternator, generator and mains, and the state of the battery, as a scenario file says them."""

from dataclasses import replace

import numpy as np
import pytest
import ridethrough as rt
from ridethrough.files.scenario import Scenario, load_scenario
from ridethrough.files.scenario_writer import dump_scenario
from verdict_text import details, verdict

RIG = """
[van]
towed = true
solar = "none"
[van.batteries.house]
kind = "AgmBattery"
capacity_ah = 100
age_years = 4
location = "locker"
initial_soc = 0.4
[van.batteries.old]
capacity_ah = 80
age_years = 8
[van.dc_dc]
kind = "AlternatorCable"
supply_length_m = 8
supply_section_mm2 = 6
alternator_v = { triangular = [13.1, 13.5, 13.9] }
alternator_swing_v = 1.2
[van.mains]
efficiency = 0.8
charge_profile = { ready_made = "converter" }
[van.generator]
rated_w = 700
[trip]
start = "2027-01-10 15:00"
nights = 3
[[trip.drives]]
days = 2
[[trip.day_trips]]
days = ["Tuesday"]
[[trip.idling]]
days = [2027-01-12]
duration_h = 0.5
[[trip.generator_runs]]
days = [3]
[[trip.shore_power]]
nights = [2]
[trip.site]
latitude = 47
longitude = 10
[trip.site.climate]
ghi_kwh_m2_day = [1.2, 2, 3.2, 4.3, 5.1, 5.4, 5.5, 4.7, 3.5, 2.2, 1.3, 1]
air_temp_c = [-19, -4, 1, 6, 11, 14, 16, 16, 12, 7, 0, -18]
"""


@pytest.fixture(scope="module")
def rig(tmp_path_factory):
    path = tmp_path_factory.mktemp("rig") / "rig.toml"
    path.write_text(RIG)
    return load_scenario(path)


@pytest.fixture(scope="module")
def risk(rig):
    return rt.simulate(rig.van, rig.trip, trials=400, seed=1)


def test_a_scenario_says_all_of_it_and_reads_back(rig, tmp_path):
    van, trip = rig.van, rig.trip
    assert isinstance(van.dc_dc, rt.AlternatorCable)
    assert (van.towed, van.batteries[1].age_years, van.mains.charge_profile.ready_made) == (True, 8, "converter")
    path = tmp_path / "again.toml"
    path.write_text(dump_scenario(rig))
    again = load_scenario(path)
    assert (again.van, again.trip) == (van, trip)
    assert isinstance(again, Scenario)
    open_line = replace(rig, van=van.replace(**{"dc_dc.line_closed": False}))
    path.write_text(dump_scenario(open_line))
    assert "line_closed = false" in path.read_text()
    assert load_scenario(path).van == open_line.van


def test_a_charger_needs_no_kind(tmp_path):
    path = tmp_path / "plain.toml"
    path.write_text(RIG[RIG.index("[trip]") :] + "\n[van.dc_dc]\ncurrent_a = 40\n")
    assert load_scenario(path).van.dc_dc == rt.DcDcCharger(current_a=40)


def test_ledgers_close_and_energy_drawn_is_told(risk):
    assert risk.charge_balance_error < 1e-9
    assert risk.energy_balance_error < 1e-9
    assert risk.means["dc_dc_wh"] > 0
    assert risk.means["mains_wh"] > 100
    assert risk.mains_drawn_wh == pytest.approx(risk.means["mains_wh"] / 0.8)
    assert risk.to_dict()["mains_drawn_wh"] == risk.mains_drawn_wh
    assert "Drawn from the mains or a generator" in details(risk)
    assert rt.simulate(rt.Van(), risk.trip.replace(shore_power=[], generator_runs=[]), trials=10).mains_drawn_wh == 0


def test_a_battery_that_can_freeze_is_told(risk):
    # 4 years old, 40 % charged, in a locker at about -19 degC: its acid freezes near -21 degC (handbooks, from memory)
    assert set(risk.columns["frozen"]) == {0, 1}
    assert 0.05 < risk.means["frozen"] < 0.95
    assert "so cold that it can freeze" in details(risk) and "The battery can freeze" in verdict(risk)
    printed, n = risk.to_dict(), risk.trials  # a probability never without its interval and trials
    assert printed["frozen"]["events"] == np.count_nonzero(risk.columns["frozen"]) and printed["frozen"]["trials"] == n
    assert printed["frozen"]["low"] < printed["frozen"]["value"] == risk.means["frozen"] < printed["frozen"]["high"]
    assert "frozen" not in printed["means"]
    warm = risk.van.replace(**{"batteries.house.location": "living_space", "cabin_person_heat_w": 450})
    warmer = rt.simulate(warm, risk.trip, trials=400, seed=1)
    assert warmer.means["frozen"] < risk.means["frozen"]
    assert "can freeze" not in str(
        rt.simulate(
            rt.Van(battery=rt.LithiumBattery()), risk.trip.replace(shore_power=[], generator_runs=[]), trials=50
        )
    )


@pytest.mark.parametrize(
    ("van", "field"),
    [
        ({"dc_dc": rt.DcDcCharger(line_closed=False)}, "Van.dc_dc.line_closed"),
        ({"dc_dc": rt.AlternatorCable(), "battery": rt.LithiumBattery()}, "Van.dc_dc = AlternatorCable.*overheat"),
        ({"battery": rt.LithiumBattery(location="engine_bay")}, "Van.battery.location"),
        ({"towed": True}, "Van.dc_dc.supply_mohm"),
        ({"dc_dc": rt.DcDcCharger(supply_length_m=8, supply_section_mm2=4)}, "Van.dc_dc.lockout_v.*not there|below"),
    ],
    ids=["open line", "lithium on a plain cable", "lithium in the engine bay", "trailer cable", "lock-out"],
)
def test_what_is_probably_not_meant_warns(van, field, recwarn):
    rt.Van(**van)
    with pytest.warns(UserWarning, match=field):
        rt.simulate(rt.Van(**van), PLAIN, trials=10)


PLAIN = rt.Trip(
    site=rt.Site(
        latitude=47,
        longitude=10,
        climate=rt.Climate(
            ghi_kwh_m2_day=[1.2, 2, 3.2, 4.3, 5.1, 5.4, 5.5, 4.7, 3.5, 2.2, 1.3, 1],
            air_temp_c=[-2, 0, 4, 8, 12, 15, 17, 16, 13, 8, 3, -1],
        ),
    ),
    start="2027-05-10 15:00",
    nights=2,
    drives=[rt.Drive(days=[2])],
)


def test_a_default_van_warns_of_nothing():
    assert rt.simulate(rt.Van(), PLAIN, trials=10).warnings == ()


@pytest.mark.parametrize(
    ("make", "match"),
    [
        (lambda: rt.DcDcCharger(supply_mohm=20, supply_length_m=5), "DcDcCharger.supply_mohm: not allowed beside"),
        (lambda: rt.ChargeProfile(ready_made="converter", float_v=13.2), "ChargeProfile.float_v = 13.2: not allowed"),
        (lambda: rt.Van(towed=True, battery=rt.AgmBattery(location="engine_bay")), "Van.battery.location"),
        (
            lambda: rt.simulate(rt.Van(), PLAIN.replace(generator_runs=[rt.GeneratorRun(days=[2])]), trials=1),
            "Van.generator or Van.mains",
        ),
        (lambda: PLAIN.replace(idling=[rt.Idle(days=[10])]), "Trip.idling.1.days = 10: allowed 1 to 3 .1 is the"),
        (
            lambda: rt.simulate(rt.Van(dc_dc=rt.DcDcCharger(restart_v=12)), PLAIN, trials=1),
            r"dc_dc.restart_v = 12 V: must be above dc_dc.lockout_v = 12.6 V",
        ),
    ],
)
def test_what_contradicts_itself_is_refused(make, match):
    with pytest.raises(rt.InputError, match=match):
        make()


def test_weak_defaults_say_so():
    for path in ("Van.dc_dc.idle_current_a", "Van.battery.engine_bay_rise_k", "Van.dc_dc.supply_mohm"):
        assert "weak" in rt.explain(path)


def test_new_fields_leave_the_draws_alone():
    """The same weather and habits, whatever charges and however old the battery is."""
    van = rt.Van(
        battery=rt.AgmBattery(age_years=6, location="locker"),
        dc_dc=rt.AlternatorCable(),
        mains=rt.MainsCharger(),
        generator=rt.Generator(),
    )
    trip = PLAIN.replace(
        idling=[rt.Idle(days=[2])], generator_runs=[rt.GeneratorRun(days=[2])], day_trips=[rt.DayTrip(days=[3])]
    )
    a = rt.simulate(rt.Van(), PLAIN, trials=20, seed=3, time_series=["ghi_w_m2", "air_c"])
    b = rt.simulate(van, trip, trials=20, seed=3, time_series=["ghi_w_m2", "air_c"])
    for path in ("ghi_w_m2", "air_c"):
        assert (a.time_series[path] == b.time_series[path]).all()
    assert a.load_ah == b.load_ah


def shares_of_a_drive(**charger):
    """Of what a drive over a short, thick cable gives, trial by trial; 10 m of 10 mm2 to a towed camper."""
    battery = rt.LithiumBattery(capacity_ah=200, initial_soc=0.6)  # takes all of it, and its BMS stays closed
    van = rt.Van(towed=True, battery=battery, solar=None, dc_dc=rt.DcDcCharger(supply_mohm=0))
    given = [
        rt.simulate(one, PLAIN, trials=2000, seed=5).columns["dc_dc_wh"].astype(float)
        for one in (van, van.replace(dc_dc=rt.DcDcCharger(supply_length_m=10, supply_section_mm2=10, **charger)))
    ]
    return given[1] / given[0]


@pytest.mark.filterwarnings("ignore:Van.dc_dc")
def test_a_long_cable_gives_a_share_of_the_drive():
    """P = V I behind a resistance, minute by minute (Ohm's law): 10 m of 10 mm2, 1.91 ohm/km (IEC 60228 class 5)."""
    rng = np.random.default_rng(1)
    for charger, level, swing_v in (
        ({}, (13.3, 14.0, 14.5), 0.2),
        ({"alternator_v": rt.spreads.triangular(13.1, 13.5, 13.9), "alternator_swing_v": 1.2}, (13.1, 13.5, 13.9), 1.2),
    ):
        shares = shares_of_a_drive(**charger)
        assert shares.min() > 0.001  # the charger that is all day off or all day on is gone
        assert np.mean((shares > 0.05) & (shares < 0.95)) > 0.2

        volts = rng.triangular(*level, size=(4000, 1)) + rng.uniform(-swing_v, swing_v, size=(4000, 400))
        root = volts**2 - 4 * 20 * 1.91e-3 * 25 * 13.8 / 0.92
        holds = (volts + np.sqrt(np.maximum(root, 0))) / 2 >= 12.6
        cycling = rng.triangular(0, 0.1, 0.5, size=(4000, 1))
        played = np.where(holds, 1, cycling * (volts >= 13.1)).mean(axis=1)
        assert shares.mean() == pytest.approx(played.mean(), abs=0.02)
        np.testing.assert_allclose(
            np.quantile(shares, [0.1, 0.5, 0.9]), np.quantile(played, [0.1, 0.5, 0.9]), atol=0.05
        )


@pytest.mark.filterwarnings("ignore:Van.dc_dc")
def test_without_a_swing_and_without_cycling_it_is_all_or_nothing():
    shares = shares_of_a_drive(alternator_swing_v=0, cycling_share=0)
    assert set(np.round(shares, 4)) == {0, 1}
    # Holds from 12.6 V + .0382 ohm x 375 W / 12.6 V = 13.737 V on: all but .273 of triangular(13.3, 14, 14.5).
    assert shares.mean() == pytest.approx(1 - (13.737 - 13.3) ** 2 / (1.2 * 0.7), abs=0.03)


@pytest.mark.filterwarnings("ignore:Van.dc_dc", "ignore:Van.loads.kettle")
def test_an_overwhelmed_battery_ends_at_0_v():
    """A kettle on a small, old and cold AGM: no voltage below 0 V, and both ledgers close."""
    van = rt.Van(
        battery=rt.AgmBattery(capacity_ah=20, age_years=8, location="locker", initial_soc=0.3),
        loads=[rt.Inverter(cutout_v=8.5, cutout_delay_s=600), rt.Kettle(power_w=2500, use_probability=1)],
    )
    series = ["lowest_fridge_v", "fridge_v", "terminal_v"]
    risk = rt.simulate(van, PLAIN.replace(start="2027-01-10 15:00", drives=[]), trials=200, seed=1, time_series=series)
    values = [risk.time_series_values[name] for name in series]
    assert min(v.min() for v in values) == 0
    assert risk.energy_balance_error < 1e-9
