"""What a meter's "hours left" leaves out."""

from __future__ import annotations

from datetime import date

import ridethrough._core as _core

from ..model.places import place_at, places_of
from ..model.values import mean_value
from .reading import Reading
from .reading_times import TripClock


def hours_left_notes(reading: Reading, hour: float, clock: TripClock) -> list[str]:
    """Sentences with this van's and this evening's numbers; such a reading itself is not weighed."""
    van = clock.van
    names = ", ".join(load.name for load in van.loads) or "none"
    said = [
        f"{reading.text} is the charge that the meter counts, over the current of these minutes. It is not weighed, "
        f"and it leaves out: that the compressor goes on and off; what is switched on or off later "
        f"(this van has {names})",
        f"that the fridge cuts out at {mean_value(van.fridge.cutout_v):g} V at its terminals, with charge still there",
    ]
    sun = _next_sun(hour, clock)
    if van.arrays and sun is not None:
        said.append(f"that the Sun is up again {sun:.0f} h from then")
    said.append("that a cold battery gives less, and that the meter's capacity may be the label's")
    return ["; ".join(said) + "."]


def _next_sun(hour: float, clock: TripClock) -> float | None:
    """Hours until the next sunrise; None where it does not rise within the trip's next day."""
    compiled = clock.compiled
    clock_h = clock.clock_h(hour)
    start = date.fromisoformat(compiled.start_date)
    day = int(clock_h // 24)
    site = place_at(places_of(clock.trip), day + 1).site
    first = _core.day_number(start.year, start.month, start.day) + day
    sky = _core.sky_days(first, 2, site.latitude, site.longitude, compiled.clock.utc_offset_h)
    for ahead in (0, 1):
        rise = 24 * (day + ahead) + float(sky["sunrise_h"][ahead])
        if rise > clock_h and float(sky["h0_wh_m2"][ahead]) > 0:
            return rise - clock_h
    return None
