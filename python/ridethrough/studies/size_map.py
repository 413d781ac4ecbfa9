"""Other panels and batteries tried on the first trials of a risk, with what they cost and weigh."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import ridethrough._core as _core

from ..engine.risk import Risk
from ..engine.run_options import Precision, RunOptions
from ..engine.simulation import run_trip
from ..model import parameter_paths
from ..model.checks import validate_numbers
from ..model.classes import Van
from ..model.errors import bad_input
from ..model.values import mean_value
from ..money.prices import AmountRange, Prices, parts_of, table

MOST_TRIALS = 1_000  # of each size: some two seconds on one processor, and intervals of at most three points
MOST_SIZES = 8  # along each axis
_PANELS_W, _BATTERIES_AH = (0.0, 100.0, 200.0), (0.0, 50.0, 100.0, 150.0)  # added to what the van has


@dataclass(frozen=True)
class SizeCell:
    """One pair of panel and battery.

    Attributes
    ----------
    panel_w, battery_ah : float
        The pair.
    risk : Estimate
        Chance of a cut-out with it.
    cost, mass_kg : AmountRange
        Beyond the van as it is.
    present : bool
        Whether the van has this pair.
    """

    panel_w: float
    battery_ah: float
    risk: _core.Estimate
    cost: AmountRange
    mass_kg: AmountRange
    present: bool


@dataclass(frozen=True)
class SizeMap:
    """Pairs by rising battery, then by rising panel, and the table that the prices are of."""

    cells: tuple[SizeCell, ...]
    panels_w: tuple[float, ...]
    batteries_ah: tuple[float, ...]
    prices: Prices


def map_sizes(
    risk: Risk,
    panels_w: Sequence[float] | None = None,
    batteries_ah: Sequence[float] | None = None,
    *,
    prices: Prices | str | None = None,
    threads: int = 0,
) -> SizeMap:
    """Play the first trials of a risk with each pair."""
    van, trip = risk.van, risk.trip
    if not van.arrays:
        raise bad_input("van.solar", None, reason="there is no array to size")
    paths = f"{van.paths_of('arrays')[0]}.rated_w", f"{van.paths_of('batteries')[0]}.capacity_ah"
    panels, batteries = (
        _sizes(name, given, mean_value(van.get(path)), added)
        for name, given, path, added in (
            ("panels_w", panels_w, paths[0], _PANELS_W),
            ("batteries_ah", batteries_ah, paths[1], _BATTERIES_AH),
        )
    )
    options = RunOptions(
        trials=min(MOST_TRIALS, risk.trials), seed=risk.seed, precision=cast(Precision, risk.precision), threads=threads
    )
    priced, now = table(prices), tuple(float(mean_value(van.get(path))) for path in paths)
    pairs = [(watts, ah) for ah in batteries for watts in panels]
    vans = [parameter_paths.replace_values(van, trip, dict(zip(paths, pair, strict=True)))[0] for pair in pairs]
    cells = []
    for pair, changed in zip(pairs, vans, strict=True):
        found = run_trip(van if pair == now else changed, trip, options, clock=risk.clock)
        cost, mass = (_beyond(priced, van, changed, what) for what in ("price", "mass_kg"))
        cells.append(SizeCell(*pair, found.cutout, cost, mass, present=pair == now))
    return SizeMap(tuple(cells), panels, batteries, priced)


def _beyond(priced: Prices, van: Van, changed: Van, what: str) -> AmountRange:
    return AmountRange.of(priced.total(parts_of(changed), what) - priced.total(parts_of(van), what))


def _sizes(name: str, given: Sequence[float] | None, present: float, added: tuple[float, ...]) -> tuple[float, ...]:
    if given is None:
        return tuple(round(present + more, 6) for more in added)
    sizes = tuple(sorted({float(one) for one in validate_numbers(name, given, "a list of sizes, at least one")}))
    if len(sizes) > MOST_SIZES:
        raise bad_input(name, given, reason=f"{len(sizes)} sizes", allowed=f"at most {MOST_SIZES}")
    return sizes
