"""Every load's uses in a day: when they may begin, how long they last, what they draw.

A use takes two draws, three where it may be left on: chance and variation from the first, its place in the window from
the second, forgetting from the third.
"""

from dataclasses import dataclass

import numpy as np

INVERTER_V, CHARGING_V = 12.5, 12.8  # battery volts under an inverter's load, and over the hours of a charge


@dataclass
class Use:
    """One kind of use; numbers may be arrays over the trials, (trials, 1) or (trials, days)."""

    current_a: object
    hours: object = None  # None: until `until`
    hours_spread: float = 0.0
    share: object = None  # chance on a day; None: always
    earliest_h: float = 0.0
    latest_h: float = 0.0
    begins: str = "window"  # or "dusk", "wake"
    until: str = "duration"  # or "bedtime", "dawn"
    bedtime_spread_h: float = 0.0
    left_on: object = None  # chance of being left on until the next waking hour
    start_a: object = None
    start_h: float = 0.0
    below_c: float | None = None  # used only when the air at condition_hour is colder
    above_c: float | None = None
    condition_hour: int = 0
    at_terminals: bool = False
    scaled: bool = True  # hours follow the habits' scale
    days: str = "all"
    rain_hours: float = 1.0  # factors on a rainy day
    rain_share: float = 1.0
    rain_early_h: float = 0.0
    litres_per_h: float = 0.0
    nights: str = "all"  # or "stationary"


def window(load):
    return {"earliest_h": load.earliest_h, "latest_h": load.latest_h}


def rain_and_days(load):
    names = {"rain_factor": "rain_hours", "rain_probability_factor": "rain_share", "days": "days"}
    declared = {f.name for f in load.schema.fields}
    return {to: getattr(load, name) for name, to in names.items() if name in declared}


def lights(load, q, party):
    persons = party.persons
    share = max(0.5, 1 + 0.125 * (persons - 2)) if persons > 0 else 0.0
    current = q("current_a") * share
    return [
        Use(
            current,
            begins="dusk",
            until="bedtime",
            bedtime_spread_h=load.bedtime_spread_h,
            rain_early_h=load.rain_earlier_h,
        ),
        Use(current, begins="wake", until="dawn"),
    ]


def outside_light(load, q, party):
    return Use(
        q("current_a"),
        q("duration_h"),
        0.3,
        q("daily_probability"),
        begins="dusk",
        left_on=q("left_on_probability"),
        above_c=load.used_above_c,
        condition_hour=21,
        **rain_and_days(load),
    )


def guest_evening(load, q, party):
    return Use(
        q("charge_ah") / load.duration_h,
        load.duration_h,
        share=q("daily_probability"),
        begins="dusk",
        scaled=False,
        nights=load.nights,
    )


def phones(load, q, party):
    count = party.persons if load.count is None else load.count
    return Use(q("charge_ah") * count / load.duration_h, load.duration_h, 0.2, earliest_h=17, latest_h=21)


def tablets(load, q, party):
    current = q("charge_ah") * load.count / load.duration_h
    share = q("daily_probability")
    return Use(current, load.duration_h, 0.2, share, earliest_h=14, latest_h=21, **rain_and_days(load))


def running(load, q, party):
    """Hours at a current, on a share of the days."""
    return Use(q("current_a"), q("duration_h"), 0.3, q("daily_probability"), **window(load), **rain_and_days(load))


def electric_blanket(load, q, party):
    return Use(
        q("current_a"),
        q("duration_h"),
        0.2,
        q("daily_probability"),
        earliest_h=party.bedtime_h,
        latest_h=party.bedtime_h,
        below_c=load.used_below_c,
        condition_hour=min(23, int(party.bedtime_h)),
    )


def inverter(load, q, party):
    left_on = q("left_on_probability")
    return Use(
        q("idle_current_a"),
        q("duration_h"),
        0.3,
        q("daily_probability"),
        left_on=left_on,
        at_terminals=True,
        **window(load),
    )


def on_inverter(load, q, party):
    current = q("power_w") / q("efficiency") / INVERTER_V
    use = Use(
        current, q("duration_min") / 60, load.duration_spread, q("use_probability"), at_terminals=True, **window(load)
    )
    return [use] * int(load.uses_per_day)


def e_bike(load, q, party):
    current = q("energy_wh") / q("efficiency") / (CHARGING_V * load.duration_h)
    share = q("charge_probability")
    use = Use(
        current, load.duration_h, 0.0, share, at_terminals=True, scaled=False, **window(load), **rain_and_days(load)
    )
    return [use] * int(load.bikes)


def water_pump(load, q, party):
    if load.water_l_per_person_day is None:  # what a couple draws
        litres = q("water_l_per_day") * party.persons / 2
    else:
        litres = q("water_l_per_person_day") * party.persons
    flow = 60 * load.flow_l_per_min
    times = {"earliest_h": party.wake_h, "latest_h": party.bedtime_h}
    return [Use(q("current_a"), litres / 3 / flow, 0.3, litres_per_h=flow, **times)] * 3


def breathing_machine(load, q, party):
    night_ah = q("night_ah", 55.0 if load.heated_humidifier == "yes" else 20.0)
    times = {"earliest_h": party.bedtime_h, "latest_h": party.bedtime_h}
    return Use(night_ah / load.duration_h, load.duration_h, scaled=False, at_terminals=load.feed == "inverter", **times)


def tyre_pump(load, q, party):
    return Use(q("current_a"), q("duration_min") / 60, 0.2, q("daily_probability"), scaled=False, **window(load))


def appliance(load, q, party):
    use = Use(
        q("current_a"),
        q("duration_min") / 60,
        load.duration_spread,
        q("use_probability"),
        start_a=q("start_current_a") if load.start_duration_min > 0 else None,
        start_h=load.start_duration_min / 60,
        at_terminals=load.feed == "inverter",
        **window(load),
        **rain_and_days(load),
    )
    return [use] * int(load.uses_per_day)


KINDS = {
    "Lights": lights,
    "OutsideLight": outside_light,
    "GuestEvening": guest_evening,
    "WaterPump": water_pump,
    "Phones": phones,
    "Tablets": tablets,
    **dict.fromkeys(["Laptop", "Television", "InternetTerminal", "Router", "Radio", "BatteryPacks"], running),
    "ElectricBlanket": electric_blanket,
    "BreathingMachine": breathing_machine,
    "Inverter": inverter,
    **dict.fromkeys(["InverterAppliance", "Kettle", "InductionHob", "Microwave", "HairDryer"], on_inverter),
    "EBike": e_bike,
    "TyrePump": tyre_pump,
    "Appliance": appliance,
}
STEADY = ("Standby", "Detectors")  # always on; a Fan follows the cabin's heat
HEATERS = ("Heater", "GasFurnace")


def uses_of(load, draws, party):
    """The uses of a day in the order of their draws."""

    def q(field, otherwise=None):
        value = draws.quantity(load, field, f"loads.{load.name}.", otherwise)
        return value[:, None] if value.ndim == 1 else value

    uses = KINDS[type(load).__name__](load, q, party)
    return uses if isinstance(uses, list) else [uses]


def draws_a_day(uses):
    return sum(2 if u.left_on is None else 3 for u in uses)


@dataclass
class Times:
    """A use on each day, (trials, days): its start current from `start`, its own from `run_from` to `end`."""

    start: np.ndarray
    run_from: np.ndarray
    end: np.ndarray
    start_a: np.ndarray
    run_a: np.ndarray


def times_of(use, chance_draws, place_draws, forgotten, clock, party, weather):
    """`chance_draws`: uniform and normal of the first draw; `clock`: what each day is."""
    (chance, varied), place, wet = chance_draws, place_draws, party.wet
    air = weather.air[..., use.condition_hour]
    used = np.ones_like(wet)
    if use.below_c is not None:
        used &= air < use.below_c
    if use.above_c is not None:
        used &= air > use.above_c
    if use.share is not None:
        used &= chance < use.share * np.where(wet, use.rain_share, 1)
    if use.days != "all":
        used &= clock.workday == (use.days == "workdays")
    if use.nights == "stationary":
        used &= clock.stationary
    run_a = np.where(used, use.current_a, 0)

    earliest = {"window": use.earliest_h, "dusk": clock.dusk_h, "wake": party.wake_h}[use.begins]
    latest = use.latest_h if use.begins == "window" else earliest
    start = earliest + (latest - earliest) * place
    if use.rain_early_h > 0:
        start = np.where(wet, np.maximum(start - use.rain_early_h, party.wake_h), start)

    scale = party.habits[:, None] if use.scaled else 1.0
    if use.until == "duration":
        mean = use.hours * scale * np.where(wet, use.rain_hours, 1)
        end = start + np.minimum(mean * np.maximum(1 + use.hours_spread * varied, 0.1), 24)
    elif use.until == "dawn":
        end = np.broadcast_to(clock.dawn_h, start.shape)
    else:
        bedtime = party.bedtime_h + use.bedtime_spread_h * (2 * chance - 1)
        end = start + np.minimum((bedtime - start) * scale, 24)
    if use.left_on is not None:
        left_on = np.minimum(use.left_on * party.forgets[:, None], 1)
        end = np.where(forgotten < left_on, np.maximum(end, 24 + party.wake_h), end)
    end = np.where(run_a > 0, np.maximum(end, start), start)
    if use.start_a is None:
        return Times(start, start, end, np.zeros_like(start), run_a)
    start_a = np.where(run_a > 0, use.start_a, 0)
    return Times(start, np.minimum(start + use.start_h, end), end, start_a, run_a)
