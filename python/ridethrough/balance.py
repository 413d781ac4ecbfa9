"""Where a day's energy came from and went, for a median and a bad day of a run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

import ridethrough._core as _core

from .records import is_lithium

SAMPLE = 512  # trials whose days are looked at
BAD_SHARE = 0.05
OFF_H = 0.05  # hours that are told of

_FLOWS = ("solar_w", "dc_dc_w", "mains_w", "fridge_w", "other_loads_w", "wiring_w", "battery_w", "curtailed_w")
_OFF, _COLD = "fridge_off", "curtailed_cold"


@dataclass(frozen=True)
class DayBalance:
    """Energies of one day of one trial [Wh]: 24 h, the first from the trip's start.

    solar + dc_dc + mains + battery = fridge + other_loads + cables, where battery is what it gave (negative: took).
    Days on which the fridge was off for a time say little of the need: they are left out, `left_out` of all, unless
    hardly any other is there. Energies are those served.
    """

    title: str
    trial: int
    day: int  # 1 for the first 24 hours
    solar: float
    dc_dc: float
    mains: float
    battery: float
    fridge: float
    other_loads: float
    cables: float
    curtailed: float
    curtailed_cold: float  # of that, while a lithium battery was too cold to take its full current
    fridge_off_h: float
    left_out: float
    charge_before: float
    charge_after: float


def day_balances(risk: Any) -> tuple[DayBalance, DayBalance]:
    """The median day and the 1-in-20 bad day by what the battery had to give, of the run's first trials."""
    trials = list(range(min(SAMPLE, risk.trials)))
    traced = _core.trace(risk.compiled, trials, risk.seed, risk.precision, [*_FLOWS, _OFF, "charge", "battery_c"])
    traced[_COLD] = np.where(traced["battery_c"] < _takes_all_c(risk.van.battery), traced["curtailed_w"], 0)
    daily = {name: traced[name].reshape(-1, 24).sum(axis=1) for name in (*_FLOWS, _OFF, _COLD)}
    order = np.lexsort((daily["battery_w"], daily[_OFF]))
    whole = order[daily[_OFF][order] < OFF_H]
    left_out = 1 - len(whole) / len(order) if len(whole) >= BAD_SHARE * len(order) else 0.0
    order = whole if left_out else order
    picks = {"median day": order[len(order) // 2], "bad day (1 in 20)": order[int(len(order) * (1 - BAD_SHARE))]}
    charge = traced["charge"]

    def balance(title: str, row: int) -> DayBalance:
        trial, day = divmod(int(row), risk.nights)
        before = charge[trial, 24 * day - 1] if day else _start_charge(risk, traced["drawn"][trial])
        flow = {name: float(values[row]) for name, values in daily.items()}
        return DayBalance(
            title=title,
            trial=trial,
            day=day + 1,
            solar=flow["solar_w"],
            dc_dc=flow["dc_dc_w"],
            mains=flow["mains_w"],
            battery=flow["battery_w"],
            fridge=flow["fridge_w"],
            other_loads=flow["other_loads_w"],
            cables=flow["wiring_w"],
            curtailed=flow["curtailed_w"],
            curtailed_cold=flow[_COLD],
            fridge_off_h=flow[_OFF],
            left_out=left_out,
            charge_before=float(before),
            charge_after=float(charge[trial, 24 * day + 23]),
        )

    median, bad = (balance(title, int(row)) for title, row in picks.items())
    return median, bad


def _takes_all_c(battery: Any) -> float:
    return float(battery.charge_full_c) if is_lithium(battery) else -np.inf


def _start_charge(risk: Any, drawn: Any) -> float:
    return float(drawn[risk.compiled.slot_paths.index("battery.start_charge")])
