"""Vans and trips that between them use all that the reference model's steps have, each cut-out included."""

from typing import Any

import ridethrough as rt
from reference_cases import NORTH, SITE, SOUTH, trip

WINTER = {"site": SITE, "start": "2026-11-06 15:00"}
SUMMER = {"site": SITE, "start": "2026-07-10 15:00"}
COLD = {"site": NORTH, "start": "2027-02-10 12:00"}
HALF = rt.spreads.uniform(0.2, 0.7)
WEAK = rt.Wiring(shared_mohm=40, fridge_branch_mohm=90)


def agm(**fields: Any):
    usual: dict[str, Any] = {"capacity_ah": 80, "initial_soc": HALF}
    return rt.AgmBattery(**usual | fields)


def lfp(**fields: Any):
    usual: dict[str, Any] = {"capacity_ah": 60, "initial_soc": HALF}
    return rt.LithiumBattery(**usual | fields)


STOPS = [
    rt.Stop(name="near", site=SITE, nights=1, drive_duration_h=2),
    rt.Stop(name="far", site=SITE, nights=2, drive_duration_h=5),
]
MICROWAVE = (rt.Inverter(), rt.Microwave(), rt.Lights(), rt.Phones(), rt.Kettle())
HEATER = rt.Heater(starts_above_v=11.6, supply_mohm=30)
WARM = rt.Heater(
    starts_above_v=11.2,
    supply_mohm=30,
    evening_from_h=21,
    morning_until_h=11,
    set_point_c=rt.spreads.triangular(12, 19, 24),
)
KETTLE = rt.Kettle(power_w=rt.spreads.uniform(1000, 1900), use_probability=1)
HEAVY = (rt.Inverter(), KETTLE, rt.Lights(), rt.Microwave(), rt.Phones())
SET_BACK = rt.NightSetBack(rise_k=0.8)
SMART: dict[str, Any] = {"alternator_v": rt.spreads.triangular(13.1, 13.5, 13.9), "alternator_swing_v": 1.2}
GENERATOR: dict[str, Any] = {"mains": rt.MainsCharger(current_a=15), "generator": rt.Generator(rated_w=300)}

CASES = {
    "default": (rt.Van(), trip()),
    "default lithium": (rt.Van(battery=rt.LithiumBattery()), trip()),
    "agm, drives and shore": (
        rt.Van(battery=agm(), mains=rt.MainsCharger()),
        trip(**WINTER, drives=[rt.Drive(days=[2, 4])], shore_power=[rt.ShorePower(nights=[3])], warm_food_days=[1, 3]),
    ),
    "lithium, drives and shore": (
        rt.Van(battery=lfp(), mains=rt.MainsCharger()),
        trip(**WINTER, drives=[rt.Drive(days=[2, 4])], shore_power=[rt.ShorePower(nights=[3])]),
    ),
    "weak cable, disconnect": (
        rt.Van(battery=agm(), wiring=WEAK, disconnect=rt.SystemDisconnect(cutout_v=11.7)),
        trip(**WINTER),
    ),
    "brown-out": (
        rt.Van(battery=agm(capacity_ah=40), fridge=rt.Fridge(cutout_v=8.6, restart_v=11), loads=MICROWAVE),
        trip(**WINTER),
    ),
    "bms": (
        rt.Van(battery=lfp(capacity_ah=30), fridge=rt.Fridge(cutout_v=8.6, restart_v=11), loads=MICROWAVE),
        trip(**WINTER),
    ),
    "kettle that trips the inverter": (rt.Van(battery=agm(capacity_ah=100), loads=HEAVY), trip(**WINTER)),
    "kettle on an inverter that nobody has declared": (
        rt.Van(battery=agm(capacity_ah=100), loads=[KETTLE, rt.Lights()], wiring=WEAK),
        trip(**SUMMER, step_min=15),
    ),
    "inverter that waits longer than the fridge": (
        rt.Van(
            battery=agm(),
            loads=[
                rt.Inverter(cutout_v=11.2, cutout_delay_s=40, restart_wait_s=90, left_on_probability=0.8),
                rt.InductionHob(use_probability=1),
                rt.Heater(starts_above_v=11.6),
            ],
            disconnect=rt.SystemDisconnect(),
        ),
        trip(**WINTER),
    ),
    "bms that opens on current": (
        rt.Van(battery=lfp(), loads=HEAVY, mains=rt.MainsCharger()),
        trip(**WINTER, shore_power=[rt.ShorePower(nights=[3])]),
    ),
    "bms that opens on current of seconds": (
        rt.Van(
            battery=lfp(initial_soc=0.9, max_discharge_a=50),
            loads=[rt.Inverter(), rt.InverterAppliance(name="mixer", power_w=1200, duration_min=0.5, uses_per_day=8)],
            fridge=rt.Fridge(restart_wait_s=10),
        ),
        trip(**WINTER),
    ),
    "two bms that open on current, quarter hours": (
        rt.Van(
            batteries=[
                lfp(max_discharge_a=rt.spreads.uniform(40, 90), overcurrent_delay_s=3),
                rt.LithiumBattery(capacity_ah=40, max_discharge_a=30),
            ],
            loads=[*HEAVY, rt.InductionHob(use_probability=1)],
        ),
        trip(**SUMMER, step_min=15),
    ),
    "bms, woken by a charger": (
        rt.Van(
            battery=lfp(capacity_ah=20, wakes_itself_probability=0),
            fridge=rt.Fridge(cutout_v=8.6, restart_v=11),
            mains=rt.MainsCharger(),
        ),
        trip(**WINTER, drives=[rt.Drive(days=[3])], shore_power=[rt.ShorePower(nights=[4])]),
    ),
    "summer, pwm": (
        rt.Van(battery=agm(), solar=rt.SolarArray(charge_controller="pwm", self_consumption_ma=12)),
        trip(**SUMMER),
    ),
    "cable to the alternator": (
        rt.Van(battery=agm(), dc_dc=rt.AlternatorCable(), mains=rt.MainsCharger()),
        trip(
            **WINTER,
            drives=[rt.Drive(days=[1, 2, 3])],
            idling=[rt.Idle(days=[4])],
            shore_power=[rt.ShorePower(nights=[2], start_h=12)],
        ),
    ),
    "strong cable to the alternator": (
        rt.Van(
            battery=agm(initial_soc=0.95),
            dc_dc=rt.AlternatorCable(supply_mohm=3, current_a=150, alternator_v=15),
            solar=rt.SolarArray(rated_w=600),
        ),
        trip(**SUMMER, drives=[rt.Drive(days=[2, 3, 4], duration_h=6)]),
    ),
    "towed, cycling": (
        rt.Van(towed=True, battery=agm(), dc_dc=rt.DcDcCharger(restart_v=13.2, cycling_share=0.4, lockout_v=12.9)),
        trip(**WINTER, drives=[rt.Drive(days=[2, 3, 4])], idling=[rt.Idle(days=[2])]),
    ),
    "towed, smart alternator": (
        rt.Van(towed=True, battery=agm(), dc_dc=rt.DcDcCharger(supply_mohm=30, **SMART)),
        trip(**WINTER, drives=[rt.Drive(days=[2, 3, 4])], idling=[rt.Idle(days=[2])]),
    ),
    "smart alternator, high restart": (
        rt.Van(battery=lfp(), dc_dc=rt.DcDcCharger(restart_v=14, lockout_v=12.4, **SMART)),
        trip(**WINTER, drives=[rt.Drive(days=[2, 3, 4])]),
    ),
    "cable to a smart alternator": (
        rt.Van(battery=agm(), dc_dc=rt.AlternatorCable(**SMART), loads=HEAVY),
        trip(**WINTER, drives=[rt.Drive(days=[1, 2, 3])], idling=[rt.Idle(days=[4])]),
    ),
    "long cable": (
        rt.Van(battery=agm(), dc_dc=rt.DcDcCharger(supply_length_m=7, supply_section_mm2=7)),
        trip(**WINTER, drives=[rt.Drive(days=[2, 3, 4])]),
    ),
    "one input": (
        rt.Van(battery=lfp(), dc_dc=rt.DcDcCharger(input_priority="solar_first")),
        trip(**SUMMER, drives=[rt.Drive(days=[2, 3])]),
    ),
    "other input": (
        rt.Van(battery=agm(), dc_dc=rt.DcDcCharger(input_priority="alternator_first", supply_mohm=30, **SMART)),
        trip(**SUMMER, drives=[rt.Drive(days=[2, 3])]),
    ),
    "overwhelmed": (
        rt.Van(
            battery=agm(capacity_ah=20, age_years=8, location="locker"),
            dc_dc=rt.AlternatorCable(),
            solar=None,
            loads=[rt.Inverter(cutout_v=8.5, cutout_delay_s=600), rt.Kettle(power_w=2500, use_probability=1)],
        ),
        trip(**COLD, drives=[rt.Drive(days=[2, 3], duration_h=6)]),
    ),
    "overwhelmed beside the Sun": (
        rt.Van(
            battery=agm(capacity_ah=20, age_years=8, location="locker"),
            dc_dc=rt.AlternatorCable(),
            loads=[rt.Inverter(cutout_v=8.5, cutout_delay_s=600), rt.Kettle(power_w=1000, use_probability=1)],
        ),
        trip(**SUMMER, drives=[rt.Drive(days=[2, 3], duration_h=6)]),
    ),
    "more cuts than a step has segments for": (
        rt.Van(
            battery=agm(capacity_ah=20, initial_soc=rt.spreads.uniform(0, 0.3)),
            solar=None,
            fridge=rt.Fridge(freezer_box=rt.FreezerBox()),
            loads=[rt.Standby(), rt.Lights(), rt.Inverter(), rt.Kettle(use_probability=1)],
        ),
        trip(**SUMMER),
    ),
    "generator": (
        rt.Van(battery=agm(), **GENERATOR),
        trip(
            **WINTER,
            generator_runs=[rt.GeneratorRun(days=[2, 3, 4])],
            shore_power=[rt.ShorePower(nights=[3], start_h=12)],
        ),
    ),
    "cold agm": (rt.Van(battery=agm(location="locker")), trip(**COLD)),
    "cold lithium, warmed": (
        rt.Van(battery=lfp(location="locker", cell_heater_w=60), mains=rt.MainsCharger()),
        trip(**COLD, shore_power=[rt.ShorePower(nights=[2, 3])], drives=[rt.Drive(days=[2, 4])]),
    ),
    "hot lithium": (
        rt.Van(battery=lfp(location="engine_bay", hot_reduce_c=32, hot_block_c=38)),
        trip(**SUMMER, drives=[rt.Drive(days=[2, 3, 4], duration_h=6)]),
    ),
    "old, two batteries": (
        rt.Van(batteries=[agm(age_years=4), rt.AgmBattery(capacity_ah=50, age_years=8)]),
        trip(**WINTER),
    ),
    "measured": (rt.Van(battery=lfp(measured_capacity_ah=45, age_years=6)), trip(**WINTER)),
    "freezer box": (
        rt.Van(
            battery=agm(),
            fridge=rt.Fridge(
                freezer_box=rt.FreezerBox(), medicine=rt.Medicine(), vent_fan=rt.VentFan(), initial_inside_c=18
            ),
        ),
        trip(**SUMMER),
    ),
    "ice": (
        rt.Van(
            battery=agm(),
            fridge=rt.Fridge(ice_kg=rt.spreads.uniform(0, 6), ice_coupling_w_per_k=2, medicine=rt.Medicine()),
        ),
        trip(**SUMMER),
    ),
    "ice in the cold": (
        rt.Van(battery=agm(), fridge=rt.Fridge(ice_kg=4, set_point_c=1)),
        trip(**WINTER),
    ),
    "upright, covered, set back": (
        rt.Van(
            battery=agm(),
            fridge=rt.Fridge(
                form="upright",
                volume_l=80,
                set_point_c=3.5,
                cover=rt.InsulatedCover(),
                night_set_back=rt.NightSetBack(rise_k=1.5),
            ),
        ),
        trip(site=SOUTH, start="2027-01-06 08:00"),
    ),
    "medicine": (rt.Van(battery=lfp(), fridge=rt.Fridge(medicine=rt.Medicine())), trip(**SUMMER)),
    "converter": (
        rt.Van(battery=agm(), mains=rt.MainsCharger(charge_profile=rt.ChargeProfile(ready_made="converter"))),
        trip(**WINTER, shore_power=[rt.ShorePower(nights=[1, 2, 3], start_h=14)]),
    ),
    "compensated for the cold, sulphated": (
        rt.Van(
            battery=agm(location="locker", weeks_at_partial_charge=9),
            mains=rt.MainsCharger(charge_profile=rt.ChargeProfile(ready_made="agm", compensation_mv_per_k=-18)),
        ),
        trip(**COLD, shore_power=[rt.ShorePower(nights=[2, 3])], drives=[rt.Drive(days=[2, 4])]),
    ),
    "lithium in deep cold": (rt.Van(battery=lfp(location="locker")), trip(**COLD)),
    "lithium on a low float": (
        rt.Van(
            battery=lfp(initial_soc=1.0),
            mains=rt.MainsCharger(
                charge_profile=rt.ChargeProfile(
                    chemistry="lithium", absorption_v=14, float_v=13.3, absorption_limit_h=0.5
                )
            ),
        ),
        trip(**SUMMER, shore_power=[rt.ShorePower(nights=[1, 3], start_h=12)]),
    ),
    "heater that needs a voltage": (
        rt.Van(battery=agm(), loads=[HEATER, rt.Lights()]),
        trip(**COLD, drives=[rt.Drive(days=[2, 3])]),
    ),
    "heater that needs a voltage and holds the cabin": (
        rt.Van(battery=agm(initial_soc=rt.spreads.uniform(0.4, 1)), loads=[WARM, rt.Lights()]),
        trip(site=NORTH, start="2027-02-10 08:00", drives=[rt.Drive(days=[2, 3])]),  # starts while it runs
    ),
    "heater that holds the cabin, quarter hours": (
        rt.Van(battery=agm(initial_soc=rt.spreads.uniform(0.4, 1)), loads=[WARM, rt.Lights()]),
        trip(**COLD, step_min=15, nights=2, warm_food_days=[1, 2], warm_food_h=22),
    ),
    "heater on a cable to the alternator": (
        rt.Van(battery=agm(), loads=[HEATER, rt.Lights()], dc_dc=rt.AlternatorCable()),
        trip(**COLD, drives=[rt.Drive(days=[2, 3, 4], start_h=5)]),
    ),
    "heater that people switch on or not": (
        rt.Van(battery=agm(), loads=[rt.Heater(switch_on_below_c=rt.spreads.uniform(4, 14)), rt.Fan(), rt.Lights()]),
        trip(**WINTER),
    ),
    "heater that is off at night": (
        rt.Van(battery=agm(), loads=[rt.Heater(all_night=False, start_spread_h=2, power_w=700), rt.Lights()]),
        trip(**COLD, step_min=30),
    ),
    "heater that stops with the battery": (
        rt.Van(battery=lfp(capacity_ah=20), loads=[rt.GasFurnace(), rt.Lights()], mains=rt.MainsCharger()),
        trip(**COLD, shore_power=[rt.ShorePower(nights=[2], start_h=20)]),
    ),
    "engine bay, stops": (
        rt.Van(battery=agm(location="engine_bay")),
        rt.Trip(stops=STOPS, start="2026-07-10 08:00"),
    ),
    "clock goes forward": (
        rt.Van(
            battery=agm(),
            fridge=rt.Fridge(volume_l=60),
            loads=[WARM, rt.Lights(), rt.Fan(starts_above_c=5)],
            mains=rt.MainsCharger(),
        ),
        trip(
            start="2027-03-13 12:00",
            drives=[rt.Drive(days=[2, 3])],
            shore_power=[rt.ShorePower(nights=[2])],
            warm_food_days=[1, 3],
        ),
    ),
    "clock goes back": (
        rt.Van(battery=agm(), loads=[HEATER, rt.Lights(), rt.Kettle()], fridge=rt.Fridge(night_set_back=SET_BACK)),
        trip(start="2026-10-31 15:00", drives=[rt.Drive(days=[2, 3], start_h=1)], party=rt.Party(drinks_h=1)),
    ),
    "clock goes back at midnight, quarter hours": (
        rt.Van(battery=lfp(), arrays=[rt.SolarArray(sky_model="hdkr"), rt.PortableArray(set_up_h=0)]),
        trip(site=SITE.replace(time_zone="Atlantic/Azores"), start="2026-10-24 08:00", nights=2, step_min=15),
    ),
    "clock goes forward by half an hour": (
        rt.Van(battery=agm(), snow_and_frost=rt.SnowAndFrost(night_below_c=3), loads=MICROWAVE),
        trip(site=SOUTH.replace(time_zone="Australia/Lord_Howe"), start="2026-10-03 15:00", nights=3, step_min=30),
    ),
    "clock goes back by half an hour, hourly steps": (
        rt.Van(battery=agm(), arrays=[rt.SolarArray(), rt.PortableArray()]),
        trip(site=SOUTH.replace(time_zone="Australia/Lord_Howe"), start="2027-04-03 15:00", shade_morning=0.5),
    ),
    "quarter hours": (rt.Van(battery=agm(), loads=MICROWAVE), trip(**WINTER, step_min=15, nights=2)),
    "party": (
        rt.Van(battery=agm(), water=rt.WaterTanks(), solar=rt.SolarArray(rated_w=100)),
        trip(**SUMMER, party=rt.Party(persons=4, carelessness=1.0)),
    ),
    "storage": (
        rt.Van(batteries=[lfp(), rt.LithiumBattery(capacity_ah=100), lfp(measured_capacity_ah=20)]),
        trip(**WINTER, storage=rt.Storage(weeks=6, isolator="on")),
    ),
}
