"""Whole trips of the reference model and of the core's double build, trial by trial: largest differences by name."""

from dataclasses import dataclass, field

import numpy as np
from ridethrough import TIME_SERIES, _core
from ridethrough.model import clocks

from .trip import Trip

COLUMNS_CLOSE = 1e-6  # columns are kept in single precision
HALVINGS = 14  # with which the core looks for the moment at which a two-node fridge meets a temperature


HOURS_OVER_A_LEVEL = (
    "hours_above_5c",
    "longest_warm_spell_h",
    "frozen_food_h",
    "medicine_out_coldest_h",
    "medicine_out_warmest_h",
    "medicine_frozen_h",
)
CLOSE = 1e-9
NUDGE_K, GROWN = 1e-11, 1e-10


@dataclass
class Comparison:
    """`paths`: largest difference by name, absolute up to 1 and relative above.

    A trial that leaves the core's path is excused from that hour on if a voltage or a timer stood within 1e-9 of its
    limit before, or if a nudge of NUDGE_K to the cabin has by then grown tenfold by itself: a fridge that hunts on a
    weak cable is as sensitive as that, and rounding grows in it from hour to hour.
    """

    time_series: dict = field(default_factory=dict)
    columns: dict = field(default_factory=dict)
    cutouts_differ: int = 0
    near: int = 0  # trials in which a voltage or a timer stood within 1e-9 of its limit, whatever came of it
    excused_near: int = 0
    excused_grown: int = 0
    cutouts: int = 0
    trials: int = 0
    twin: object = None
    core: object = None

    @property
    def worst(self):
        return max(self.time_series.values())

    @property
    def agrees(self):
        return self.worst < CLOSE and self.cutouts_differ == 0 and max(self.columns.values()) < COLUMNS_CLOSE


def difference(mine, theirs):
    with np.errstate(invalid="ignore"):
        d = np.abs(mine - theirs) / np.maximum(np.abs(theirs), 1)
    return np.where(mine == theirs, 0, np.where(np.isnan(d), np.inf, d))


def compare(van, trip, seed, trials, model=Trip):
    compiled = clocks.compile_with_clock(van, trip)
    core = _core.trace(compiled, list(range(trials)), seed, "double", list(TIME_SERIES))
    sums = _core.simulate(compiled, trials, seed, precision="double", threads=1)
    twin = model(van, trip, seed, range(trials)).run()
    paths = {name: difference(twin.time_series[name], core[name]) for name in TIME_SERIES}

    hours = np.arange(twin.calendar.hours)
    apart = np.max(list(paths.values()), axis=0)
    left = np.where(apart >= CLOSE, hours, np.inf).min(1)  # hour in which a trial leaves the core's path
    near = np.isfinite(left) & (left >= np.floor(twin.state.near_h))
    grown = np.zeros_like(near)
    if (np.isfinite(left) & ~near).any():
        nudged = model(van, trip, seed, range(trials), NUDGE_K).run()
        moved = np.max([difference(nudged.time_series[n], twin.time_series[n]) for n in TIME_SERIES], axis=0)
        grown = ~near & (left >= np.where(moved >= GROWN, hours, np.inf).min(1)) & np.isfinite(left)
    excused = near | grown
    sure = np.where(excused[:, None], hours < left[:, None], True)
    out = Comparison(trials=trials, near=int(np.isfinite(twin.state.near_h).sum()), twin=twin, core=core)
    out.excused_near, out.excused_grown = int(near.sum()), int(grown.sum())
    out.time_series = {name: float(d[sure].max(initial=0)) for name, d in paths.items()}
    if not excused.any():
        load_ah = difference(twin.given.load_ah.mean(0), np.array(sums["load_ah"]))
        out.time_series["load_ah"] = float(load_ah.max(initial=0))

    mine = twin.columns()
    cutout_cause = np.asarray(sums["columns"]["cutout_cause"])
    could = np.isfinite(twin.state.near_h)  # an outcome may differ before the paths do
    by_rounding = np.zeros(trials, bool)
    for name, theirs in sums["columns"].items():
        value = np.minimum(mine[name], 255) if theirs.dtype == np.uint8 else mine[name]
        apart = difference(np.asarray(value, float), np.asarray(theirs, float))
        if name == "first_cutout_h":  # says something only where there was one
            apart = np.where(mine["cutout_cause"] > 0, apart, mine["cutout_cause"] != cutout_cause)
        elif van.fridge.freezer_box is not None and name in HOURS_OVER_A_LEVEL:
            apart = np.maximum(apart - twin.calendar.hours / 2**HALVINGS, 0)
        by_rounding |= ~excused & could & (apart >= COLUMNS_CLOSE)
        apart = np.where(excused | could, 0, apart)
        if name == "first_cutout_h":
            out.cutouts_differ = int((apart >= COLUMNS_CLOSE).sum())
        out.columns[name] = float(apart.max(initial=0))
    out.excused_near += int(by_rounding.sum())
    out.cutouts = int((mine["cutout_cause"] > 0).sum())
    return out
