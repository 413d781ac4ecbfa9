"""Rank upgrades by the risk that they remove, per money and per mass: alone and in pairs, on the same trials.

The intervals of the ratios join sampling error, with all candidates' covariance over the trials, and the draws of the
price table; two neighbours of a ranking are distinguishable only where 97.5 % of these joint draws agree on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core
from ridethrough._core import Estimate

from ..engine.interruption import attach_partial_result
from ..engine.progress import ProgressOption, track_runs
from ..engine.run_options import TRIALS, ExecutorOption, Precision, RunOptions, require_pairs
from ..engine.simulation import run_trip
from ..engine.validation import compile_trip, compile_with_warnings, require_van_and_trip
from ..model.classes import Trip, Van
from ..model.errors import bad_input, checked_call
from ..money.prices import DRAWS, AmountRange, Prices, table
from .upgrade_candidates import FOOD_C, Candidate, catalogue
from .upgrade_result import WARM_FOOD, Upgrade, Upgrades

if TYPE_CHECKING:
    from ..engine.risk import Risk

# Risk left, which trials fail, chance of warm food, which trials have it.
_Run = tuple[Estimate, NDArray[np.bool_], Estimate, NDArray[np.bool_]]

_FLOAT_ROUNDING_K = 1e-3  # the column is single precision; the thermostat switches at the limit itself


@checked_call
def upgrades(
    van: Van,
    trip: Trip,
    candidates: Sequence[Candidate] | None = None,
    *,
    pairs: bool = True,
    trials: int = TRIALS,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
    prices: Prices | str | None = None,
) -> Upgrades:
    """Rank changes of a van and a trip by the risk they remove, per money and per mass, alone and in pairs.

    Parameters
    ----------
    van, trip : Van, Trip
        As they are.
    candidates : sequence of Candidate, optional
        By default all of :func:`catalogue` that apply. Cut-out settings are never among them: see
        :func:`cutout_settings`.
    pairs : bool
        Also run every two candidates that don't exclude each other.
    trials, seed, threads, precision, executor, progress : optional
        As of :func:`simulate`, for the van as it is and each candidate and pair; progress counts the trials of all.
    prices : Prices or path, optional
        A price table of your own.

    Returns
    -------
    Upgrades
        What each candidate and pair removes of the risk, and costs.

    Raises
    ------
    InputError
        No candidate applies, names that are not unique, or anything :func:`simulate` refuses.
    Interrupted, StudyFailed
        Ctrl-C, or a run that failed; ``finished`` is the result of what was run, None before the van as it is has been.

    Examples
    --------
    >>> few = [candidate for candidate in rt.catalogue(van, trip) if "panel" in candidate.name][:2]
    >>> found = rt.upgrades(van, trip, few, pairs=False, trials=200)
    >>> len(found.all)
    2
    """
    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    require_van_and_trip(van, trip)
    require_pairs(trials)
    priced = table(prices)
    offered = catalogue(van, trip) if candidates is None else _candidates(candidates)
    if len({c.name for c in offered}) != len(offered):
        raise bad_input("candidates", reason="each needs a name of its own")
    plans = _plans(van, trip, offered, pairs)
    if not plans:
        raise bad_input("candidates", reason="none applies to this van and trip")
    for group, (changed, plan) in plans.items():  # validates and prices all of them before any trial runs
        compile_trip(changed, plan)
        _cost_and_mass([c for c in offered if c.name in group], priced)

    compile_with_warnings(van, trip)
    base: Risk | None = None
    risks: dict[tuple[str, ...], _Run] = {}
    out: dict[str, str] = {}
    by_name = {c.name: c for c in offered}

    def result() -> Upgrades | None:
        return None if base is None else _result(base, risks, by_name, out, priced)

    with (
        attach_partial_result("upgrades", result),
        track_runs(progress, 1 + len(plans), options.trials) as done,
    ):
        base = run_trip(van, trip, options, report_done=done)
        done.run_finished()
        for names, (changed, plan) in plans.items():
            if not any(name in out for name in names):
                risk = run_trip(changed, plan, options, report_done=done)
                why = food_rule(risk) if any(by_name[name].food_rule for name in names) else ""
                if why and len(names) == 1:
                    out[names[0]] = why
                elif not why:
                    warm = WARM_FOOD.happens(risk.columns)
                    risks[names] = risk.cutout, risk.columns["cutout_cause"] > 0, risk.chances[WARM_FOOD.name], warm
            done.run_finished()
    return _result(base, risks, by_name, out, priced)


def _candidates(given: object) -> list[Candidate]:
    """Those given; InputError for what is none, such as a name."""
    listed: list[Candidate] = []
    for one in given if isinstance(given, (list, tuple)) else [given]:
        if not isinstance(one, Candidate):
            hint = "[c for c in rt.catalogue(van, trip) if 'panel' in c.name] chooses by name"
            raise bad_input("candidates", one, allowed="a list of candidates out of rt.catalogue(van, trip)", hint=hint)
        listed.append(one)
    return listed


def food_rule(risk: Risk) -> str:
    """Why a warmer set point is not offered on this run, or nothing.

    The food stays at or below 5 degC in 95 of 100 simulated trips, those with a cut-out included, and no medicine is
    inside.
    """
    if risk.van.fridge.medicine is not None:
        return "medicine is inside"
    warm = float(np.quantile(risk.columns["warmest_food_c"], 0.95))
    if warm <= FOOD_C + _FLOAT_ROUNDING_K:
        return ""
    return f"the food gets warmer than {FOOD_C:g} degC in more than 1 of 20 trips (95th percentile {warm:.1f} degC)"


def _plans(van: Van, trip: Trip, offered: list[Candidate], pairs: bool) -> dict[tuple[str, ...], tuple[Van, Trip]]:
    """Van and trip of each candidate that applies, then of each pair."""
    plans: dict[tuple[str, ...], tuple[Van, Trip]] = {}
    for c in offered:
        if (changed := c.change(van, trip)) is not None:
            plans[(c.name,)] = changed
    if pairs:
        for a, b in combinations([c for c in offered if (c.name,) in plans], 2):
            if a.group and a.group == b.group:
                continue
            if (both := b.change(*plans[(a.name,)])) is not None:
                plans[a.name, b.name] = both
    return plans


def _cost_and_mass(of: list[Candidate], prices: Prices) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    bought = [part for c in of for part in c.parts]
    taken = [part for c in of for part in c.parts_removed]
    return prices.total(bought, "price"), prices.total(bought, "mass_kg") - prices.total(taken, "mass_kg")


def _result(
    base: Risk, risks: dict[tuple[str, ...], _Run], by_name: dict[str, Candidate], out: dict[str, str], prices: Prices
) -> Upgrades:
    failed, warm = base.columns["cutout_cause"] > 0, WARM_FOOD.happens(base.columns)
    gone = np.array([failed.astype(float) - after for _, after, *_ in risks.values()]).reshape(len(risks), base.trials)
    spread = np.atleast_2d(np.cov(gone)) / base.trials if len(risks) else np.zeros((0, 0))
    # Joint draws of the risks removed, from a stream of their own: the same whatever the trials are.
    normal = np.random.Generator(np.random.PCG64(_core.purpose_hash("upgrades.removed")))
    joint = normal.multivariate_normal(gone.mean(axis=1), spread, DRAWS, method="eigh") if len(risks) else gone.T
    entries, draws = [], {}
    for i, (names, (cutout, after, food, warm_after)) in enumerate(risks.items()):
        parts = [by_name[name] for name in names]
        cost, mass = _cost_and_mass(parts, prices)
        removed = joint[:, i]
        draws[names] = removed, cost
        entries.append(
            Upgrade(
                names,
                cutout,
                _core.paired_difference(failed, after),
                AmountRange.of(cost),
                AmountRange.of(mass),
                _ratio(removed, cost / 100),
                _ratio(removed, mass / 10),
                any(c.each_trip for c in parts),
                tuple(c.note for c in parts if c.note),
                food,
                _core.paired_difference(warm_after, warm),
            )
        )
    return Upgrades(base, entries, draws, out, prices)


def _ratio(removed: NDArray[np.float64], amount: NDArray[np.float64]) -> AmountRange | None:
    """Median with 95 of 100 draws, which is what the intervals of the risks are; None where nothing is paid."""
    if np.quantile(amount, 0.025) <= 0:
        return None
    low, value, high = np.quantile(removed / amount, [0.025, 0.5, 0.975])
    return AmountRange(float(value), float(low), float(high))
