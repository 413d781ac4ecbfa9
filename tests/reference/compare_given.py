"""What the core shows of a trip's weather, light and loads, against `Given`: largest differences by name."""

import numpy as np
from ridethrough import _core
from ridethrough.model import clocks

from .battery import battery_of
from .given import Given
from .habits import HEATERS

PATHS = ["ghi_w_m2", "air_c", "solar_w", "curtailed_w"]
START_V = 12.8  # what the charge controllers of the first hour see of the battery


def blind(van):
    """The van with trackers that don't look at the battery's voltage; those that do are in whole trips."""
    return van.replace(arrays=[a.replace(controller_starts_above_battery_v=0) for a in van.arrays])


def misses(van, trip, seed, trials, given=Given):
    van = blind(van)
    compiled = clocks.compile_with_clock(van, trip)
    core = _core.trace(compiled, list(range(trials)), seed, "double", PATHS)
    sums = _core.simulate(compiled, trials, seed, precision="double")
    twin = given(van, trip, seed, range(trials))
    calendar = twin.calendar
    # In the last step of each hour of the trip.
    sky = calendar.clock.sky_hour[calendar.per_day // 24 - 1 :: calendar.per_day // 24]

    def largest(name, mine, theirs):
        # Absolute up to 1, relative above.
        return {name: float(np.max(np.abs(mine - theirs) / np.maximum(np.abs(theirs), 1), initial=0))}

    out: dict[str, float] = {}
    for name, value in (
        ("ghi_w_m2", twin.weather.ghi),
        ("air_c", twin.weather.air),
    ):
        out |= largest(name, value.reshape(trials, -1)[:, sky], core[name])
    if not any(a.pwm for a in twin.arrays.arrays):  # these see the battery
        terminal_v = np.full(trials, START_V)
        power = np.stack([twin.solar(step, terminal_v)[0] for step in range(calendar.steps)], axis=1)
        power = power.reshape(trials, calendar.hours, -1).mean(-1)
        out |= largest("solar_w", power, core["solar_w"] + core["curtailed_w"])
    # A heater waits for the battery's voltage, a fan for the cabin's heat: these are in whole trips.
    in_bins = [i for i, load in enumerate(van.loads) if type(load).__name__ not in (*HEATERS, "Fan")]
    out |= largest("load_ah", twin.load_ah[:, in_bins].mean(0), np.array(sums["load_ah"])[in_bins])
    if trip.weather == "generated":
        shown = min(calendar.days, calendar.sky_days)
        out |= largest("clearness", twin.weather.clearness[:, :shown], core["clearness"][:, :shown])
    out |= largest("initial_soc", twin.initial_soc(battery_of(van, twin.draws).full_ah), initial_soc(compiled, core))
    for name, nights in zip(("water_dry_night", "grey_full_night"), twin.water, strict=True):
        if van.water is not None:
            out |= largest(name, nights, sums["columns"][name])
    return out


def initial_soc(compiled, core):
    paths = compiled.parameter_paths
    return core["drawn"][:, next(i for i, path in enumerate(paths) if path.endswith(".initial_soc"))]


def first_hour_misses(van, trip, seed, trials, given=Given):
    """Sun of a trip's first hour, when the charge controllers still see START_V: power of trackers, current of clamped
    modules, what the charge controllers take. The van has no other load, and a battery that takes all."""
    names = ["terminal_v", "solar_w", "other_loads_w", "curtailed_w"]
    core = _core.trace(clocks.compile_with_clock(van, trip), list(range(trials)), seed, "double", names)
    core = {name: core[name][:, 0] for name in names}
    twin = given(van, trip, seed, range(trials))
    power, current, own = twin.solar(0, np.full(trials, START_V))
    clamped = power == 0
    out = {
        "power_w": np.where(clamped, 0, power - core["solar_w"] - core["curtailed_w"]),
        "current_a": np.where(clamped, current - core["solar_w"] / core["terminal_v"], 0),
        "own_a": own - core["other_loads_w"] / core["terminal_v"],
    }
    return {name: float(np.abs(value).max()) for name, value in out.items()}
