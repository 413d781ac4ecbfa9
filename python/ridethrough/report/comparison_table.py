"""The table at the head of a comparison: a row an option."""

from __future__ import annotations

import ridethrough._core as _core

from ..engine.risk import LEVELS, Risk
from ..money.prices import AmountRange
from ..studies.comparison_result import Comparison
from .layout import WIDE
from .sentences import percent

_GAP = "  "


def comparison_table(comparison: Comparison) -> tuple[list[str], str]:
    """Chance of a cut-out, its change, nights, cost and mass, in rows of a screen's width; and a note on them."""
    trials = next(iter(comparison.risks.values())).trials
    head = (f"of {trials:,} trips", "cut-out", "change, points", "nights", comparison.prices.currency, "kg")
    rows: list[tuple[str, ...]] = [head]
    for trip in comparison.trips:
        for van in (comparison.base_name, *comparison.cost):
            name = f"{van}, {trip}" if len(comparison.trips) > 1 else van
            rows.append((name, *_cells(comparison, van, trip)))
    return _in_columns(rows), _note(comparison)


def _cells(comparison: Comparison, van: str, trip: str) -> tuple[str, ...]:
    risk = comparison.risks[van, trip]
    chance = (_chance(risk.cutout), _change(comparison, van, trip), _nights(risk))
    if van == comparison.base_name or trip != comparison.trips[0]:
        return (*chance, "", "")
    return (*chance, _amount(comparison.cost[van], 0), _amount(comparison.mass_kg[van], 1).partition(" (")[0])


def _chance(estimate: _core.Estimate) -> str:
    if not estimate.events:
        return f"0 % (to {100 * estimate.high:.2g})"
    value, _, interval = _core.estimate_text(estimate).partition("; sampling error alone ")
    return f"{value} ({interval.partition(' %')[0]})"


def _change(comparison: Comparison, van: str, trip: str) -> str:
    if van == comparison.base_name:
        return ""
    gap = comparison.differences[van, trip]["risk"].difference
    assert gap is not None
    low, value, high = (f"{100 * v:+.1f}" for v in (gap.low, gap.value, gap.high))
    return f"{value} ({low} to {high})"


def _nights(risk: Risk) -> str:
    return f"{risk.nights_at(LEVELS[0], model_error=True)} of {risk.nights}"


def _amount(of: AmountRange, digits: int) -> str:
    """With its range; nothing where it is the same."""
    if max(abs(of.low), abs(of.high)) < 0.05:
        return ""
    low, value, high = (f"{v:,.{digits}f}" for v in (of.low, of.value, of.high))
    between = " to " if of.low < 0 else "-"
    return f"{'+' * (of.value >= 0)}{value} ({low}{between}{high})"


def _note(comparison: Comparison) -> str:
    risk, year = percent(LEVELS[0]), comparison.prices.year
    text = f"In brackets 95 % intervals, by sampling; nights at a risk of {risk}, the model's error counted."
    bundles = [name for name in comparison.cost if name in comparison.bundles]
    if any(_priced(comparison, name) for name in comparison.cost if name not in bundles):
        text += f" Cost and mass: the parts that differ, both vans bought new at prices of {year}, nothing sold."
    if any(_priced(comparison, name) for name in bundles):
        text += f" {' and '.join(bundles)}: all that has to be bought and fitted, at prices of {year}."
    return text


def _priced(comparison: Comparison, name: str) -> bool:
    return bool(_amount(comparison.cost[name], 0) or _amount(comparison.mass_kg[name], 1))


def _in_columns(rows: list[tuple[str, ...]]) -> list[str]:
    """The rows, names on lines of their own where there is no room beside the cells."""
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    beside = sum(widths) + len(_GAP) * (len(widths) - 1) <= WIDE
    lines = []
    for name, *cells in rows:
        text = _GAP.join(f"{cell:<{width}}" for cell, width in zip(cells, widths[1:], strict=True)).rstrip()
        lines += [f"{name:<{widths[0]}}{_GAP}{text}".rstrip()] if beside else [name, f"{_GAP}{text}"]
    return lines
