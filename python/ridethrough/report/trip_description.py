"""Describes a van and its plan: what is there, what it does on this trip, and what was assumed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ..engine.risk import Risk
from ..model.classes import AlternatorLink, Trip, Van
from ..model.places import DEFAULT_CLIMATE, WIDER, Place
from ..model.values import mean_value
from ..model.van_parts import arrays_of, heaters_of, is_lithium

MOUNTED = {"glued": "glued flat", "air_gap": "over an air gap", "framed": "framed"}


def describe_trip(risk: Risk) -> list[str]:
    van, trip = risk.van, risk.trip
    return [
        f"Trip: {'; '.join(map(place_text, risk.places))}, from {trip.start}, nights: {risk.nights}.",
        f"Van: {_battery(van)}; {_solar(van)}; {van.fridge.volume_l:g} l fridge at "
        f"{van.fridge.set_point_c:g} degC{'; towed' if van.towed else ''}.",
        f"Plan: {'; '.join([*_charging(van, trip), *_shade(trip)])}.",
        f"Loads, Ah a day: {', '.join(_loads(risk))}.",
        *_heater(van, trip),
        *climate_lines(risk.places),
    ]


def climate_lines(places: Sequence[Place]) -> list[str]:
    """Where the climate is the worldwide default: what that is worth, and where it is worth less."""
    found = {}
    for place in places:
        head, wider, why = place.site.climate.source.partition(WIDER) if place.site.climate else ("", "", "")
        if head.startswith(DEFAULT_CLIMATE):
            found[place.name] = (head, why if wider else "")
    if not found:
        return []
    head = next(iter(found.values()))[0]
    named = f" at {', '.join(found)}" if len(places) > 1 else ""
    lines = [
        f"Climate{named}: {head}; its error is drawn in the trials. It is for comparing vans and seasons and for a "
        "first look at a place: twelve normals of the place are better."
    ]
    reasons = [f"{name}: {why}" if len(places) > 1 else why for name, (_, why) in found.items() if why]
    if reasons:
        lines.append(f"It is less sure here than elsewhere ({'; '.join(reasons)}).")
    return lines


def place_text(place: Any) -> str:
    site = place.site
    north, east = ("N" if site.latitude >= 0 else "S"), ("E" if site.longitude >= 0 else "W")
    return f"{place.name} ({abs(site.latitude):g} {north}, {abs(site.longitude):g} {east})"


def _number(value: Any) -> str:
    return f"{value:g}" if isinstance(value, (int, float)) else f"about {value.mean():.3g}"


def _battery(van: Van) -> str:
    battery = van.battery
    kind = "lithium (LiFePO4)" if is_lithium(battery) else "AGM"
    second = f" with one of {_number(battery.second.capacity_ah)} Ah beside it" if battery.second is not None else ""
    start = f"{100 * mean_value(battery.start_charge):.0f} % full at the start"
    mean = "" if isinstance(battery.start_charge, (int, float)) else " on average"
    places = {"living_space": "in the living space", "locker": "in a cold locker", "engine_bay": "in the engine bay"}
    return f"{_number(battery.capacity_ah)} Ah {kind}{second} {places[battery.location]}, {start}{mean}"


def _solar(van: Van) -> str:
    arrays = arrays_of(van)
    if not arrays:
        return "no solar"
    return " + ".join(_array(array) for array in arrays) + " solar"


def _array(array: Any) -> str:
    mounting = getattr(array, "mounting", None)
    return f"{_number(array.rated_w)} W" + (f" {MOUNTED[mounting]}" if mounting in MOUNTED else " folding")


def _days(days: Sequence[float]) -> str:
    """Days and nights of a plan count from 0, those of a verdict from 1."""
    numbers = [f"{day + 1:g}" for day in sorted(days)]
    return numbers[0] if len(numbers) == 1 else f"{', '.join(numbers[:-1])} and {numbers[-1]}"


def _charging(van: Van, trip: Trip) -> list[str]:
    return [_driving(van, trip), *_idling(van, trip), _plugged(van, trip), *_generator(van, trip)]


def _driving(van: Van, trip: Trip) -> str:
    line = van.dc_dc
    if line is None:
        name = ""
    elif isinstance(line, AlternatorLink):
        name = "cable to the alternator"
    else:
        name = f"{_number(line.current_a)} A DC-DC charger"
    drives = []
    if trip.drive_days:
        drives.append(f"{trip.drive_hours:g} h on day {_days(trip.drive_days)}")
    if any(stop.drive_hours for stop in trip.stops[1:]):
        drives.append("between the stops")
    if trip.day_trip_days:
        what = f"day trips of {trip.day_trip_hours:g} h on day {_days(trip.day_trip_days)}"
        drives.append(f"{what} with the camper left behind, which charge nothing" if van.towed else what)
    if not drives:
        idle = " but for the idling engine" if trip.idle_days else ""
        return f"no drives planned, so the {name} does nothing{idle}" if name else "no drives planned"
    hitched = ", hitched" if van.towed and trip.drive_days else ""
    return f"drives: {', '.join(drives)}{hitched}, charging by a {name}" if name else (
        f"drives: {', '.join(drives)}{hitched}, which charge nothing (no DC-DC charger)"
    )  # fmt: skip


def _idling(van: Van, trip: Trip) -> list[str]:
    if not trip.idle_days:
        return []
    what = f"engine idling for {trip.idle_hours:g} h on day {_days(trip.idle_days)}"
    return [what if van.dc_dc is not None else f"{what}, which charges nothing (no DC-DC charger)"]


def _plugged(van: Van, trip: Trip) -> str:
    name = f"{_number(van.mains.current_a)} A mains charger" if van.mains is not None else ""
    nights = f"night {_days(trip.powered_nights)} on shore power" if trip.powered_nights else ""
    if not nights and any(getattr(stop, "powered", "") not in ("", "none") for stop in trip.stops):
        nights = "shore power at some stops"
    if nights:
        return f"{nights} with a {name}"
    if name and not trip.generator_days:
        return f"no shore power, so the {name} does nothing"
    return "no shore power"


def _generator(van: Van, trip: Trip) -> list[str]:
    if trip.generator_days:
        return [f"generator for {trip.generator_hours:g} h on day {_days(trip.generator_days)}"]
    return ["no generator runs planned, so the generator does nothing"] if van.generator is not None else []


def _shade(trip: Trip) -> list[str]:
    schema = trip.schema
    names = ("shade_beam", "shade_sky", "shade_morning", "shade_midday", "shade_afternoon", "horizon_deg")
    given = [name for name in names if getattr(trip, name) != schema.field(name).standard]
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
        share = getattr(load, "fitted_share", 1.0)
        ah = risk.load_ah[load.name] / risk.nights
        some = f" (in {100 * share:.0f} % of the vans played: fitted_share says whether yours has one)"
        some = some if share < 1 else ""
        parts.append(f"{load.name.replace('_', ' ')} {ah:.{0 if ah >= 1 else 1}f}{some}")
    return parts


def _heater(van: Van, trip: Trip) -> list[str]:
    for load in heaters_of(van):
        hours = f"from {load.evening_from_h:g} h to bedtime and from getting up to {load.morning_until_h:g} h"
        if load.morning_until_h >= load.evening_from_h:
            hours = "in all waking hours"
        night = f"{_number(load.night_holds_c)} degC through the night" if load.all_night else "off at night"
        return [f"Heater: holds {_number(load.holds_cabin_c)} degC {hours}, {night}; it draws only when it is colder."]
    return ["No heater among the loads."]
