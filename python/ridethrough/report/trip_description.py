"""Describes a van and its plan: what is there, what it does on this trip, and what was assumed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import ridethrough._core as _core

from ..engine.risk import Risk
from ..model.classes import AlternatorCable, GasFurnace, Heater, PortableArray, SolarArray, Trip, Van
from ..model.climate_source import ClimateSource, source_of
from ..model.coordinates import coordinates_text
from ..model.places import UNNAMED, Place
from ..model.values import mean_value
from ..model.van_parts import climate_of, heaters_of, in_common, is_lithium

LEAST_AH = 0.05  # a day; less is told as 0
MOUNTED = {"glued": "glued", "air_gap": "raised", "framed": "framed"}


def describe_trip(risk: Risk) -> list[str]:
    """Trip, van and plan in a few lines."""
    van, trip, schedule = risk.van, risk.trip, risk.compiled.schedule
    return [
        f"Trip: {'; '.join(map(place_text, risk.places))}, from {trip.start}, nights: {risk.nights}.",
        f"Van: {van_text(van)}.",
        f"Plan: {plan_text(van, trip, schedule)}.",
        f"Loads, Ah a day: {', '.join(_loads(risk))}.",
        *_heater(van, trip),
        *climate_lines(risk.places, replayed=trip.weather == "replayed"),
    ]


def van_text(van: Van) -> str:
    """Every battery and array, and the fridge."""
    towed = "; towed" if van.towed else ""
    fridge = f"{van.fridge.volume_l:.3g} l fridge at {van.fridge.set_point_c:.3g} degC"
    return f"{_battery(van)}; {_solar(van)}; {fridge}{_ice(van)}{towed}"


def van_in_short(van: Van) -> str:
    """Every battery and array, and the fridge, in few words."""
    battery = in_common(van)
    sizes = " + ".join(_number(one.capacity_ah) for one in van.batteries)
    arrays = _solar(van)
    kind, full = "lithium" if is_lithium(van) else "AGM", 100 * mean_value(battery.initial_soc)
    fridge = f"{van.fridge.volume_l:.3g} l fridge at {van.fridge.set_point_c:.3g} degC{_ice(van)}"
    return f"{sizes} Ah {kind}, {full:.0f} % full; {arrays}; {fridge}{'; towed' if van.towed else ''}"


def plan_text(van: Van, trip: Trip, schedule: Sequence[_core.Interval]) -> str:
    """What is planned, what that charges, and the shade."""
    return "; ".join([*_charging(van, schedule), *_moments(schedule), *_shade(trip)])


def loads_text(risk: Risk) -> str:
    """Ampere-hours a day of the fridge and of each load, the largest first, with what the heater holds."""
    told = {"fridge": (risk.means["fridge_wh"] / 12 / risk.nights, "")}
    for load in risk.van.loads:
        share = getattr(load, "fitted_probability", 1.0)
        some = f" ({100 * share:.0f} % have one)" if share < 1 else ""
        if isinstance(load, Heater | GasFurnace):
            night = f"nights {mean_value(load.night_set_point_c):.3g}" if load.all_night else "nights off"
            some = f" ({mean_value(load.set_point_c):.3g} degC, {night})"
        some = some if risk.load_ah[load.name] / risk.nights >= LEAST_AH else ""
        told[load.name.replace("_", " ")] = (risk.load_ah[load.name] / risk.nights, some)
    ordered = sorted(told.items(), key=lambda one: -one[1][0])
    return ", ".join(f"{name} {ah:.{0 if ah >= 1 or ah < LEAST_AH else 1}f}{some}" for name, (ah, some) in ordered)


def _ice(van: Van) -> str:
    kg = mean_value(van.fridge.ice_kg)
    return f", with {kg:.2g} kg of ice" if kg > 0 else ""


def climate_lines(places: Sequence[Place], *, replayed: bool) -> list[str]:
    """Where the climate comes from, how far it may be off by its own account, and what a default one is worth."""
    sources = [source_of(climate_of(place.site)) for place in places]
    named: dict[str, list[str]] = {}
    for place, source in zip(places, sources, strict=True):
        named.setdefault(_climate(source, replayed), []).append(place.name)
    lines = [
        f"Climate{f' at {_and([*dict.fromkeys(names)])}' if len(named) > 1 else ''}: {text}."
        for text, names in named.items()
    ]
    if any(source.kind == "default" for source in sources):
        lines.append(
            "The default climate is for comparing vans and seasons and for a first look at a place: twelve normals of "
            "the place are better."
        )
    return lines


def _climate(source: ClimateSource, replayed: bool) -> str:
    if source.kind == "default":
        what, its = source.source, "its"
        if source.less_sure:
            what += f", less sure here than elsewhere ({', '.join(source.less_sure)})"
    elif source.kind == "weather":
        what, its = f"{'measured days' if replayed else 'days like those measured'}, {_named(source)}", "their"
    else:
        what, its = f"twelve normals as given, {_named(source)}", "their"
    if replayed:
        return what
    sizes = [f"{100 * source.sun_sd:.3g} % of the sun"] if source.sun_sd else []
    sizes += [f"{source.air_temp_sd_k:.3g} K"] if source.air_temp_sd_k else []
    if not sizes:
        return f"{what}; no error of {'its own' if its == 'its' else 'theirs'} is drawn"
    return f"{what}; {its} error, {' and '.join(sizes)} (standard deviation), is drawn in the trials"


def _named(source: ClimateSource) -> str:
    return source.source or "source not named"


def place_text(place: Place) -> str:
    """A place's name, where it has one, and coordinates."""
    where = coordinates_text(place.site.latitude, place.site.longitude)
    return where if place.name == UNNAMED else f"{place.name} ({where})"


def _number(value: Any) -> str:
    return f"{value:g}" if isinstance(value, (int, float)) else f"about {value.mean():.3g}"


def _battery(van: Van) -> str:
    battery = in_common(van)
    kind = "lithium (LiFePO4)" if is_lithium(van) else "AGM"
    sizes = " + ".join(_number(battery.capacity_ah) for battery in van.batteries)
    together = " in parallel" if len(van.batteries) > 1 else ""
    start = f"{100 * mean_value(battery.initial_soc):.0f} % full at the start"
    mean = "" if isinstance(battery.initial_soc, (int, float)) else " on average"
    places = {"living_space": "in the living space", "locker": "in a cold locker", "engine_bay": "in the engine bay"}
    return f"{sizes} Ah {kind}{together} {places[battery.location]}, {start}{mean}"


def _solar(van: Van) -> str:
    if not van.arrays:
        return "no solar"
    return " + ".join(_array(array) for array in van.arrays) + " panel"


def _array(array: SolarArray | PortableArray) -> str:
    mounting = getattr(array, "mounting", None)
    return f"{_number(array.rated_w)} W" + (f" {MOUNTED[mounting]}" if mounting in MOUNTED else " folding")


def _and(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _of_kind(schedule: Sequence[_core.Interval], kind: str) -> list[_core.Interval]:
    return [interval for interval in schedule if interval.kind == kind]


def _counted(noun: str, planned: Iterable[_core.Interval]) -> str:
    """Such as "day 2" or "nights 2 and 4", counted from 1."""
    numbers = sorted({interval.day for interval in planned})
    return f"{noun}{'s' * (len(numbers) > 1)} {_and([str(number) for number in numbers])}"


def _hours_on_days(planned: Sequence[_core.Interval]) -> str:
    """Such as "2 h on days 2 and 4, 1 h on day 3"; a part of a day that lies outside the trip is not counted."""
    by_length: dict[str, list[_core.Interval]] = {}
    for interval in planned:
        by_length.setdefault(f"{interval.end_h - interval.begin_h:.4g}", []).append(interval)
    return ", ".join(f"{hours} h on {_counted('day', same)}" for hours, same in by_length.items())


def _charging(van: Van, schedule: Sequence[_core.Interval]) -> list[str]:
    return [
        _driving(van, schedule),
        *_idling(van, schedule),
        _plugged(van, schedule),
        *_generator(van, schedule),
    ]


def _driving(van: Van, schedule: Sequence[_core.Interval]) -> str:
    line = van.dc_dc
    if line is None:
        name = ""
    elif isinstance(line, AlternatorCable):
        name = "cable to the alternator"
    else:
        name = f"{_number(line.current_a)} A DC-DC charger"
    drives, day_trips = _of_kind(schedule, "drive"), _of_kind(schedule, "day_trip")
    to_stops = [drive for drive in drives if drive.path.startswith("trip.stops.")]
    own = [drive for drive in drives if drive not in to_stops]
    parts = [_hours_on_days(own)] if own else []
    if to_stops:
        parts.append(f"to the stops {_hours_on_days(to_stops)}")
    without = ""
    if day_trips and van.towed:
        without = f"day trips of {_hours_on_days(day_trips)} with the camper left behind, which charge nothing"
    elif day_trips:
        parts.append(f"day trips of {_hours_on_days(day_trips)}")
    if parts:
        hitched = ", hitched" if van.towed else ""
        charging = f"charging by a {name}" if name else "which charge nothing (no DC-DC charger)"
        return "; ".join(filter(None, [f"drives: {', '.join(parts)}{hitched}, {charging}", without]))
    idle = not name or bool(_of_kind(schedule, "idling"))
    none = "no drives planned" if idle else f"no drives planned, so the {name} does nothing"
    return "; ".join(filter(None, [none, without]))


def _idling(van: Van, schedule: Sequence[_core.Interval]) -> list[str]:
    idling = _of_kind(schedule, "idling")
    if not idling:
        return []
    what = f"engine idling for {_hours_on_days(idling)}"
    return [
        f"{what}, which charges too" if van.dc_dc is not None else f"{what}, which charges nothing (no DC-DC charger)"
    ]


def _plugged(van: Van, schedule: Sequence[_core.Interval]) -> str:
    name = f"{_number(van.mains.current_a)} A mains charger" if van.mains is not None else ""
    plugged = _of_kind(schedule, "shore_power")
    at_stops = [interval for interval in plugged if interval.path.startswith("trip.stops.")]
    nights = [interval for interval in plugged if interval not in at_stops]
    parts = [f"{_counted('night', nights)} on shore power"] if nights else []
    if at_stops:
        parts.append(f"shore power at {_and([interval.path.removeprefix('trip.stops.') for interval in at_stops])}")
    if parts:
        return f"{', '.join(parts)} with a {name}"
    if name and not _of_kind(schedule, "generator"):
        return f"no shore power, so the {name} does nothing"
    return "no shore power"


def _generator(van: Van, schedule: Sequence[_core.Interval]) -> list[str]:
    if runs := _of_kind(schedule, "generator"):
        return [f"generator for {_hours_on_days(runs)}"]
    return ["no generator runs planned, so the generator does nothing"] if van.generator is not None else []


def _moments(schedule: Sequence[_core.Interval]) -> list[str]:
    """What is done at once, with dates: whoever counts the days otherwise sees it."""
    parts = []
    for kind, what in (("water", "tanks filled and emptied"), ("warm_food", "warm food put in")):
        if found := _of_kind(schedule, kind):
            parts.append(f"{what} on {_counted('day', found)} ({_and([moment.begin[:10] for moment in found])})")
    return parts


def _shade(trip: Trip) -> list[str]:
    schema = trip.schema
    names = ("shade_beam", "shade_sky", "shade_morning", "shade_midday", "shade_afternoon", "horizon_deg")
    given = [name for name in names if getattr(trip, name) != schema.field(name).default_value]
    if trip.stops:
        return ["shade as the stops have it"]
    if trip.surroundings not in ("as_given", "open"):
        return [trip.surroundings.replace("_", " ")]
    if given:
        return ["shade as given"]
    return ["open ground assumed: no shade given"] if trip.surroundings == "as_given" else ["open ground"]


def _loads(risk: Risk) -> list[str]:
    parts = [f"fridge {risk.means['fridge_wh'] / 12 / risk.nights:.0f}"]
    for load in risk.van.loads:
        share = getattr(load, "fitted_probability", 1.0)
        ah = risk.load_ah[load.name] / risk.nights
        some = f" ({100 * share:.0f} % of the vans played have one)" if share < 1 else ""
        parts.append(f"{load.name.replace('_', ' ')} {ah:.{0 if ah >= 1 else 1}f}{some}")
    return parts


def _heater(van: Van, trip: Trip) -> list[str]:
    for load in heaters_of(van):
        hours = f"from {load.evening_from_h:g} h to bedtime and from getting up to {load.morning_until_h:g} h"
        if load.morning_until_h >= load.evening_from_h:
            hours = "in all waking hours"
        night = f"{_number(load.night_set_point_c)} degC through the night" if load.all_night else "off at night"
        return [f"Heater: holds {_number(load.set_point_c)} degC {hours}, {night}; it draws only when it is colder."]
    return ["No heater among the loads."]
