"""What a ranking of upgrades returns: each change with what it removes and costs, in orders to choose by."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ridethrough._core import Estimate

from ..engine.event_chances import CHANCES
from ..engine.labelled_data import Columns, make_dataset, run_attributes
from ..engine.named_numbers import Keyed, Named
from ..engine.result import Result
from ..model.errors import bad_input, checked_call, unknown_key
from ..money.prices import AmountRange, Prices

if TYPE_CHECKING:
    import xarray

    from ..engine.risk import Risk
    from ..report.pictures.picture import Picture

APART = 0.975  # share of the joint draws that must agree on an order
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
    cost, mass_kg : AmountRange
        Beyond the van as it is.
    per_100, per_10_kg : AmountRange or None
        Risk taken off per $100 (of the table's currency) and per 10 kg, as a share like ``removed``, with 95 of 100
        draws, as the intervals of risks have; None where nothing is paid or nothing added.
    each_trip : bool
        Whether the cost is paid again on each trip.
    notes : tuple of str
        What to know about it.
    food_warm_4h, food_change : Estimate
        Chance of food above 5 degC for over 4 h in a row, and its paired change.

    Examples
    --------
    >>> few = [candidate for candidate in rt.catalogue(van, trip) if "panel" in candidate.name][:2]
    >>> found = rt.upgrades(van, trip, few, trials=50)
    >>> entry = found[few[0].name]
    >>> entry.names == (few[0].name,), entry.removed.low <= entry.removed.value <= entry.removed.high
    (True, True)
    """

    names: tuple[str, ...]
    risk: Estimate
    removed: Estimate
    cost: AmountRange
    mass_kg: AmountRange
    per_100: AmountRange | None
    per_10_kg: AmountRange | None
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


class Upgrades(Result, Keyed[str]):
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
        Not beaten by any other in risk, cost and mass together (usual values), safest first; only what shows less
        risk.
    refused : dict of str to str
        Candidates that the food rule keeps out, and why.

    Examples
    --------
    >>> few = [candidate for candidate in rt.catalogue(van, trip) if "panel" in candidate.name][:2]
    >>> found = rt.upgrades(van, trip, few, trials=50)
    >>> {entry.name for entry in found.all} >= {candidate.name for candidate in few}, found.base.trials
    (True, 50)
    """

    def __init__(
        self,
        base: Risk,
        entries: list[Upgrade],
        draws: dict[tuple[str, ...], tuple[NDArray[np.float64], NDArray[np.float64]]],
        refused: dict[str, str],
        prices: Prices,
    ) -> None:
        self.base, self.refused, self.prices = base, Named("refused", refused), prices
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

    def _names(self) -> list[str]:
        return [entry.name for entry in self.all]

    def __getitem__(self, name: str) -> Upgrade:
        for entry in self.all:
            if entry.name == name:
                return entry
        raise unknown_key("upgrade", name, self)

    @property
    def warnings(self) -> tuple[str, ...]:
        """Those of the van as it is."""
        return self.base.warnings

    @checked_call
    def distinguishable(self, better: Upgrade, other: Upgrade, per: str = "risk") -> bool:
        """Whether one change is shown to do better than another.

        Parameters
        ----------
        better, other : Upgrade
            Of this ranking, such as ``found["panel"]``.
        per : {"risk", "$100"}
            Whether to count the risk removed, or that per money.

        Returns
        -------
        bool
            True where 97.5 % of the joint draws agree.

        Raises
        ------
        InputError
            An Upgrade of another ranking.
        """
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

    @checked_call
    def plot(self, *, size: str = "screen", title: str = "") -> Picture:
        """The change of risk by each upgrade, ranked, with price and mass (needs matplotlib)."""
        from ..report.pictures.rankings import plot_upgrades
        from ..report.plots import checked

        return plot_upgrades(self, *checked(size, title))


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
