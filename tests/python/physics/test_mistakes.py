"""The usual mistakes, each as a pair of runs on the same trials: right sign, and a size a practitioner would expect.

Bands are common practice, no source, unless a check says more. Further pairs: PWM in tests/cpp/trip/test_arrays.cpp,
trailer cables and converters in tests/cpp/trip/test_vehicle.cpp, a winter in store in test_stops.py.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import ridethrough as rt

# Normals of Greensboro, North Carolina (typical year TMY3 723170, US public domain).
PLACE: dict[str, Any] = {"latitude": 36.10, "longitude": -79.95}
GREENSBORO = rt.Climate(
    **PLACE,
    ghi_kwh_m2_day=[2.41, 3.06, 4.25, 5.41, 5.64, 6.25, 6.08, 5.61, 4.43, 3.59, 2.43, 2.24],
    air_temp_c=[0.3, 5.0, 11.4, 14.7, 19.0, 23.6, 25.4, 24.8, 20.1, 13.1, 10.8, 4.2],
)
SITE = rt.Site(**PLACE, climate=GREENSBORO)
TRIALS = 2_000
VAN = rt.Van(battery=rt.AgmBattery(capacity_ah=110), solar=rt.SolarArray(rated_w=160), fridge=rt.Fridge(volume_l=65))


def trip(start: str = "2026-11-06 15:00", nights: int = 4, **more: Any) -> rt.Trip:
    return rt.Trip(site=SITE, start=start, nights=nights, **more)


def run(van: rt.Van, plan: rt.Trip, **more: Any) -> rt.Risk:
    return rt.simulate(van, plan, **{"trials": TRIALS, "seed": 11, **more})


def points(worse: rt.Risk, better: rt.Risk) -> rt.stats.Estimate:
    """Paired difference of the risks; more than nothing is asserted through its lower limit."""
    return rt.stats.paired_difference(worse.columns["cutout_cause"] > 0, better.columns["cutout_cause"] > 0)


def swap(van: rt.Van, **values: Any) -> rt.Van:
    return van.replace(**{name.replace("__", "."): value for name, value in values.items()})


# A battery with a steady load and nothing else: what its meter reads is then arithmetic.
def bench(amps: float, battery: Any, **more: Any) -> rt.Van:
    alone = {"solar": None, "dc_dc": None, "loads": [rt.Standby(current_a=amps)], "cabin_person_heat_w": 0}
    return rt.Van(battery=battery, fridge=rt.Fridge(volume_l=15, cutout_v=9.25, restart_v=10.75), **{**alone, **more})


NEW_AGM: dict[str, Any] = {
    "capacity_ah": 100,
    "state_of_health": 1,
    "open_circuit_voltage_offset_v": 0,
    "polarisation_factor": 0.4,
}


def test_volts_under_load_read_low_and_rest_brings_them_back() -> None:
    """AGM needs hours of rest; half charge looks .1 to .4 V poorer under a tenth of the capacity in amps (from
    memory)."""
    battery = rt.AgmBattery(**NEW_AGM, initial_soc=0.5)
    plan = trip("2026-06-10 20:00", 1)
    volts = [
        run(bench(amps, battery), plan, trials=32, time_series=["terminal_v"]).time_series["terminal_v"][:, 0].mean()
        for amps in (0.1, 10)
    ]
    assert 0.1 < volts[0] - volts[1] < 0.4, volts


def test_surface_charge_flatters_for_hours() -> None:
    """An hour after a charger stops the reading is .1 to .3 V above that of the next morning, at the same load (from
    memory)."""
    battery = rt.AgmBattery(**NEW_AGM, initial_soc=0.7)
    plan = trip("2026-06-10 12:00", 1, shore_power=[rt.ShorePower(nights=[1], start_h=12, duration_h=2)])
    van = bench(0.05, battery, mains=rt.MainsCharger(current_a=10))
    volts = run(van, plan, trials=32, time_series=["terminal_v"]).time_series["terminal_v"].mean(axis=0)
    assert 0.1 < volts[2] - volts[18] < 0.3, volts


def test_rated_is_not_usable() -> None:
    """The 20-hour rating of a new battery at 25 degC; half gone with age, cold or a high current is usual."""
    plan = trip("2027-01-10 12:00", 4)

    def hours(**more: Any) -> float:
        battery = rt.AgmBattery(capacity_ah=100, initial_soc=1.0, location="locker", **more)
        risk = run(bench(5.0, battery), plan, trials=200)
        return float(np.median(np.minimum(risk.columns["first_cutout_h"], 96)))

    worn = hours(state_of_health=0.7)
    assert 0.4 * 20 < worn < 0.75 * 20
    assert hours(state_of_health=1.0) > 1.25 * worn


def test_the_half_full_rule_is_about_life() -> None:
    """Many trips go below half charge; far fewer lose the fridge."""
    risk = run(VAN, trip(nights=3))
    below_half = float((risk.columns["hours_below_half"] > 0).mean())
    assert below_half > risk.cutout.value + 0.15, (below_half, risk.cutout)


def test_winter_sun_on_a_flat_roof() -> None:
    """A third to a sixth of summer's in temperate places; here, at 36 degrees, towards the bright end or above it."""
    offered = {}
    for month in ("2026-07-01", "2026-12-15"):
        means = run(VAN, trip(f"{month} 15:00", 4)).means
        offered[month] = means["solar_wh"] + means["curtailed_wh"]
    assert 0.17 < offered["2026-12-15"] / offered["2026-07-01"] < 0.45, offered


def test_trees() -> None:
    gap = points(run(VAN, trip(surroundings="forest")), run(VAN, trip(surroundings="open")))
    assert gap.low > 0.05, gap


def test_flat_panels_in_mid_winter() -> None:
    """A tilt to the sun is worth a quarter to a half more at 36 degrees (D&B ex. 2.19.1 has 1/.45 in Madison)."""
    plan = trip("2026-12-15 15:00", 4)
    flat, tilted = run(VAN, plan), run(swap(VAN, solar__tilt_deg=50.0), plan)
    light = [r.means["solar_wh"] + r.means["curtailed_wh"] for r in (flat, tilted)]
    assert 1.2 < light[1] / light[0] < 2.0, light
    assert points(flat, tilted).low > 0


def test_a_fridge_shut_in_its_own_heat() -> None:
    """13 K above the air in a closed van against 2 K ventilated. The model's condenser feels it, not the box's walls:
    1.2 times the energy in July, where a niche that warms all sides would take more."""
    plan = trip("2026-07-10 15:00", 4)
    ample = swap(VAN, battery__capacity_ah=500.0)  # nothing cuts out, so that all the energy shows
    wh = [run(swap(ample, fridge__vent_rise_k=rise), plan).means["fridge_wh"] for rise in (13.0, 2.0)]
    assert 1.15 < wh[0] / wh[1] < 1.6, wh
    hot, aired = (run(swap(VAN, fridge__vent_rise_k=rise), plan) for rise in (13.0, 2.0))
    assert points(hot, aired).low > 0


def test_the_inverter_left_on() -> None:
    """.2 to 2.2 A idle: forgotten every evening, 1 A takes 10 to 16 Ah by the morning."""
    inverter = rt.Inverter(idle_current_a=1.0, duration_h=2.0, daily_probability=1.0, left_on_probability=1.0)
    van = VAN.replace(loads=[rt.Standby(current_a=0.4), inverter])
    left, switched = (run(v, trip()) for v in (van, swap(van, loads__inverter__left_on_probability=0.0)))
    extra_ah = (left.load_ah["inverter"] - switched.load_ah["inverter"]) / 4
    assert 9 < extra_ah < 16, extra_ah
    assert points(left, switched).low > 0.01


def test_standing_drain() -> None:
    """.5 to 1.2 A are common: 12 to 29 Ah a day that no load list has."""
    forgotten, known = (run(swap(VAN, loads__standby__current_a=a), trip()) for a in (0.85, 0.02))
    extra_ah = (forgotten.load_ah["standby"] - known.load_ah["standby"]) / 4
    assert extra_ah == pytest.approx(0.83 * 24, rel=0.03)
    assert points(forgotten, known).low > 0.05


def test_a_smart_alternator_on_a_plain_cable() -> None:
    """13.2 to 13.4 V where a cycling battery wants 14.4 to 14.6 V: a drive puts in a part of what a charger would: 10
    of 25 A are usual (from memory), half to twice of it."""
    plan = trip(nights=4, drives=[rt.Drive(days=[3], duration_h=3)])
    flat = swap(VAN, battery__initial_soc=0.6, solar=None)
    plain = flat.replace(dc_dc=rt.AlternatorCable(alternator_v=13.3, supply_length_m=6, supply_section_mm2=6))
    through_charger = flat.replace(dc_dc=rt.DcDcCharger(current_a=25, alternator_v=14.0))
    put_in = [run(van, plan).means["dc_dc_wh"] for van in (plain, through_charger)]
    assert 0.2 < put_in[0] / put_in[1] < 0.8, put_in


def test_lithium_in_a_frosty_locker() -> None:
    """Charge is blocked at or below 0 degC: a frosty sunny morning charges nothing."""
    cold = rt.Climate(**PLACE, ghi_kwh_m2_day=[3.0] * 12, air_temp_c=[-6.0] * 12)
    plan = rt.Trip(site=rt.Site(**PLACE, climate=cold), start="2027-01-10 15:00", nights=4)
    inside, locker = (
        run(VAN.replace(battery=rt.LithiumBattery(capacity_ah=150, location=place)), plan)
        for place in ("living_space", "locker")
    )
    assert locker.means["solar_wh"] < 0.7 * inside.means["solar_wh"]
    assert locker.day_balances[1].curtailed_cold_wh > 20
    assert "of it, battery cold" in locker.verdict(details=True, suggest=False)
    assert points(locker, inside).low > 0


def test_one_shaded_panel_rules_a_series_string() -> None:
    """Without bypass diodes it is down to its diffuse light; with one a module it loses that module's half at most."""

    def offered(layout: Any, substrings: int) -> float:
        roof = rt.SolarArray(rated_w=240, modules=2, shadow_share=0.5, substrings=substrings, layout=layout)
        means = run(VAN.replace(solar=roof), trip("2026-07-01 15:00", 3)).means
        return means["solar_wh"] + means["curtailed_wh"]

    assert 0.4 < offered("series", 0) / offered("parallel", 0) < 0.8
    assert 0.6 < offered("series", 1) / offered("parallel", 1) < 0.95


@pytest.mark.filterwarnings("ignore:Van.wiring.fridge_branch_mohm:UserWarning")
def test_a_thin_cable_to_the_fridge() -> None:
    """The fridge sees .3 to 1.0 V less than the battery at 4 to 6 A: 100 to 200 mOhm in all instead of 40."""
    thick, thin = (
        run(swap(VAN, wiring__fridge_branch_mohm=m), trip(), time_series=["fridge_off"]) for m in (30.0, 150.0)
    )
    assert points(thin, thick).low > 0.02


def test_a_cut_out_set_for_the_starter_battery_trips_early() -> None:
    """11.55 V keeps an engine startable: on a house battery it drops the fridge far too early."""
    mild = trip("2026-05-10 15:00", 4)  # no heater, which would go on emptying the battery
    high, usual = (run(swap(VAN, fridge__cutout_v=c, fridge__restart_v=c + 1.2), mild) for c in (11.55, 10.35))
    assert points(high, usual).low > 0.05
    left = high.columns["min_soc"][high.columns["cutout_cause"] == 1]
    assert np.median(left) > 0.15


def test_a_cut_out_set_low_runs_the_battery_down() -> None:
    low, usual = (run(swap(VAN, fridge__cutout_v=c, fridge__restart_v=c + 1.3), trip(nights=6)) for c in (9.45, 10.85))
    deep = [float((r.columns["min_soc"] < 0.1).mean()) for r in (low, usual)]
    assert deep[0] > deep[1], deep


def test_floating_too_early_leaves_it_short() -> None:
    """Controllers that drop to float after 2 h, where AGM needs 4.5 to 5.25 h at absorption voltage: six hours after
    plugging in it lacks some hundredths of its charge more (from memory, weak)."""
    plan = trip("2026-06-10 15:00", 2, shore_power=[rt.ShorePower(nights=[1], start_h=15, duration_h=12)])
    flat = swap(VAN, battery__initial_soc=0.4, solar=None, dc_dc=None)
    ends = []
    for hours in (2.0, 6.0):
        profile = rt.ChargeProfile(absorption_limit_h=hours)
        van = flat.replace(mains=rt.MainsCharger(current_a=25, charge_profile=profile))
        ends.append(float(run(van, plan, trials=300, time_series=["soc"]).time_series["soc"][:, 5].mean()))
    assert 0.01 < ends[1] - ends[0] < 0.06, ends


def test_solar_does_not_make_up_for_a_kettle() -> None:
    """A litre boiled is 9.7 Ah, about an hour of strong sun on 150 W (common practice, no source)."""
    base = VAN.replace(loads=[rt.Standby(current_a=0.2), rt.Inverter(idle_current_a=0.0)])
    kettle = base.replace(loads=[*base.loads, rt.Kettle(uses_per_day=1, use_probability=1.0)])
    a, b = run(kettle, trip()), run(base, trip())
    ah = (a.means["other_loads_wh"] - b.means["other_loads_wh"]) / 4 / 12.2
    assert 6 < ah < 16, ah
    assert points(a, b).low > 0


def test_rated_ampere_hours_do_not_compare_chemistries() -> None:
    """120 Ah of lithium does what a good deal more AGM does; energy-limited systems fail either way, only later."""
    same = [VAN.replace(battery=kind(capacity_ah=110)) for kind in (rt.AgmBattery, rt.LithiumBattery)]
    agm, lithium = (run(van, trip()) for van in same)
    assert points(agm, lithium).low > 0
    no_sun = [run(van.replace(solar=None), trip(nights=6)) for van in same]
    assert no_sun[1].cutout.value > 0.5
    late = [np.median(r.columns["first_cutout_h"]) for r in no_sun]
    assert late[1] > late[0], late


def test_nameplate_watts_and_no_temperature() -> None:
    """A fridge entered as its nameplate for 24 h, or without the season's heat, is wrong by a factor (from memory)."""
    wh = {m: run(VAN, trip(f"{m} 15:00", 4)).means["fridge_wh"] / 4 for m in ("2026-01-10", "2026-07-10")}
    nameplate_wh = 60 * 24
    assert wh["2026-07-10"] < 0.6 * nameplate_wh
    assert wh["2026-07-10"] > 1.8 * wh["2026-01-10"], wh


def test_not_starting_full() -> None:
    full, not_full = (run(swap(VAN, battery__initial_soc=q), trip()) for q in (1.0, 0.75))
    assert points(not_full, full).low > 0.05


def test_a_day_out_in_the_tow_car_charges_nothing() -> None:
    supply = rt.DcDcCharger(supply_length_m=8, supply_section_mm2=16)
    towed = VAN.replace(towed=True, solar=None, dc_dc=supply)
    hitched = run(towed, trip(nights=2, drives=[rt.Drive(days=2)]))
    car_alone = run(towed, trip(nights=2, day_trips=[rt.DayTrip(days=2)]))
    assert car_alone.means["dc_dc_wh"] == 0
    assert hitched.means["dc_dc_wh"] > 100
    assert points(car_alone, hitched).low > 0


def test_an_old_battery_beside_a_new_one() -> None:
    """Two unequal batteries in parallel are rated 110 Ah like two new ones, but eight years have taken a third of
    the old one (from memory). The pair is better than the new one alone; currents between them are left out."""
    ages = {"two new": 0, "one old": 8}
    vans = {
        name: VAN.replace(
            batteries=[
                rt.AgmBattery(capacity_ah=55, age_years=0, initial_soc=1.0),
                rt.AgmBattery(capacity_ah=55, age_years=age),
            ]
        )
        for name, age in ages.items()
    }
    vans["alone"] = VAN.replace(battery=rt.AgmBattery(capacity_ah=55, age_years=0, initial_soc=1.0))
    plan = trip("2026-06-10 12:00", 4)
    steady = {name: bench(5.0, van.batteries[0]).replace(batteries=van.batteries) for name, van in vans.items()}
    hours = {
        name: float(np.median(run(van, plan, trials=200).columns["first_cutout_h"])) for name, van in steady.items()
    }
    assert 0.65 < hours["one old"] / hours["two new"] < 0.9, hours
    assert 1.2 < hours["one old"] / hours["alone"] < 1.8, hours
    two_new, one_old, alone = (run(van, trip()) for van in vans.values())
    assert points(one_old, two_new).low > 0.03
    assert points(alone, one_old).low > 0.05


def test_an_annual_mean_is_no_season() -> None:
    """A year's mean in place of July's normals halves the fridge's energy and hides the hot weeks; in place of
    February's it hands out 1.4 times the sun (4.28 for 3.06). In mid-winter it is more than the sky lets through."""

    def averaged(values: Any, months: range) -> list[float]:
        mean = sum(values) / 12
        return [mean if month in months else value for month, value in enumerate(values)]

    def place(months: range) -> rt.Site:
        climate = rt.Climate(
            **PLACE,
            ghi_kwh_m2_day=averaged(GREENSBORO.ghi_kwh_m2_day, months),
            air_temp_c=averaged(GREENSBORO.air_temp_c, months),
        )
        return rt.Site(**PLACE, climate=climate)

    july = trip("2026-07-10 15:00", 5)
    small = swap(VAN, solar__rated_w=110)
    real, averaged_july = run(small, july), run(small, july.replace(site=place(range(1, 10))))
    assert points(real, averaged_july).low > 0.25  # with a panel that just about does
    assert 0.35 < averaged_july.means["fridge_wh"] / real.means["fridge_wh"] < 0.75

    february = trip("2027-02-12 15:00", 4)
    worker = VAN.replace(loads=[rt.Standby(current_a=2.0)], fridge=rt.Fridge(volume_l=15))  # the fridge counts little
    real, averaged_february = run(worker, february), run(worker, february.replace(site=place(range(1, 10))))
    offered = [r.means["solar_wh"] + r.means["curtailed_wh"] for r in (averaged_february, real)]
    assert 1.2 < offered[0] / offered[1] < 1.6, offered
    assert points(real, averaged_february).low > 0.05

    with pytest.raises(rt.InputError, match=r"January.*allowed"):
        place(range(12))
