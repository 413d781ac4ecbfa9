"""Compare vans on the same trips: weather, habits and unknowns are the same in each trial, and differences paired."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..engine.event_chances import happened
from ..engine.interruption import attach_partial_result
from ..engine.named_numbers import Named
from ..engine.progress import ProgressOption, track_runs
from ..engine.risk import Risk
from ..engine.run_options import TRIALS, ExecutorOption, Precision, RunOptions, require_pairs
from ..engine.simulation import require_series_memory, run_trip
from ..engine.validation import compile_trip, require_kind, validate_number, warn_caller
from ..model.checks import validate_mapping
from ..model.classes import AgmBattery, LithiumBattery, Trip, Van
from ..model.errors import bad_input, checked_call
from ..model.outputs import RESULTS
from ..money.lithium_conversion import Bundle
from ..money.prices import AmountRange, Prices, exchanged_parts, parts_of, table, unpriced_differences
from .comparison_result import ALL_TRIPS, Comparison, OutcomeDifference, VanDifference, no_difference
from .outcomes_compared import OUTCOMES, SHARES

_SERIES = ["soc", "terminal_v"]
Other = Van | Bundle | tuple[Van, Trip]


@checked_call
def compare(
    base: Van,
    others: Mapping[str, Other],
    trips: Trip | Sequence[Trip] | Mapping[str, Trip],
    *,
    trials: int = TRIALS,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
    base_name: str = "base",
    alarm_v: float = 11.5,
    prices: Prices | str | None = None,
) -> Comparison:
    """Compare vans with a base on one or more trips, with the same trials; or the same van on other trips.

    Parameters
    ----------
    base : Van
        What the others are compared with.
    others : mapping of str to Van, Bundle or (Van, Trip)
        A van is priced part by part against the base, both bought new. A :class:`Bundle` (see
        :func:`lithium_bundle`) is priced by what has to be bought and fitted, with nothing back for what it replaces.
        A pair is a van on a trip of its own, fewer nights for one, in place of the base's only trip.
    trips : Trip, sequence of Trip, or mapping of str to Trip
        One trip, or several; those of a list are called "trip 1", "trip 2", ...
    trials, seed, threads, precision, executor, progress : optional
        As of :func:`simulate`, for each van and trip; two hourly time series of all trials of one are held at a time.
        Progress counts the trials of all of them.
    base_name : str
        What the base is called in reports, tables and ``risks``, "100 Ah AGM" for one.
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
    _require_vans(base, base_name, others)
    alarm_v = validate_number("alarm_v", alarm_v, 9, 13)
    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    require_pairs(trials)
    priced = table(prices)
    vans = {base_name: base} | {name: _van(other) for name, other in others.items()}
    own_trips = _own_trips(others, named_trips)
    bought = {name: _price_and_mass_draws(base, other, priced) for name, other in others.items()}
    runs = [
        (trip_name, own_trips.get(name, trip), name, van)
        for trip_name, trip in named_trips.items()
        for name, van in vans.items()
    ]
    _check_runs(runs, base_name, options.trials)

    risks: dict[tuple[str, str], Risk] = {}
    columns: dict[tuple[str, str], dict[str, NDArray[np.float64]]] = {}
    with attach_partial_result("compare", lambda: risks), track_runs(progress, len(runs), options.trials) as done:
        for trip_name, trip, name, van in runs:
            risk = run_trip(van, trip, options, time_series=_SERIES, report_done=done)
            columns[name, trip_name] = _outcomes(risk, alarm_v)
            risk.time_series_values = Named("time_series_values", {})  # evaluated; too large to keep for every van
            risks[name, trip_name] = risk
            done.run_finished()
    return Comparison(
        _all_differences(
            vans, list(named_trips), columns, {n for n, van in vans.items() if van == base} - {*own_trips}
        ),
        risks,
        {name: AmountRange.of(price) for name, (price, _) in bought.items()},
        {name: AmountRange.of(mass) for name, (_, mass) in bought.items()},
        {name: notes for name, other in others.items() if (notes := _notes(base, other))},
        priced,
        base_name,
        frozenset(name for name, other in others.items() if isinstance(other, Bundle)),
    )


def _check_runs(runs: Sequence[tuple[str, Trip, str, Van]], base_name: str, trials: int) -> None:
    """Validate all vans and trips before any trial runs, and say which van a warning is of."""
    warnings: dict[str, list[str]] = {}
    for _, trip, name, van in runs:
        compiled = compile_trip(van, trip)
        require_series_memory(compiled, trials, _SERIES)
        warnings.setdefault(name, []).extend(compiled.warnings)
    for name, texts in warnings.items():
        for text in dict.fromkeys(texts):
            if name == base_name or text not in warnings[base_name]:
                warn_caller(f"{text} (van {name!r})")


def _all_differences(
    vans: Mapping[str, Van],
    trips: list[str],
    columns: dict[tuple[str, str], dict[str, NDArray[np.float64]]],
    same: Container[str],
) -> dict[tuple[str, str], VanDifference]:
    """Differences from the base on each trip and, where there are several, on all of them together.

    ``same``: the vans that are the base itself, on the same trips.
    """
    base, *others = vans
    on: dict[str, dict[str, dict[str, NDArray[np.float64]]]] = {
        trip: {name: columns[name, trip] for name in vans} for trip in trips
    }
    if len(trips) > 1:
        on[ALL_TRIPS] = {name: _mean([columns[name, trip] for trip in trips]) for name in vans}
    differences = {}
    for trip, found in on.items():
        for name in others:
            differences[name, trip] = _difference_of(name, trip, found[base], found[name], same=name in same)
    if len(trips) > 1:  # by van, then by trip; all trips together last
        keys = [(name, trip) for name in others for trip in trips] + [(name, ALL_TRIPS) for name in others]
        return {key: differences[key] for key in keys}
    return differences


def _van(other: Other) -> Van:
    return other.van if isinstance(other, Bundle) else other[0] if isinstance(other, tuple) else other


def _own_trips(others: Mapping[str, Other], trips: Mapping[str, Trip]) -> dict[str, Trip]:
    """Of those that are a van with a trip of its own, which takes the place of the only one there is."""
    own = {name: other[1] for name, other in others.items() if isinstance(other, tuple)}
    if own and len(trips) > 1:
        raise bad_input("trips", reason=f"others[{next(iter(own))!r}] has a trip of its own", allowed="one trip")
    return own


def _require_vans(base: object, base_name: object, others: Mapping[str, object]) -> None:
    if not isinstance(base_name, str) or not base_name:
        raise bad_input("base_name", base_name, allowed="a name")
    require_kind("base", base, Van)
    allowed = f"a mapping of names (not {base_name!r}) to vans, at least one"
    if not validate_mapping("others", others, allowed) or base_name in others:
        raise bad_input("others", others, allowed=allowed)
    for name, other in others.items():
        if isinstance(other, tuple) and [type(part) for part in other] == [Van, Trip]:
            continue
        if not isinstance(other, (Van, Bundle)):
            field = "battery" if isinstance(other, (AgmBattery, LithiumBattery)) else "<field>"
            reason = f"must be a Van, a Bundle or (Van, Trip); van.replace({field}=...) makes a van with another part"
            raise bad_input(f"others[{name!r}]", other, reason=reason)


def _named(trips: Trip | Sequence[Trip] | Mapping[str, Trip]) -> dict[str, Trip]:
    if isinstance(trips, Mapping):
        named = dict(validate_mapping("trips", trips, "a trip, a list of trips, or a mapping of names to trips"))
    elif isinstance(trips, Sequence) and not isinstance(trips, str):
        named = {f"trip {i}": trip for i, trip in enumerate(trips, 1)}
    else:
        require_kind("trips", trips, Trip)
        named = {"trip": trips}
    if not named or ALL_TRIPS in named:
        raise bad_input("trips", allowed=f"a trip, or several with names other than {ALL_TRIPS!r}")
    for name, trip in named.items():
        if trip is not trips:
            require_kind(f"trips[{name!r}]", trip, Trip)
    return named


def _price_and_mass_draws(base: Van, other: Other, prices: Prices) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Draws of price and mass more than the base. What a bundle takes out costs nothing and weighs."""
    in_ = parts_of(_van(other))
    exchanged = exchanged_parts(parts_of(base), in_)
    mass = prices.total(exchanged, "mass_kg")
    if not isinstance(other, Bundle):
        return prices.total(exchanged, "price"), mass
    extra = [p for p in other.parts if p.item not in {q.item for q in in_}]
    return prices.total(other.parts, "price"), mass + prices.total(extra, "mass_kg")


def _notes(base: Van, other: Other) -> tuple[str, ...]:
    """What to know of a van: a bundle's notes, and what of its differences no price is told of."""
    if isinstance(other, Bundle):
        return other.notes
    left_out = unpriced_differences(base, _van(other))
    return (f"Price and mass are without {', '.join(left_out)}: the price table has none.",) if left_out else ()


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
        "hours_below_20": (risk.time_series_values["soc"] < 0.2).sum(axis=1).astype(float),
        "warning_h": warning,
        **{name: np.asarray(c.get(name, np.zeros(len(failed))), dtype=float) for name in OUTCOMES if name in RESULTS},
    } | {name: happened(name, c).astype(float) for name in SHARES}


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
    van: str, trip: str, base: dict[str, NDArray[np.float64]], other: dict[str, NDArray[np.float64]], *, same: bool
) -> VanDifference:
    """Paired differences of all outcomes; exactly none where both are the same van."""
    outcomes = Named[str, OutcomeDifference]("outcome", {})
    for name in OUTCOMES:
        a, b = base[name], other[name]
        both = ~(np.isnan(a) | np.isnan(b))
        n = int(both.sum())
        single = name in SHARES and set(np.unique(np.concatenate([a, b]))) <= {0.0, 1.0}
        x, y = b[both], a[both]
        gap = _core.paired_difference(x > 0, y > 0) if single else _core.paired_difference(x, y) if n > 1 else None
        gap = no_difference(n) if same and gap is not None else gap
        outcomes[name] = OutcomeDifference(name, _mean_of(a), _mean_of(b), gap, n)
    paired = float(np.var(other["risk"] - base["risk"]))
    apart = float(np.var(other["risk"]) + np.var(base["risk"]))
    return VanDifference(van, trip, outcomes, apart / paired if paired > 0 else float("inf") if apart > 0 else 1.0)


def _mean_of(values: NDArray[np.float64]) -> float | None:
    there = values[~np.isnan(values)]
    return float(there.mean()) if len(there) else None
