"""Random valid vans, trips and climates as a Hypothesis strategy, from the declarations: any field may take any allowed
value, any spread that its level allows, any optional part. What does not go together is left as it was."""

from typing import Any

import numpy as np
import ridethrough as rt
from hypothesis import assume
from hypothesis import strategies as st
from reference import sun
from ridethrough.model import clocks
from ridethrough.model.classes import CLASSES

STEPS = 1000  # a number is one of so many equal steps of its range, so that examples shrink to round numbers
# Set for the whole trip, or read back from a file.
LEFT = {
    "Site": {"climate"},
    "Climate": {"weather_series"},
    "Stop": {"site"},
    "Trip": {"site", "nights", "start", "stops", "weather"},
}


def between(low, high):
    return st.integers(0, STEPS).map(lambda i: low + (high - low) * i / STEPS)


@st.composite
def spreads(draw, field):
    """Uniform, triangular, normal or discrete, at the field's level or once a trial. The core's inverse of the PERT is
    a table, good to 1e-9 of the width only: it has a check of its own."""
    low, mode, high = sorted(draw(st.lists(between(field.low, field.high), min_size=3, max_size=3, unique=True)))
    per = draw(st.sampled_from(["trial", None]))
    return draw(
        st.sampled_from(
            [
                rt.spreads.uniform(low, high, per=per),
                rt.spreads.triangular(low, mode, high, per=per),
                rt.spreads.normal(mode, high - low, per=per),
                rt.spreads.discrete([low, mode, high], [1, 2, 4], per=per),
            ]
        )
    )


def values(field):
    if field.type == "number":
        plain = between(field.low, field.high)
        return plain if field.variation == "fixed" else st.one_of(plain, spreads(field))
    if field.type == "integer":
        return st.integers(int(field.low), int(field.high))
    if field.type == "flag":
        return st.booleans()
    if field.type == "choice":
        return st.sampled_from(field.choices)
    if field.type == "numbers":
        return st.lists(between(field.low, field.high), min_size=field.size or 0, max_size=field.size or 6)
    if field.type == "bearings":
        pairs = st.tuples(st.integers(0, 359), between(field.low, field.high))
        return st.lists(pairs, max_size=6, unique_by=lambda pair: pair[0])
    if field.type == "days":
        return st.lists(st.one_of(st.integers(1, 6), st.sampled_from(["Monday", "Friday"])), max_size=2)
    if field.type == "part":
        return st.sampled_from(field.choices).flatmap(lambda name: records(CLASSES[name]))
    return st.nothing()


@st.composite
def records(draw, cls, start=None, most=4):
    """`start`, or the class's defaults, with up to `most` fields changed one after the other."""
    record = start if start is not None else cls(**REQUIRED.get(cls.__name__, {}))
    fields = [f for f in record.schema.fields if f.type not in ("text", "series", "parts")]
    fields = [f for f in fields if f.name not in LEFT.get(cls.__name__, ())]
    for field in draw(st.lists(st.sampled_from(fields), max_size=most, unique_by=lambda f: f.name)) if fields else []:
        value = None if field.optional and draw(st.booleans()) else draw(values(field))
        try:
            record = record.replace(**{field.name: value})
        except rt.InputError:
            continue
    return record


HEATERS = ("Heater", "GasFurnace")
REQUIRED: dict[str, Any] = {
    "Appliance": {"name": "tool", "current_a": 4, "duration_min": 30},
    "InverterAppliance": {"name": "toaster", "power_w": 900, "duration_min": 4},
    **{name: {"days": [2]} for name in ("Drive", "DayTrip", "Idle", "GeneratorRun")},
    "ShorePower": {"nights": [2]},
}


@st.composite
def named(draw, kinds, most):
    """Up to `most` records of these kinds with names of their own; a van has one heater at most."""
    chosen = draw(st.lists(st.sampled_from(kinds), max_size=most))
    heaters = [kind for kind in chosen if kind in HEATERS]
    chosen = [kind for kind in chosen if kind not in HEATERS] + heaters[:1]
    return [draw(records(CLASSES[kind])).replace(name=f"{kind}_{i}".lower()) for i, kind in enumerate(chosen)]


@st.composite
def climates(draw, latitude, longitude):
    h0 = sun.monthly_extraterrestrial(latitude)
    mean = draw(st.lists(between(0.05, 0.75), min_size=12, max_size=12))
    start = rt.Climate(
        latitude=latitude,
        longitude=longitude,
        ghi_kwh_m2_day=[float(k * h / 1000) if h > sun.DARK_DAY_WH else 0.0 for k, h in zip(mean, h0, strict=True)],
        air_temp_c=draw(st.lists(between(-20, 35), min_size=12, max_size=12)),
    )
    kept = {"latitude", "longitude", "ghi_kwh_m2_day", "air_temp_c"}
    for field in start.schema.fields:
        if field.name not in kept and field.type in ("number", "numbers") and draw(st.booleans()):
            start = start.replace(**{field.name: draw(values(field))})
    return start


# Days before the clock changes there.
EVES = {
    "America/New_York": ["2026-03-07", "2026-10-31"],
    "Europe/Lisbon": ["2026-03-28", "2026-10-24"],
    "Australia/Hobart": ["2026-04-04", "2026-10-03"],
    "Australia/Lord_Howe": ["2026-04-04", "2026-10-03"],  # by half an hour
    "Asia/Kathmandu": [],  # UTC+5:45
}


@st.composite
def sites(draw):
    place = {"latitude": draw(between(-65, 75)), "longitude": draw(between(-180, 180))}
    clock = draw(
        st.one_of(
            st.just({}),
            st.fixed_dictionaries({"utc_offset_h": st.integers(-12, 14)}),
            st.fixed_dictionaries({"time_zone": st.sampled_from(list(EVES))}),
        )
    )
    return rt.Site(**place, climate=draw(climates(**place)), albedo=draw(between(0, 0.9)), **clock)


@st.composite
def vans(draw):
    kinds = [f for f in rt.Van().schema.fields if f.name == "loads"][0].choices
    roof = st.lists(records(rt.SolarArray), max_size=1)
    van = rt.Van(
        battery=draw(st.sampled_from([rt.AgmBattery, rt.LithiumBattery]).flatmap(records)),
        arrays=[*draw(roof), *draw(named(["SolarArray", "PortableArray"], 2))],
        loads=draw(named(kinds, 6)),
    )
    return draw(records(rt.Van, van, most=6))


@st.composite
def trips(draw):
    day = np.datetime64("2026-01-01") + draw(st.integers(0, 730))
    when: dict[str, Any] = {"start": f"{day} {draw(st.integers(0, 23)):02d}:00"}
    if draw(st.integers(0, 4)) > 0:
        trip = rt.Trip(site=draw(sites()), nights=draw(st.integers(1, 4)), **when)
    else:
        stops = [
            draw(records(rt.Stop, rt.Stop(name=f"stop_{i}", site=draw(sites()), nights=1), most=3)).replace(
                nights=draw(st.integers(1, 2))
            )
            for i in range(draw(st.integers(1, 3)))
        ]
        trip = rt.Trip(stops=stops, **when)
    first: Any = trip.stops[0].site if trip.stops else trip.site
    eves = EVES.get(first.time_zone)
    if eves:
        trip = trip.replace(start=f"{draw(st.sampled_from(eves))} {when['start'][11:]}")
    trip = draw(records(rt.Trip, trip, most=6))
    return trip.replace(step_min=draw(st.sampled_from([60, 60, 30, 15])))


@st.composite
def cases(draw):
    """(van, trip) that the core accepts."""
    van, trip = draw(vans()), draw(trips())
    try:
        clocks.compile_with_clock(van, trip)
    except rt.InputError:
        assume(False)
    return van, trip
