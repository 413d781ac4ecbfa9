"""Chances of events besides a cut-out: a fridge off for long, warm or frozen food, a cold night, low charge.

Each is a chance of its own, in the risk and in every study, because what lowers the risk of a cut-out (a warmer set
point, a lower cut-out voltage) may raise these.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

Columns = Mapping[str, NDArray[Any]]


@dataclass(frozen=True)
class Chance:
    """An event that a trial's columns show. `description` completes the sentence "the chance that ..."."""

    name: str
    description: str
    happens: Callable[[Columns], NDArray[np.bool_]]
    source: str


def _longer(column: str, hours: float) -> Callable[[Columns], NDArray[np.bool_]]:
    return lambda columns: np.asarray(columns[column] > hours)


FRIDGE_OFF = "fridge_off_over_1h"
_FOOD = "guidance for retail food in Australia and New Zealand (Standard 3.2.2): 2 h and 4 h, added up over all spells"
CHANCES = {
    chance.name: chance
    for chance in (
        Chance(
            FRIDGE_OFF,
            "the fridge is off for more than an hour in a row",
            _longer("longest_off_h", 1.0),
            "own choice: food keeps so long, and a kettle's minutes are no failure",
        ),
        Chance(
            "food_warm_2h",
            "the inside of the fridge is above 5 degC for more than 2 h in a row",
            _longer("longest_warm_spell_h", 2.0),
            _FOOD,
        ),
        Chance(
            "food_warm_4h",
            "the inside of the fridge is above 5 degC for more than 4 h in a row",
            _longer("longest_warm_spell_h", 4.0),
            _FOOD,
        ),
        Chance(
            "food_frozen",
            "the inside of the fridge is below 0 degC for more than an hour",
            _longer("frozen_food_h", 1.0),
            "own choice",
        ),
        Chance(
            "cold_cabin",
            "the cabin is below 10 degC for more than an hour, with people aboard",
            _longer("cold_cabin_h", 1.0),
            "own choice",
        ),
        Chance(
            "cabin_frozen", "the cabin falls below 0 degC", lambda c: np.asarray(c["coldest_cabin_c"] < 0), "physics"
        ),
        Chance(
            "below_half",
            "the battery falls below half of its charge",
            _longer("hours_below_half", 0.0),
            "common practice for lead-acid, no source: it wears faster there",
        ),
    )
}


def happened(name: str, columns: Columns) -> NDArray[np.bool_]:
    """Whether each trial has the event, a cut-out ("risk") or one of the chances."""
    return np.asarray(columns["cutout_cause"] > 0) if name == "risk" else CHANCES[name].happens(columns)


def count_events(columns: Columns) -> dict[str, int]:
    """Trials in which each of them happens."""
    return {name: int(np.count_nonzero(chance.happens(columns))) for name, chance in CHANCES.items()}


def estimate_chances(counts: Mapping[str, int], trials: int) -> dict[str, _core.Estimate]:
    """Estimates of chances from counts of the trials in which they happen."""
    return {name: _core.wilson(counts.get(name, 0), trials) for name in CHANCES}
