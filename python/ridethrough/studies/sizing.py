"""Find the smallest size that keeps a risk under a target.

All sizes are tried with the same trials. Where more of a thing never hurts, each trial has a size from which on it
holds; the risk found at a size is the share of trials above it, and the size found is an order statistic of those. So
its interval holds although many sizes are tried on one sample.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core
from ridethrough._core import Estimate

from ..engine.interruption import attach_partial_result
from ..engine.labelled_data import make_dataset, run_attributes
from ..engine.model_error import KnownError, model_error_of
from ..engine.named_numbers import Named
from ..engine.progress import ProgressOption, RunsDone, track_runs
from ..engine.result import Result
from ..engine.run_options import TRIALS, ExecutorOption, Precision, RunOptions
from ..engine.simulation import run_trip
from ..engine.validation import (
    compile_trip,
    compile_with_warnings,
    require_van_and_trip,
)
from ..model import parameter_paths
from ..model.checks import is_number, validate_pair
from ..model.classes import Trip, Van
from ..model.errors import bad_input, checked_call
from ..model.shares import require_share
from ..model.values import mean_value

if TYPE_CHECKING:
    import xarray

    from ..report.pictures.picture import Picture


# Settings that must not be sized, and what to use instead.
_CUTOUTS = "A lower cut-out is no gain: see cutout_settings, which tells what it does to the battery."
_FOOD = "A warmer fridge is no gain: compare set points to see what they do to the food."
NOT_SIZED = {
    "fridge.set_point_c": _FOOD,
    "night_set_back.rise_k": _FOOD,
    "fridge.cutout_v": _CUTOUTS,
    "fridge.restart_v": _CUTOUTS,
    "disconnect.cutout_v": _CUTOUTS,
    "disconnect.restart_v": _CUTOUTS,
    "battery.bms_cutoff_v": "The battery's own protection is the maker's, and is never sized.",
    "battery.brownout_v": _CUTOUTS,
    "battery.brownout_restart_v": _CUTOUTS,
    "battery.charge_block_c": "Where a lithium battery refuses charge is the maker's: charging it colder harms it.",
    "battery.charge_full_c": "Where a lithium battery takes its full current is the maker's.",
}
TARGETS = (0.001, 0.9)  # risks that can be aimed at
SCAN_POINTS = 7  # sizes over the whole range at which the risk is tried first


@dataclass(frozen=True, eq=False)
class Size(Result):
    """What :func:`size` returns.

    Attributes
    ----------
    path, unit : str
        What was sized.
    target_risk : float
        That the interval's upper end stays within.
    value : float or None
        The smallest size (the largest, where the risk rises with it) at which the interval's upper end is no higher
        than the target; None where no size in the range is.
    risk : Estimate or None
        The risk there.
    low, high : float or None
        Bounds of the size whose risk is just the target: sampling error alone, to one step; None where the range
        ends
        before.
    step, within : float, (float, float)
        Step and range of the search.
    rises : bool
        Whether the risk rises with the size.
    monotone : bool
        False where some larger size was shown to be worse (better).
    tried : mapping of float to Estimate
        The risk at every size tried.
    other_values : tuple of float
        Other sizes tried that meet the target, where it is not monotone.
    model_error : KnownError or None
        What is known of the model's own error at the value found, which the target leaves out.
    chances : mapping of str to Estimate
        Those of :attr:`Risk.chances` at the value found.
    warnings : tuple of str
        Those of the van as it is, and of the van found.
    van, trip, seed : Van, Trip, int
        What was simulated.

    Examples
    --------
    >>> found = rt.size(van, trip, "battery.capacity_ah", 0.3, within=(60, 300), step=20, trials=50)
    >>> found.unit, found.value in found.tried, found.rises
    ('Ah', True, False)
    """

    path: str
    unit: str
    target_risk: float
    value: float | None
    risk: Estimate | None
    low: float | None
    high: float | None
    step: float
    within: tuple[float, float]
    rises: bool
    monotone: bool
    tried: Mapping[float, Estimate] = field(repr=False)
    other_values: tuple[float, ...] = ()
    model_error: KnownError | None = None
    chances: Mapping[str, Estimate] = field(default_factory=dict, repr=False)
    warnings: tuple[str, ...] = ()
    van: Van | None = field(default=None, repr=False)
    trip: Trip | None = field(default=None, repr=False)
    seed: int = 0

    def to_xarray(self) -> xarray.Dataset:
        """The risk at every size tried, along a dimension named by the path; the size found is in the attributes."""
        cells = {"risk": ("1", "risk of a cut-out", list(self.tried.values()))}
        found = {name: getattr(self, name) for name in ("target_risk", "value", "low", "high", "step", "unit")}
        found = {name: value for name, value in found.items() if value is not None}
        trials = next(iter(self.tried.values())).trials
        about = run_attributes(self.van, self.trip, self.seed, trials)
        unit = {"units": self.unit or "1", "long_name": self.path}
        data = make_dataset({self.path: list(self.tried)}, cells, **found, **about)
        data[self.path].attrs.update(unit)
        return data

    @checked_call
    def plot(self, *, size: str = "screen", title: str = "") -> Picture:
        """The risk at every size tried, with its interval, and the target (needs matplotlib)."""
        from ..report.pictures.studies import plot_size
        from ..report.plots import checked

        return plot_size(self, *checked(size, title))


@dataclass(frozen=True)
class SizePlan:
    """What a search tries: the values, those it begins with, and the most that there can be."""

    path: str
    unit: str
    target_risk: float
    grid: list[float]
    step: float
    scan: list[int]
    most_runs: int


class SizeSearch:
    """Risks along one path by index of the grid, each run once."""

    def __init__(self, plan: SizePlan, van: Van, trip: Trip, options: RunOptions, done: RunsDone) -> None:
        self.plan, self.van, self.trip, self.options, self.done = plan, van, trip, options, done
        self.path, self.grid = plan.path, plan.grid
        self.failed: dict[int, NDArray[np.bool_]] = {}
        self.estimates: dict[int, Estimate] = {}
        self.chances: dict[int, Mapping[str, Estimate]] = {}

    def at(self, i: int) -> Estimate:
        """The risk at a size, by its index."""
        if i not in self.estimates:
            van, trip = parameter_paths.replace_values(self.van, self.trip, {self.path: self.grid[i]})
            risk = run_trip(van, trip, self.options, report_done=self.done)
            self.failed[i], self.estimates[i] = risk.columns["cutout_cause"] > 0, risk.cutout
            self.chances[i] = risk.chances
            self.done.run_finished()
        return self.estimates[i]

    def tried(self) -> dict[float, Estimate]:
        """All risks so far, by size."""
        return {self.grid[i]: estimate for i, estimate in self.estimates.items()}

    def first(self, met: Callable[[Estimate], bool], low: int, high: int) -> int | None:
        """The least index in low..high from which on `met` holds, if it holds at the high end."""
        if not met(self.at(high)):
            return None
        if met(self.at(low)):
            return low
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if met(self.at(middle)) else (middle, high)
        return high

    def worsens(self, order: Sequence[int]) -> bool:
        """Whether some later one of these is shown to be riskier than the one before."""
        pairs = zip(order[:-1], order[1:], strict=True)
        return any(_core.paired_difference(self.failed[b], self.failed[a], 0.999).low > 0 for a, b in pairs)


@checked_call
def size(
    van: Van,
    trip: Trip,
    path: str,
    target_risk: float | str = 0.05,
    *,
    within: tuple[float, float] | None = None,
    step: float | None = None,
    trials: int = TRIALS,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
) -> Size:
    """Find the smallest value at a path that keeps the risk within a target, the interval's upper end included.

    Parameters
    ----------
    van, trip : Van, Trip
        As they are; the value at the path is changed.
    path : str
        Of a number, such as ``"solar.rated_w"``, ``"battery.capacity_ah"``, ``"trip.nights"``; of one of several
        ``"arrays.roof.rated_w"``, ``"batteries.2.capacity_ah"``. Where the risk rises
        with it (nights), the largest value is sought.
    target_risk : float or str
        0.001 to 0.9, or such as "5 %". The upper end of the 95 % interval has to be within it.
    within : (float, float), optional
        Range searched; by default a fifth to four times the present value, as far as allowed.
    step : float, optional
        Values are whole steps; by default 1, 2 or 5 times a power of ten near a twentieth of the present value.
    trials, seed, threads, precision, executor, progress : optional
        As of :func:`simulate`, for each size tried; progress counts the trials of all, of the most that there can be.

    Returns
    -------
    Size
        The value, the risk there, and the bounds that sampling error leaves.

    Raises
    ------
    InputError
        No number at the path, a range or step that is not allowed, or anything :func:`simulate` refuses.
    Interrupted, StudyFailed
        Ctrl-C, or a run that failed; ``finished`` maps the values tried to their estimates.

    Examples
    --------
    >>> found = rt.size(van, trip, "battery.capacity_ah", 0.3, within=(60, 300), step=20, trials=200)
    >>> found.value is None or found.risk.high <= 0.3
    True
    """
    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    require_van_and_trip(van, trip)
    plan = plan_size(van, trip, path, target_risk, within, step)
    compile_with_warnings(van, trip)
    with track_runs(progress, plan.most_runs, options.trials) as done:
        search = SizeSearch(plan, van, trip, options, done)
        with attach_partial_result("size", search.tried):
            found = find_size(search)
            done.all_finished()
    return found


def plan_size(van: Van, trip: Trip, path: str, target_risk: float | str, within: Any, step: Any) -> SizePlan:
    """Lays out a search that was found valid, before any trial runs."""
    target_risk = require_share("target_risk", target_risk, TARGETS, 0.05)
    field, grid, step = _grid(van, trip, path, within, step)
    for value in (grid[0], grid[-1]):
        compile_trip(*parameter_paths.replace_values(van, trip, {path: value}))
    last = len(grid) - 1
    scan = sorted({round(i) for i in np.linspace(0, last, min(SCAN_POINTS, len(grid)))})
    halvings = [  # between two points of the scan, and for the ends of the interval
        max(b - a for a, b in pairwise(scan)),
        last,
    ]
    most = len(scan) + sum(math.ceil(math.log2(steps)) for steps in halvings)
    return SizePlan(path, field.unit, target_risk, grid, step, scan, most)


def find_size(search: SizeSearch) -> Size:
    """The size that meets the target of a search's plan."""
    plan, scan = search.plan, search.plan.scan
    path, unit, target_risk, step = plan.path, plan.unit, plan.target_risk, plan.step
    within, last = (search.grid[0], search.grid[-1]), len(search.grid) - 1
    for i in scan:
        search.at(i)
    rises = search.estimates[last].value > search.estimates[0].value
    if rises:  # reverse the grid, so that the last index is the safest in both cases
        search.grid = search.grid[::-1]
        search.estimates = {last - i: e for i, e in search.estimates.items()}
        search.failed = {last - i: f for i, f in search.failed.items()}
        search.chances = {last - i: c for i, c in search.chances.items()}
        scan = sorted(last - i for i in scan)

    def met(estimate: Estimate) -> bool:
        return bool(estimate.high <= target_risk)

    # Bisect between the last point of the scan that misses the target and the next.
    missing = [i for i in scan if not met(search.at(i))]
    monotone = not search.worsens(scan)
    found: int | None
    if not missing:
        found = 0
    elif missing[-1] == last:
        found = None
    else:
        found = search.first(met, missing[-1], scan[scan.index(missing[-1]) + 1])
    also = tuple(sorted(search.grid[i] for i in scan if met(search.at(i)) and (found is None or i < found)))
    # The two ends of the size that just meets it: where the interval's lower and upper end do.
    edge = (
        search.first(lambda e: e.low <= target_risk, 0, last)
        if found is None
        else (search.first(lambda e: e.low <= target_risk, 0, found))
    )
    ends = [search.grid[edge] if edge else None, search.grid[found] if found is not None else None]
    if rises:
        ends = ends[::-1]
    tried = {search.grid[i]: search.estimates[i] for i in sorted(search.estimates)}
    value = risk = error = None
    also_there: Mapping[str, Estimate] = {}
    texts = compile_trip(search.van, search.trip).warnings
    if found is not None:
        also_there = search.chances[found]
        value, risk = search.grid[found], search.at(found)
        van, trip = parameter_paths.replace_values(search.van, search.trip, {path: value})
        compiled = compile_trip(van, trip)
        error = model_error_of(van, trip, compiled, risk.value)
        texts += compiled.warnings
    return Size(
        path,
        unit,
        target_risk,
        value,
        risk,
        ends[0],
        ends[1],
        step,
        within,
        rises,
        monotone and not also,
        Named("tried", tried),
        also,
        error,
        also_there,
        tuple(dict.fromkeys(texts)),
        search.van,
        search.trip,
        search.options.seed,
    )


def _grid(van: Van, trip: Trip, path: str, within: Any, step: Any) -> tuple[_core.Field, list[float], float]:
    """The declaration at the path, the values to be tried and their step."""
    field = parameter_paths.number_at(van, trip, path, NOT_SIZED)
    whole = field.type == "integer"
    of_one = re.sub(r"\bbatteries\.[^.]+", "battery", path)
    if why := next((why for end, why in NOT_SIZED.items() if of_one.endswith(end)), ""):
        raise bad_input(path, reason=f"not to be sized. {why}")
    present = parameter_paths.value_at(van, trip, path)
    measured = re.sub("capacity_ah$", "measured_capacity_ah", path)
    if of_one.endswith("battery.capacity_ah") and parameter_paths.value_at(van, trip, measured) is not None:
        raise bad_input(path, reason=f"without effect beside {measured}; take that path")
    if present is None and within is None:
        raise bad_input("within", reason=f"must be given, as {path} has no value now")
    ends = None if within is None else validate_pair("within", within)
    now = mean_value(present if present is not None or ends is None else sum(ends) / 2)
    low, high = (max(field.low, now / 5), min(field.high, 4 * now)) if ends is None else ends
    if step is None:
        rough = max(abs(now) / 20, (high - low) / 200)
        power = 10 ** math.floor(math.log10(rough)) if rough > 0 else 1.0
        step = next(m * power for m in (1, 2, 5, 10) if m * power >= rough)
        step = max(1, round(step)) if whole else step
    if not (is_number(step) and step > 0 and field.low <= low < high <= field.high):
        raise bad_input(
            f"within = {(low, high)}, step",
            step,
            allowed=f"a step above 0, and low < high inside {field.low:g} to "
            f"{field.high:g}{(' ' + field.unit if field.unit else '')}",
        )
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    if last - first < 1 or last - first > 10_000 or (whole and step != int(step)):
        raise bad_input("step", step, allowed=f"1 to 10,000 steps between {low:g} and {high:g}")
    grid = [float(f"{i * step:.12g}") for i in range(first, last + 1)]
    return field, [int(v) for v in grid] if whole else grid, float(step)
