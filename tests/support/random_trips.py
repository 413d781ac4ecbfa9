"""Random vans and trips that put batteries, chargers, fridges and cut-outs to work, as a Hypothesis strategy: often
small or empty batteries, weak cables, drives, shore power, generators, and the parts that few vans have."""

import ridethrough as rt
from hypothesis import assume
from hypothesis import strategies as st
from random_cases import HEATERS, between, named, records, trips
from ridethrough.model import clocks

LOADS = [f for f in rt.Van().schema.fields if f.name == "loads"][0].choices
OTHERS = [kind for kind in LOADS if kind not in HEATERS]


def maybe(strategy, often=3):
    """None in one of `often` cases."""
    return st.integers(0, often - 1).flatmap(lambda i: strategy if i else st.none())


def some_days(last):
    numbers = st.integers(1, last)
    return st.lists(st.one_of(numbers, numbers, st.sampled_from(["Monday", "Thursday"])), max_size=3, unique=True)


@st.composite
def planned(draw, cls, nights):
    """A list of up to two members, which may overlap: then the core refuses it."""
    name, last = ("nights", nights) if cls is rt.ShorePower else ("days", nights + 1)
    earliest = 12 if cls is rt.ShorePower else 0
    drawn = [
        (draw(some_days(last)), {"start_h": draw(between(earliest, 23)), "duration_h": draw(between(1, 5))})
        for _ in range(draw(st.integers(1, 2)))
    ]
    return [cls(**{name: days}, **hours) for days, hours in drawn if days]


def with_parts(draw, record, **parts):
    """Those parts of a record that go with the rest."""
    for name, strategy in parts.items():
        value = draw(strategy)
        try:
            record = record.replace(**{name: value})
        except rt.InputError:
            continue
    return record


@st.composite
def batteries(draw):
    cls = draw(st.sampled_from([rt.AgmBattery, rt.LithiumBattery]))
    battery = cls(capacity_ah=draw(st.sampled_from([150, 15, 30, 60, 100, 300])))
    battery = draw(records(cls, battery, most=4))
    charge = st.sampled_from(
        [rt.spreads.triangular(0.9, 1, 1), rt.spreads.uniform(0.1, 1), rt.spreads.uniform(0, 0.4), 1.0]
    )
    return with_parts(
        draw,
        battery,
        initial_soc=charge,
        age_years=maybe(between(0, 12), 2),
        location=st.sampled_from(["living_space", "locker", "engine_bay"]),
        **({"cell_heater_w": st.sampled_from([0.0, 40.0, 120.0])} if cls is rt.LithiumBattery else {}),
    )


@st.composite
def battery_lists(draw):
    """One battery, now and then with others in parallel that say what is their own."""
    first = draw(batteries())
    size = st.sampled_from([100, 15, 40, 80])
    own = {"age_years": maybe(between(0, 12), 2), "measured_capacity_ah": maybe(between(10, 200), 4)}
    more = [with_parts(draw, type(first)(capacity_ah=draw(size)), **own) for _ in range(draw(st.integers(-3, 2)))]
    return [first, *more]


@st.composite
def fridges(draw):
    rare = {"freezer_box": rt.FreezerBox, "cover": rt.InsulatedCover, "vent_fan": rt.VentFan, "medicine": rt.Medicine}
    rare |= {"night_set_back": rt.NightSetBack}
    parts = {name: st.one_of(st.none(), st.none(), records(cls)) for name, cls in rare.items()}
    fridge = draw(records(rt.Fridge, rt.Fridge(volume_l=draw(st.sampled_from([55, 20, 100]))), most=3))
    return with_parts(
        draw,
        fridge,
        initial_inside_c=maybe(between(-5, 30), 2),
        restart_v=st.one_of(between(11.2, 13.2), st.just(rt.spreads.uniform(12.2, 12.6))),
        cutout_v=st.one_of(between(9.2, 12), st.just(rt.spreads.uniform(10, 12))),
        restart_wait_s=st.sampled_from([60, 0, 900]),
        ice_kg=st.sampled_from([0, 0, 0.3, 2, rt.spreads.uniform(0, 4)]),
        **parts,
    )


@st.composite
def equipped_vans(draw):
    heater = draw(st.one_of(st.just([]), named(HEATERS, 1)))
    van = draw(records(rt.Van, rt.Van(loads=[*draw(named(OTHERS, 5)), *heater]), most=2))
    arrays = st.sampled_from(["mppt", "pwm"]).flatmap(
        lambda kind: records(rt.SolarArray, rt.SolarArray().replace(charge_controller=kind), most=3)
    )
    charger = st.one_of(records(rt.DcDcCharger), records(rt.AlternatorCable))
    return with_parts(
        draw,
        van,
        batteries=battery_lists(),
        fridge=fridges(),
        solar=maybe(arrays),
        dc_dc=maybe(charger, 4),
        mains=maybe(records(rt.MainsCharger), 4),
        generator=maybe(records(rt.Generator), 2),
        disconnect=maybe(records(rt.SystemDisconnect), 2),
        wiring=records(rt.Wiring),
    )


@st.composite
def equipped(draw):
    """(van, trip) that the core accepts."""
    van, trip = draw(equipped_vans()), draw(trips())
    nights = int(sum(s.nights for s in trip.stops) if trip.stops else trip.nights)
    assume(nights <= 4)
    lists = {"drives": planned(rt.Drive, nights), "idling": planned(rt.Idle, nights)}
    if van.mains is not None:
        lists["shore_power"] = planned(rt.ShorePower, nights)
        if van.generator is not None:
            lists["generator_runs"] = planned(rt.GeneratorRun, nights)
    trip = with_parts(
        draw, trip, step_min=st.sampled_from([60, 60, 60, 30]), warm_food_days=some_days(nights + 1), **lists
    )
    try:
        clocks.compile_with_clock(van, trip)
    except rt.InputError:
        assume(False)
    return van, trip
