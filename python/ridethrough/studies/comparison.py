"""Compare vans on the same trips: weather, habits and unknowns are the same in each trial, and differences paired."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core
from ridethrough._core import Estimate

from ..engine.event_chances import CHANCES
from ..engine.interruption import attach_partial_result
from ..engine.labelled_data import make_dataset, run_attributes, trips_attributes
from ..engine.progress import ProgressOption, track_runs
from ..engine.result import Result
from ..engine.run_options import TRIALS, ExecutorOption, Precision, RunOptions, require_pairs
from ..engine.simulation import require_series_memory, run_trip
from ..engine.validation import compile_trip, require_van_and_trip, validate_number, warn_once
from ..model.checks import validate_mapping
from ..model.classes import AgmBattery, LithiumBattery, Trip, Van
from ..model.errors import bad_input, checked_call
from ..model.outputs import RESULTS
from ..money.lithium_conversion import Bundle
from ..money.prices import Part, Prices, Range, parts_of, table

if TYPE_CHECKING:
    import xarray

    from ..engine.risk import Risk

BASE = "base"
_SHOWN = {"d": ("days", 1), "1": ("a trip", 2), "Wh": ("Wh", 0)}  # unit as reports name it, digits


def _of_columns(*names: str) -> dict[str, tuple[str, str, int]]:
    """Outcomes that are the mean of a column."""
    unit_and_digits = {name: _SHOWN.get(RESULTS[name].unit, (RESULTS[name].unit, 1)) for name in names}
    return {name: (unit, RESULTS[name].label, digits) for name, (unit, digits) in unit_and_digits.items()}


# Outcome: unit, label, digits.
OUTCOMES: dict[str, tuple[str, str, int]] = {
    "risk": ("points", "risk of a cut-out", 1),
    **_of_columns("hours_off", "days_full", "hours_below_half"),
    "hours_below_20": ("h", "hours below 20 % charge", 1),
    "warning_h": ("h", "warning between alarm and off", 1),
    **_of_columns("curtailed_wh", "failed_starts", "hours_above_5c"),
    "food_warm_2h": ("points", "chance of food above 5 degC for over 2 h in a row", 1),
    "food_warm_4h": ("points", "chance of food above 5 degC for over 4 h in a row", 1),
    "food_frozen": ("points", "chance of the inside of the fridge below 0 degC for over 1 h", 1),
    "cold_cabin": ("points", "chance of over 1 h below 10 degC in the cabin", 1),
    "cabin_frozen": ("points", "chance of the cabin below 0 degC", 1),
    "below_half": ("points", "chance of less than half charge", 1),
}
SHARES = frozenset(name for name, (unit, _, _) in OUTCOMES.items() if unit == "points")  # 0 or 1 in each trial


@dataclass(frozen=True)
class OutcomeDifference:
    """One outcome of one van on one trip: the base's mean, the other's, and their paired difference.

    Risks are shares, not points. None where there is nothing to compare.

    Attributes
    ----------
    outcome : str
        Its name, such as "risk" or "hours_off".
    base, other : float or None
        Means of the trials.
    difference : Estimate or None
        Other less base, paired, with its 95 % interval.
    trials_with_both : int
        Trials in which both vans have the outcome: fewer than all for the warning time, which exists only where both
        fail.
    """

    outcome: str
    base: float | None
    other: float | None
    difference: Estimate | None
    trials_with_both: int

    @property
    def shown(self) -> bool:
        """Whether the interval of the difference leaves out 0."""
        return self.difference is not None and not self.difference.low <= 0 <= self.difference.high


@dataclass(frozen=True)
class VanDifference:
    """One van against the base on one trip, or on all of them together (the mean over the trips of each trial).

    Attributes
    ----------
    van, trip : str
        Their names.
    outcomes : mapping of str to OutcomeDifference
        By name of the outcome; ``found["risk"]`` is short for one of them.
    variance_ratio : float
        Variance of the risks' difference from independent runs, over that of these paired ones.
    """

    van: str
    trip: str
    outcomes: Mapping[str, OutcomeDifference]
    variance_ratio: float  # variance of the difference from independent runs, over that of these paired ones

    def __getitem__(self, outcome: str) -> OutcomeDifference:
        if outcome not in self.outcomes:
            near = _core.nearest_name(str(outcome), list(self.outcomes))
            raise bad_input("outcome", outcome, allowed=", ".join(self.outcomes), suggestion=near)
        return self.outcomes[outcome]


class Comparison(Result):
    """What :func:`compare` returns.

    Attributes
    ----------
    differences : dict of (van, trip) to VanDifference
        Trips by name; ``"all trips"`` besides, where there are several.
    cost, mass_kg : dict of van to Range
        What it costs and weighs more than the base: 5, 50 and 95 % of the draws of the price table.
    risks : dict of (van, trip) to Risk
        The runs themselves; the base is the van ``"base"``.
    """

    def __init__(
        self,
        differences: dict[tuple[str, str], VanDifference],
        risks: dict[tuple[str, str], Risk],
        cost: dict[str, Range],
        mass_kg: dict[str, Range],
        notes: dict[str, tuple[str, ...]],
        prices: Prices,
    ) -> None:
        self.differences, self.risks, self.cost, self.mass_kg = differences, risks, cost, mass_kg
        self.notes, self.prices = notes, prices

    def __getitem__(self, van: str) -> VanDifference:
        """A van on the trip, or on all trips together."""
        found = [a for a in self.differences.values() if a.van == van]
        if not found:
            near = _core.nearest_name(str(van), list(self.cost))
            raise bad_input("van", van, allowed=", ".join(self.cost), suggestion=near)
        return found[-1]

    @property
    def warnings(self) -> tuple[str, ...]:
        """Those of all runs, each once."""
        return tuple(dict.fromkeys(text for risk in self.risks.values() for text in risk.warnings))

    def same_risk_for_less(self) -> list[str]:
        """Vans with no difference of risk shown, or a lower one, that cost or weigh less and neither more."""
        better = []
        for name, cost in self.cost.items():
            risk, mass = self[name]["risk"].difference, self.mass_kg[name]
            if risk and risk.low <= 0 and cost.high <= 0 and mass.high <= 0 and (cost.low < 0 or mass.low < 0):
                better.append(name)
        return better

    def to_dict(self) -> dict[str, Any]:
        """Plain numbers: by van and trip, the lines with their differences and intervals."""

        def numbers(entry: OutcomeDifference) -> dict[str, Any]:
            d = entry.difference
            out = {"base": entry.base, "other": entry.other, "trials_with_both": entry.trials_with_both}
            return out | {"difference": None if d is None else [d.value, d.low, d.high]}

        return {
            f"{a.van} | {a.trip}": {name: numbers(entry) for name, entry in a.outcomes.items()}
            | {"variance_ratio": a.variance_ratio, "cost": vars(self.cost[a.van]), "mass_kg": vars(self.mass_kg[a.van])}
            for a in self.differences.values()
        }

    def to_xarray(self) -> xarray.Dataset:
        """Dimensions van (the base first) and trip: each outcome, and its ``_difference`` from the base with interval.

        ``risk`` is NaN for all trips together, which have no interval of their own; differences are NaN for the base.
        """
        vans, trips = [BASE, *self.cost], list(dict.fromkeys(trip for _, trip in self.differences))
        cells: dict[str, tuple[str, str, Sequence[object]]] = {}
        for name, (unit, label, _) in OUTCOMES.items():
            unit = "1" if name in SHARES else unit
            outcomes = {key: difference[name] for key, difference in self.differences.items()}
            values: list[object] = [outcomes[vans[1], trip].base for trip in trips]
            values += [outcomes[van, trip].other for van in vans[1:] for trip in trips]
            if name == "risk":
                values = [
                    self.risks[van, trip].cutout if (van, trip) in self.risks else None
                    for van in vans
                    for trip in trips
                ]
            gaps = [outcomes[van, trip].difference if van != BASE else None for van in vans for trip in trips]
            cells |= {name: (unit, label, values), f"{name}_difference": (unit, f"{label}, less the base's", gaps)}
        more = {
            "cost": (self.prices.currency, "cost beyond the base", [self.cost.get(van) for van in vans]),
            "mass_kg": ("kg", "mass beyond the base", [self.mass_kg.get(van) for van in vans]),
        }
        (_, run_trip), run = next(iter(self.risks.items()))
        about = run_attributes(self.risks[BASE, run_trip].van, None, run.seed, run.trials)
        about |= trips_attributes({trip: risk.trip for (van, trip), risk in self.risks.items() if van == BASE})
        return make_dataset({"van": vans, "trip": trips}, cells, more, **about)


@checked_call
def compare(
    base: Van,
    others: Mapping[str, Van | Bundle],
    trips: Trip | Sequence[Trip] | Mapping[str, Trip],
    *,
    trials: int = TRIALS,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
    alarm_v: float = 11.5,
    prices: Prices | str | None = None,
) -> Comparison:
    """Compare vans with a base on one or more trips, with the same trials.

    Parameters
    ----------
    base : Van
        What the others are compared with.
    others : mapping of str to Van or Bundle
        A van is priced part by part against the base, both bought new. A :class:`Bundle` (see
        :func:`lithium_bundle`) is priced by what has to be bought and fitted, with nothing back for what it replaces.
    trips : Trip, sequence of Trip, or mapping of str to Trip
        One trip, or several; those of a list are called "trip 1", "trip 2", ...
    trials, seed, threads, precision, executor, progress : optional
        As of :func:`simulate`, for each van and trip; two hourly time series of all trials of one are held at a time.
        Progress counts the trials of all of them.
    alarm_v : float
        An alarm sounds when the battery's terminals are below this [V] at the end of an hour, 9 to 13; the warning
        time runs from there to the first cut-out, to the hour.
    prices : Prices or path, optional
        A price table of your own.

    Returns
    -------
    Comparison
        Risks, and paired differences of all outcomes with their intervals, by van and trip.

    Raises
    ------
    InputError
        No other van, no trip, a name twice, or anything :func:`simulate` refuses.
    Interrupted, StudyFailed
        Ctrl-C, or a run that failed; ``finished`` maps (van, trip) to the risks that were run.

    Examples
    --------
    >>> found = rt.compare(van, {"more panel": van.replace(**{"solar.rated_w": 320})}, trip, trials=200)
    >>> gap = found["more panel"]["risk"].difference
    >>> gap.low <= gap.value <= gap.high, gap.trials
    (True, 200)
    """
    named_trips = _named(trips)
    allowed = f"a mapping of names (not {BASE!r}) to vans, at least one"
    if not validate_mapping("others", others, allowed) or BASE in others:
        raise bad_input("others", others, allowed=allowed)
    require_van_and_trip(base, next(iter(named_trips.values())))
    _require_vans(others)
    alarm_v = validate_number("alarm_v", alarm_v, 9, 13)
    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    require_pairs(trials)
    time_series, priced = ["soc", "terminal_v"], table(prices)
    vans = {BASE: base} | {n: other.van if isinstance(other, Bundle) else other for n, other in others.items()}
    bought = {name: _price_and_mass_draws(base, other, priced) for name, other in others.items()}
    texts: list[str] = []
    for van in vans.values():  # validates all of them before any trial runs
        for trip in named_trips.values():
            require_van_and_trip(van, trip)
            compiled = compile_trip(van, trip)
            require_series_memory(compiled, options.trials, time_series)
            texts += compiled.warnings
    warn_once(texts)

    risks: dict[tuple[str, str], Risk] = {}
    columns: dict[tuple[str, str], dict[str, NDArray[np.float64]]] = {}
    runs = [(name, trip_name) for trip_name in named_trips for name in vans]
    with attach_partial_result("compare", lambda: risks), track_runs(progress, len(runs), options.trials) as done:
        for name, trip_name in runs:
            risk = run_trip(vans[name], named_trips[trip_name], options, time_series=time_series, report_done=done)
            columns[name, trip_name] = _outcomes(risk, alarm_v)
            risk.time_series_values = {}  # evaluated above; too large to keep for every van
            risks[name, trip_name] = risk
            done.run_finished()
    return Comparison(
        _all_differences(list(others), list(named_trips), columns),
        risks,
        {name: Range.of(price) for name, (price, _) in bought.items()},
        {name: Range.of(mass) for name, (_, mass) in bought.items()},
        {name: other.notes for name, other in others.items() if isinstance(other, Bundle)},
        priced,
    )


def _all_differences(
    others: list[str], trips: list[str], columns: dict[tuple[str, str], dict[str, NDArray[np.float64]]]
) -> dict[tuple[str, str], VanDifference]:
    """Differences from the base on each trip and, where there are several, on all of them together."""
    differences = {
        (name, trip): _difference_of(name, trip, columns[BASE, trip], columns[name, trip])
        for name in others
        for trip in trips
    }
    if len(trips) > 1:
        means = {name: _mean([columns[name, trip] for trip in trips]) for name in [BASE, *others]}
        differences |= {(n, "all trips"): _difference_of(n, "all trips", means[BASE], means[n]) for n in others}
    return differences


def _require_vans(others: Mapping[str, object]) -> None:
    for name, other in others.items():
        if not isinstance(other, (Van, Bundle)):
            field = "battery" if isinstance(other, (AgmBattery, LithiumBattery)) else "<field>"
            reason = f"must be a Van or a Bundle; van.replace({field}=...) makes a van with another part"
            raise bad_input(f"others[{name!r}]", other, reason=reason)


def _named(trips: Trip | Sequence[Trip] | Mapping[str, Trip]) -> dict[str, Trip]:
    if isinstance(trips, Mapping):
        named = dict(validate_mapping("trips", trips, "a trip, a list of trips, or a mapping of names to trips"))
    elif isinstance(trips, Sequence):
        named = {f"trip {i}": trip for i, trip in enumerate(trips, 1)}
    else:
        named = {"trip": trips}
    if not named or "all trips" in named:
        raise bad_input("trips", allowed="a trip, or several with names other than 'all trips'")
    return named


def _price_and_mass_draws(
    base: Van, other: Van | Bundle, prices: Prices
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Draws of price and mass more than the base. What a bundle takes out costs nothing and weighs."""
    out = [Part(p.item, -p.amount) for p in parts_of(base)]
    in_ = parts_of(other.van if isinstance(other, Bundle) else other)
    mass = prices.total([*in_, *out], "mass_kg")
    if not isinstance(other, Bundle):
        return prices.total([*in_, *out], "price"), mass
    extra = [p for p in other.parts if p.item not in {q.item for q in in_}]
    return prices.total(other.parts, "price"), mass + prices.total(extra, "mass_kg")


def _outcomes(risk: Risk, alarm_v: float) -> dict[str, NDArray[np.float64]]:
    """Per trial; NaN where the outcome does not exist in that trial (no cut-out, no warning time)."""
    c = risk.columns
    low = risk.time_series_values["terminal_v"] < alarm_v
    alarm_h = np.where(low.any(axis=1), 1 + low.argmax(axis=1), np.inf)
    first_h = np.asarray(c["first_cutout_h"], dtype=float)
    failed = c["cutout_cause"] > 0
    off_h = np.where(failed, first_h, 0.0)
    warning = np.where(failed, np.maximum(off_h - np.minimum(alarm_h, off_h), 0.0), np.nan)
    return {
        "risk": failed.astype(float),
        "hours_below_20": (risk.time_series_values["soc"] < 0.2).sum(axis=1).astype(float),
        "warning_h": warning,
        **{name: np.asarray(c.get(name, np.zeros(len(failed))), dtype=float) for name in OUTCOMES if name in RESULTS},
    } | {name: CHANCES[name].happens(c).astype(float) for name in OUTCOMES if name in CHANCES}


def _mean(trips: list[dict[str, NDArray[np.float64]]]) -> dict[str, NDArray[np.float64]]:
    """Mean over the trips of each trial. Trial i has the same draws in all of them, so only trials are independent."""
    out = {}
    for name in OUTCOMES:
        stack = np.stack([t[name] for t in trips])
        there = ~np.isnan(stack)
        count = there.sum(axis=0)
        out[name] = np.where(count > 0, np.where(there, stack, 0.0).sum(axis=0) / np.maximum(count, 1), np.nan)
    return out


def _difference_of(
    van: str, trip: str, base: dict[str, NDArray[np.float64]], other: dict[str, NDArray[np.float64]]
) -> VanDifference:
    outcomes = {}
    for name in OUTCOMES:
        a, b = base[name], other[name]
        both = ~(np.isnan(a) | np.isnan(b))
        n = int(both.sum())
        single = name in SHARES and set(np.unique(np.concatenate([a, b]))) <= {0.0, 1.0}
        x, y = b[both], a[both]
        gap = _core.paired_difference(x > 0, y > 0) if single else _core.paired_difference(x, y) if n > 1 else None
        outcomes[name] = OutcomeDifference(name, _mean_of(a), _mean_of(b), gap, n)
    paired = float(np.var(other["risk"] - base["risk"]))
    apart = float(np.var(other["risk"]) + np.var(base["risk"]))
    return VanDifference(van, trip, outcomes, apart / paired if paired > 0 else float("inf") if apart > 0 else 1.0)


def _mean_of(values: NDArray[np.float64]) -> float | None:
    there = values[~np.isnan(values)]
    return float(there.mean()) if len(there) else None
