"""Rank upgrades by the risk that they remove, per money and per mass: alone and in pairs, on the same trials.

The intervals of the ratios join sampling error, with all candidates' covariance over the trials, and the draws of the
price table; two neighbours of a ranking are distinguishable only where 97.5 % of these joint draws agree on it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core
from ridethrough._core import Estimate

from ..engine.event_chances import CHANCES
from ..engine.interruption import attach_partial_result
from ..engine.labelled_data import Columns, make_dataset, run_attributes
from ..engine.progress import ProgressOption, track_runs
from ..engine.result import Result
from ..engine.run_options import TRIALS, ExecutorOption, Precision, RunOptions, require_pairs
from ..engine.simulation import run_trip
from ..engine.validation import compile_trip, compile_with_warnings, require_van_and_trip
from ..model.classes import Trip, Van
from ..model.errors import bad_input, checked_call, unknown_name
from ..money.prices import DRAWS, Prices, Range, table
from .upgrade_candidates import FOOD_C, Candidate, catalogue

if TYPE_CHECKING:
    import xarray

    from ..engine.risk import Risk
    from ..report.pictures.picture import Picture

# Risk left, which trials fail, chance of warm food, which trials have it.
_Run = tuple[Estimate, NDArray[np.bool_], Estimate, NDArray[np.bool_]]

_FLOAT_ROUNDING_K = 1e-3  # the column is single precision; the thermostat switches at the limit itself
APART = 0.975
WARM_FOOD = CHANCES["food_warm_4h"]


@dataclass(frozen=True)
class Upgrade:
    """One candidate or a pair.

    Attributes
    ----------
    names : tuple of str
        Of the candidates.
    risk : Estimate
        What is left.
    removed : Estimate
        Base less upgraded risk, paired, as a share.
    cost, mass_kg : Range
        Beyond the van as it is.
    per_100, per_10_kg : Range or None
        Risk taken off per $100 (of the table's currency) and per 10 kg, as a share like ``removed``, with 95 of 100
        draws, as the intervals of risks have; None where nothing is paid or nothing added.
    each_trip : bool
        Whether the cost is paid again on each trip.
    notes : tuple of str
        What to know about it.
    food_warm_4h, food_change : Estimate
        Chance of food above 5 degC for over 4 h in a row, and its paired change.
    """

    names: tuple[str, ...]
    risk: Estimate
    removed: Estimate
    cost: Range
    mass_kg: Range
    per_100: Range | None
    per_10_kg: Range | None
    each_trip: bool
    notes: tuple[str, ...]
    food_warm_4h: Estimate  # chance of food above 5 degC for more than 4 h in a row
    food_change: Estimate  # upgraded less base, paired, as a share

    @property
    def name(self) -> str:
        """Of the candidate, or of both of a pair."""
        return " + ".join(self.names)

    @property
    def shown(self) -> bool:
        """Whether less risk is shown: the interval lies above 0."""
        return self.removed.low > 0

    @property
    def adds_risk(self) -> bool:
        """Whether more risk is shown: the interval of what is removed lies below 0."""
        return self.removed.high < 0

    @property
    def free_or_lighter(self) -> bool:
        """Whether it costs nothing, or takes mass away."""
        return self.cost.high <= 0 or self.mass_kg.high < 0


class Upgrades(Result):
    """What :func:`upgrades` returns.

    Attributes
    ----------
    base : Risk
    all : tuple of Upgrade
        Every candidate and pair that was run, most risk removed first; what shows no less risk stands last.
    first, paid, pairs : tuple of Upgrade
        Candidates that are free or lighter, most risk removed first; those that are not, most risk removed per $100
        first; pairs, most risk removed first, cheaper ones first among equals. What shows no less risk stands last.
    worse : tuple of Upgrade
        Candidates that are shown to add risk, which are in none of the others.
    front : tuple of Upgrade
        Not beaten by any other in risk, cost and mass together (usual values), safest first; only what shows less risk.
    refused : dict of str to str
        Candidates that the food rule keeps out, and why.
    """

    def __init__(
        self,
        base: Risk,
        entries: list[Upgrade],
        draws: dict[tuple[str, ...], tuple[NDArray[np.float64], NDArray[np.float64]]],
        refused: dict[str, str],
        prices: Prices,
    ) -> None:
        self.base, self.refused, self.prices = base, refused, prices
        self._draws = draws
        self.all = _sorted(entries, lambda e: e.removed.value)
        self.worse = tuple(e for e in self.all if len(e.names) == 1 and e.adds_risk)
        singles = [e for e in entries if len(e.names) == 1 and not e.adds_risk]
        self.first = _sorted((e for e in singles if e.free_or_lighter), lambda e: e.removed.value)
        self.paid = _sorted(
            (e for e in singles if not e.free_or_lighter), lambda e: e.per_100.value if e.per_100 else 0
        )
        self.pairs = tuple(e for e in self.all if len(e.names) == 2)
        self.front = tuple(sorted(_front(entries), key=lambda e: -e.removed.value))

    def __repr__(self) -> str:
        pairs, refused = len(self.pairs), len(self.refused)
        run = f"{len(self.all) - pairs} changes and {pairs} pairs, {refused} not offered"
        return f"<Upgrades: {run}, {self.base.trials:,} trials, seed {self.base.seed}>"

    def __getitem__(self, name: str) -> Upgrade:
        for entry in self.all:
            if entry.name == name:
                return entry
        raise unknown_name("upgrade", name, [e.name for e in self.all], "no such one was run")

    @property
    def warnings(self) -> tuple[str, ...]:
        """Those of the van as it is."""
        return self.base.warnings

    @checked_call
    def distinguishable(self, better: Upgrade, other: Upgrade, per: str = "risk") -> bool:
        """Whether the first is shown to do better: removes more risk, or more ``per="$100"``."""
        if per not in ("risk", "$100"):
            raise bad_input("per", per, allowed="'risk', '$100'")
        for name, entry in (("better", better), ("other", other)):
            if not isinstance(entry, Upgrade) or entry.names not in self._draws:
                raise bad_input(name, entry, allowed="an Upgrade of these, such as found[name]")
        (a, cost_a), (b, cost_b) = self._draws[better.names], self._draws[other.names]
        gap = a - b if per == "risk" else a / np.maximum(cost_a, 1e-9) - b / np.maximum(cost_b, 1e-9)
        return bool(np.mean(gap > 0) >= APART)

    def to_xarray(self) -> xarray.Dataset:
        """Dimension upgrade, every candidate and pair that was run; ratios are NaN where nothing is paid or added."""
        money, run = self.prices.currency, self.all
        cells: Columns = {
            "risk": ("1", "risk of a cut-out with the upgrade", [e.risk for e in run]),
            "removed": ("1", "risk that it takes off, paired", [e.removed for e in run]),
            "cost": (money, "cost", [e.cost for e in run]),
            "mass_kg": ("kg", "mass added", [e.mass_kg for e in run]),
            "per_100": (f"1/(100 {money})", "risk taken off for money, 95 of 100 draws", [e.per_100 for e in run]),
            "per_10_kg": ("1/(10 kg)", "risk taken off for mass, 95 of 100 draws", [e.per_10_kg for e in run]),
            "pair": ("1", "two candidates together", [len(e.names) > 1 for e in run]),
            WARM_FOOD.name: ("1", f"chance that {WARM_FOOD.description}", [e.food_warm_4h for e in run]),
            "food_change": ("1", "that chance, less the base's, paired", [e.food_change for e in run]),
            "on_front": ("1", "not beaten in risk, cost and mass together", [e in self.front for e in run]),
        }
        base = self.base
        about = {
            f"base_risk{end}": getattr(base.cutout, part)
            for end, part in (("", "value"), ("_low", "low"), ("_high", "high"))
        }
        return make_dataset(
            {"upgrade": [e.name for e in run]},
            cells,
            **about,
            **run_attributes(base.van, base.trip, base.seed, base.trials),
        )

    def plot(self, *, size: str = "screen", title: str = "") -> Picture:
        """The change of risk by each upgrade, ranked, with price and mass (needs matplotlib)."""
        from ..report.pictures.rankings import plot_upgrades
        from ..report.plots import checked

        return plot_upgrades(self, *checked(size, title))


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
    """Why a warmer set point is not offered on this run, or nothing: the food stays at or below 5 degC in 95 of 100
    simulated trips, those with a cut-out included, and no medicine is inside.
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
    taken = [part for c in of for part in c.removed]
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
                Range.of(cost),
                Range.of(mass),
                _ratio(removed, cost / 100),
                _ratio(removed, mass / 10),
                any(c.each_trip for c in parts),
                tuple(c.note for c in parts if c.note),
                food,
                _core.paired_difference(warm_after, warm),
            )
        )
    return Upgrades(base, entries, draws, out, prices)


def _ratio(removed: NDArray[np.float64], amount: NDArray[np.float64]) -> Range | None:
    """Median with 95 of 100 draws, which is what the intervals of the risks are; None where nothing is paid."""
    if np.quantile(amount, 0.025) <= 0:
        return None
    low, value, high = np.quantile(removed / amount, [0.025, 0.5, 0.975])
    return Range(float(value), float(low), float(high))


def _sorted(entries: Iterable[Upgrade], key: Callable[[Upgrade], float]) -> tuple[Upgrade, ...]:
    return tuple(sorted(entries, key=lambda e: (not e.shown, -key(e), e.cost.value, e.names)))


def _front(entries: list[Upgrade]) -> list[Upgrade]:
    """Entries that no other one beats: at least as good in all three, better in one."""
    able = [e for e in entries if e.shown]

    def figures(e: Upgrade) -> tuple[float, float, float]:
        return -e.removed.value, e.cost.value, e.mass_kg.value

    def beaten(e: Upgrade) -> bool:
        mine = figures(e)
        pairs = [list(zip(figures(other), mine, strict=True)) for other in able if other is not e]
        return any(all(a <= b for a, b in pair) and any(a < b for a, b in pair) for pair in pairs)

    return [e for e in able if not beaten(e)]
