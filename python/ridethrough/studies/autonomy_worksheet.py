"""The days-of-autonomy worksheet of stand-alone PV sizing, and the simulated risk of the van that it sizes.

The method of IEEE 1013 (batteries) and IEEE 1562 (arrays), from memory: their texts and examples are not reproduced,
the arithmetic is our own. The worksheet knows no weather but a month's mean and no cut-out voltage.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, TypedDict, Unpack

from ..engine.interruption import attach_partial_result
from ..engine.labelled_data import Columns, make_dataset, run_attributes
from ..engine.progress import ProgressOption, RunsDone, track_runs
from ..engine.result import Result
from ..engine.run_options import TRIALS, ExecutorOption, Precision, RunOptions
from ..engine.simulation import run_trip
from ..engine.validation import compile_with_warnings, require_van_and_trip, validate_number
from ..model.classes import Trip, Van
from ..model.errors import bad_input, checked_call, unknown_name
from ..model.values import mean_value
from ..model.van_parts import in_common, is_lithium, rated_ah

if TYPE_CHECKING:
    import xarray

    from ..engine.risk import Risk

LOAD_V, CHARGING_V = 12.0, 13.2  # volts that turn energies into the worksheet's Ah; common practice, no source
_RANGES = {
    "load_ah_per_day": (0.01, 10_000),
    "days": (0.1, 60),
    "deepest": (0.01, 1),
    "deepest_daily": (0.01, 1),
    "end_of_life": (0.1, 1),
    "temperature_factor": (0.5, 5),
    "margin": (1, 3),
    "running_a": (0.001, 10_000),
    "array_to_load": (0.1, 10),
    "capacity_ah": (0.01, 1_000_000),
    "charge_ah_per_day": (0, 1_000_000),
}


_MEANINGS = (  # of a battery sheet's lines
    "load over the days of autonomy",
    "asked for by the deepest discharge",
    "asked for by the deepest daily discharge",
    "asked for at the end of life",
    "largest of these, at temperature",
    "rated capacity asked for",
    "hours in which the running load would empty it",
)


class SheetLines(TypedDict, total=False):
    """Arguments of :func:`battery_sheet` besides load and days."""

    deepest: float
    deepest_daily: float
    end_of_life: float
    temperature_factor: float
    margin: float
    running_a: float


def _require_lines(sheet: Mapping[str, object]) -> None:
    """InputError of an argument that has no place here: the load and the days are those of the trip and of ``days``."""
    for name in sheet:
        if name not in (lines := list(SheetLines.__annotations__)):
            raise unknown_name(name, sheet[name], lines, "no such argument", name=name, quoted=False)


def _check(**values: float) -> None:
    for name, value in values.items():
        validate_number(name, value, *_RANGES[name])


@dataclass(frozen=True, eq=False)
class BatterySheet(Result):
    """The battery's lines of the worksheet.

    Attributes
    ----------
    unadjusted_ah : float
        Load x days [Ah].
    for_depth_ah, for_daily_depth_ah, for_end_of_life_ah : float
        What the deepest discharge, the deepest daily one and the end of life ask for [Ah].
    at_temperature_ah : float
        The largest of these, times the temperature factor [Ah].
    capacity_ah : float
        The rated capacity that the worksheet asks for [Ah].
    rate_h : float
        Hours in which the running load would empty that, to be looked up in the maker's table of capacities.

    Examples
    --------
    >>> sheet = rt.battery_sheet(40, 3)
    >>> sheet.unadjusted_ah, sheet.capacity_ah > sheet.for_depth_ah > sheet.unadjusted_ah
    (120, True)
    """

    unadjusted_ah: float
    for_depth_ah: float
    for_daily_depth_ah: float
    for_end_of_life_ah: float
    at_temperature_ah: float
    capacity_ah: float
    rate_h: float

    def to_xarray(self) -> xarray.Dataset:
        """One row: each line of the sheet."""
        lines: Columns = {
            field.name: ("h" if field.name == "rate_h" else "Ah", text, [getattr(self, field.name)])
            for field, text in zip(fields(self), _MEANINGS, strict=True)
        }
        return make_dataset({"sheet": ["battery"]}, lines).isel(sheet=0, drop=True)


@checked_call
def battery_sheet(
    load_ah_per_day: float,
    days: float,
    *,
    deepest: float = 0.5,
    deepest_daily: float = 0.2,
    end_of_life: float = 0.8,
    temperature_factor: float = 1.0,
    margin: float = 1.1,
    running_a: float | None = None,
) -> BatterySheet:
    """Work out the battery's lines of the worksheet.

    The battery is the largest of load x days over the deepest discharge, a day's load over the deepest daily one, and
    load x days over the capacity left at the end of life; times temperature factor and margin. The form is that of
    IEEE 1013; shares are of the rated capacity, and their defaults common practice, no source.

    Parameters
    ----------
    load_ah_per_day : float
        Load of a day [Ah].
    days : float
        Days of autonomy.
    deepest, deepest_daily : float
        Deepest discharge in all, and on an ordinary day [share].
    end_of_life : float
        Capacity left at the end of life [share].
    temperature_factor, margin : float
        Factors on the capacity.
    running_a : float, optional
        The load while it runs [A]; the day's mean where not given.

    Returns
    -------
    BatterySheet
        Each line [Ah], the capacity asked for, and its rate [h].

    Raises
    ------
    InputError
        A number out of range.

    Examples
    --------
    >>> sheet = rt.battery_sheet(40, 3)
    >>> round(sheet.capacity_ah)
    264
    """
    _check(load_ah_per_day=load_ah_per_day)
    running = load_ah_per_day / 24 if running_a is None else running_a
    _check(
        days=days,
        deepest=deepest,
        deepest_daily=deepest_daily,
        margin=margin,
        end_of_life=end_of_life,
        temperature_factor=temperature_factor,
        running_a=running,
    )
    unadjusted = load_ah_per_day * days
    lines = (unadjusted / deepest, load_ah_per_day / deepest_daily, unadjusted / end_of_life)
    warm = max(lines) * temperature_factor
    return BatterySheet(unadjusted, *lines, warm, warm * margin, warm * margin / running)


@checked_call
def worksheet_passes(
    capacity_ah: float,
    load_ah_per_day: float,
    days: float,
    *,
    charge_ah_per_day: float | None = None,
    array_to_load: float = 1.15,
    **sheet: Unpack[SheetLines],
) -> bool:
    """Say whether a battery passes the worksheet, and the array too where its daily charge is given.

    Parameters
    ----------
    capacity_ah : float
        Rated capacity [Ah].
    load_ah_per_day : float
        Load of a day [Ah].
    days : float
        Days of autonomy.
    charge_ah_per_day : float, optional
        What the array gives on a day of the month's mean sun [Ah].
    array_to_load : float
        Charge over load that is asked for (from memory: 1.1 to 1.2, for critical loads 1.3 to 1.4).
    **sheet : float
        As of :func:`battery_sheet`.

    Returns
    -------
    bool
        Yes or no.

    Raises
    ------
    InputError
        A number out of range.

    Examples
    --------
    >>> rt.worksheet_passes(300, 40, 3), rt.worksheet_passes(150, 40, 3)
    (True, False)
    """
    _require_lines(sheet)
    _check(array_to_load=array_to_load, capacity_ah=capacity_ah)
    if charge_ah_per_day is not None:
        _check(charge_ah_per_day=charge_ah_per_day)
    enough = capacity_ah >= battery_sheet(load_ah_per_day, days, **sheet).capacity_ah
    return bool(enough and (charge_ah_per_day is None or charge_ah_per_day >= array_to_load * load_ah_per_day))


def _without_limit(van: Van) -> Van:
    """A battery that no trip empties: what is asked for is then what is had."""
    return _with_capacity(van, in_common(van).schema.field("capacity_ah").high)


def _with_capacity(van: Van, capacity_ah: float) -> Van:
    """The van with one battery of a rated capacity in place of its own."""
    return van.replace(battery=in_common(van).replace(capacity_ah=capacity_ah, measured_capacity_ah=None))


@dataclass(frozen=True, eq=False)
class Worksheet(Result):
    """What :func:`worksheet` returns: what the worksheet asks for, and what the simulation says of a van built so.

    Attributes
    ----------
    days : float
        Days of autonomy.
    load_ah_per_day : float
        Simulated mean load [Ah].
    charge_ah_per_day_and_w : float
        What a rated watt of the array gives in a day [Ah].
    battery : BatterySheet
        The battery's lines.
    array_w : float
        The array that is asked for [W].
    van, risk : Van, Risk
        A van as sized, and its risk.
    present : Risk
        That of the van as it is.
    passes : bool
        Whether the van as it is passes.

    Examples
    --------
    >>> found = rt.worksheet(van, trip, days=2, trials=50)
    >>> found.days, found.van.battery.capacity_ah == found.battery.capacity_ah, found.present.trials
    (2, True, 50)
    """

    days: float
    load_ah_per_day: float
    charge_ah_per_day_and_w: float  # of the array as it lies, on a mean day
    battery: BatterySheet
    array_w: float
    van: Van
    risk: Risk
    present: Risk
    passes: bool  # whether the present van does

    @property
    def warnings(self) -> tuple[str, ...]:
        """Those of the van as it is, and of the van as sized."""
        return tuple(dict.fromkeys([*self.present.warnings, *self.risk.warnings]))

    def to_xarray(self) -> xarray.Dataset:
        """Dimension van (as it is, as the worksheet sizes it): sizes and risks."""
        vans, risks = (self.present.van, self.van), (self.present, self.risk)
        arrays = [van.arrays[0] for van in vans]
        cells: Columns = {
            "battery_ah": ("Ah", "rated capacity", [rated_ah(van) for van in vans]),
            "array_w": ("W", "rated power of the array", [mean_value(a.rated_w) for a in arrays]),
            "risk": ("1", "risk of a cut-out", [risk.cutout for risk in risks]),
            "passes": ("1", "passes the worksheet", [self.passes, True]),
        }
        about = run_attributes(self.present.van, self.present.trip, self.present.seed, self.present.trials)
        figures = {"days": self.days, "load_ah_per_day": self.load_ah_per_day}
        return make_dataset({"van": ["as it is", "as sized"]}, cells, **figures, **about)


@checked_call
def worksheet(
    van: Van,
    trip: Trip,
    *,
    days: float = 3,
    array_to_load: float = 1.15,
    trials: int = TRIALS,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
    **sheet: Unpack[SheetLines],
) -> Worksheet:
    """Size battery and array by days of autonomy, and simulate the trip with the van as it is and as sized.

    The load is the simulated mean of fridge and other loads on a battery that is never empty. The array's charge is
    that of the trip's month and place (simulated, curtailed sun counted as given), in proportion to its rated power.

    Parameters
    ----------
    van, trip : Van, Trip
        As they are; the van has one array.
    days : float
        Days of autonomy.
    array_to_load : float
        Charge of the array over the load that is asked for.
    trials, seed, threads, precision, executor, progress : optional
        As of :func:`simulate`, for each of three runs; progress counts the trials of all.
    **sheet : float
        As of :func:`battery_sheet`; the deepest discharge, where not given, is .5 (AGM) or .8 (lithium) of the rated
        capacity, the deepest daily one .2 or .5.

    Returns
    -------
    Worksheet
        What is asked for, and the risks of both vans.

    Raises
    ------
    InputError
        A van without solar array or with more than one, or an argument out of range.
    Interrupted, StudyFailed
        Ctrl-C, or a run that failed; ``finished`` is the risk of the van as it is, None before that has been run.

    Examples
    --------
    >>> found = rt.worksheet(van, trip, trials=200)
    >>> found.battery.capacity_ah > van.battery.capacity_ah
    True
    """
    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    require_van_and_trip(van, trip)
    if len(van.arrays) != 1:
        raise bad_input("van.arrays", reason=f"there are {len(van.arrays)}; the worksheet is for a van with one array")
    _require_lines(sheet)
    depth = 0.8 if is_lithium(van) else 0.5
    lines: SheetLines = {"deepest": depth, "deepest_daily": max(0.2, depth - 0.3), **sheet}
    _check(days=days, array_to_load=array_to_load, **lines)
    compile_with_warnings(van, trip)
    present: Risk | None = None
    with attach_partial_result("worksheet", lambda: present), track_runs(progress, 3, options.trials) as done:
        present = run_trip(van, trip, options, report_done=done)
        done.run_finished()
        return _size_and_simulate(present, days, array_to_load, lines, options, done)


def _size_and_simulate(
    present: Risk,
    days: float,
    array_to_load: float,
    sheet: SheetLines,
    options: RunOptions,
    done: RunsDone,
) -> Worksheet:
    """The worksheet from what the present van took and got, and the risk of the van that it sizes."""
    van, trip, means, trip_days = present.van, present.trip, present.means, present.hours / 24
    fed = run_trip(_without_limit(van), trip, options, report_done=done)
    done.run_finished()
    load = (fed.means["fridge_wh"] / LOAD_V + sum(fed.load_ah.values())) / trip_days
    watts = mean_value(van.arrays[0].rated_w)
    per_watt = (means["solar_wh"] + means["curtailed_wh"]) / CHARGING_V / trip_days / watts if watts else 0.0
    if per_watt <= 0:
        raise bad_input("van.solar.rated_w", reason="the array gives nothing on this trip, so none can be sized")
    battery = battery_sheet(load, days, **sheet)
    array_w = array_to_load * load / per_watt
    sized = _with_capacity(van, battery.capacity_ah).replace(**{"solar.rated_w": array_w})
    charge = per_watt * watts
    passes = worksheet_passes(rated_ah(van), load, days, charge_ah_per_day=charge, array_to_load=array_to_load, **sheet)
    risk = run_trip(sized, trip, options, report_done=done)
    done.run_finished()
    return Worksheet(days, load, per_watt, battery, array_w, sized, risk, present, passes)
