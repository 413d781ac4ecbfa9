"""What the core shows of a trip's weather, light and loads, against `Given`: largest differences by name."""

import numpy as np
from ridethrough import _core

from .given import Given

PATHS = ["ghi_w_m2", "air_c", "cabin_c", "solar_w", "curtailed_w"]
START_V = 12.8  # regulators that look at the battery's voltage are compared elsewhere, with the battery


def misses(van, trip, seed, trials, given=Given):
    compiled = _core.Compiled(van, trip)
    core = _core.trace(compiled, list(range(trials)), seed, "double", PATHS)
    sums = _core.simulate(compiled, trials, seed, precision="double")
    twin = given(van, trip, seed, range(trials))
    calendar = twin.calendar
    hours = slice(calendar.start_h, calendar.start_h + calendar.hours)

    def largest(name, mine, theirs):
        return {name: float(np.max(np.abs(mine - theirs), initial=0))}

    out = {}
    for name, value in (
        ("ghi_w_m2", twin.weather.ghi),
        ("air_c", twin.weather.air),
        ("cabin_c", twin.cabin_c),
    ):
        out |= largest(name, value.reshape(trials, -1)[:, hours], core[name])
    posts_v = np.full(trials, START_V)
    power = [twin.solar(*divmod(h, 24), posts_v)[0] for h in range(hours.start, hours.stop)]
    out |= largest("solar_w", np.stack(power, axis=1), core["solar_w"] + core["curtailed_w"])
    out |= largest("load_ah", twin.load_ah.mean(0), np.array(sums["load_ah"]))
    if trip.weather == "generated":
        out |= largest("clearness", twin.weather.clearness, core["clearness"])
    for name, nights in zip(("water_dry_night", "grey_full_night"), twin.water, strict=True):
        if van.water is not None:
            out |= largest(name, nights, sums["columns"][name])
    return out
