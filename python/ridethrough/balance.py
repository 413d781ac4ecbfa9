"""Where a day's energy came from and went, for a median and a bad day of a run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

import ridethrough._core as _core

SAMPLE = 512  # trials whose days are looked at
BAD_SHARE = 0.05

_FLOWS = ("solar_w", "dc_dc_w", "mains_w", "fridge_w", "other_loads_w", "wiring_w", "battery_w", "curtailed_w")
_OFF = "fridge_off"


@dataclass(frozen=True)
class DayBalance:
    """Energies of one day of one trial [Wh], counted from the trip's hour of start to the same hour next day.

    solar + dc_dc + mains + battery = fridge + other_loads + cables, where battery is what it gave (negative: took).
    These are energies served: in the hours for which the fridge is switched off less is taken than was wanted.
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
    fridge_off_h: float
    charge_before: float
    charge_after: float


def day_balances(risk: Any) -> tuple[DayBalance, DayBalance]:
    """The median day and the 1-in-20 bad day by what the battery had to give, of the run's first trials."""
    trials = list(range(min(SAMPLE, risk.trials)))
    traced = _core.trace(risk.compiled, trials, risk.seed, risk.precision, [*_FLOWS, _OFF, "charge"])
    daily = {name: traced[name].reshape(-1, 24).sum(axis=1) for name in (*_FLOWS, _OFF)}
    order = np.argsort(daily["battery_w"], kind="stable")
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
            fridge_off_h=flow[_OFF],
            charge_before=float(before),
            charge_after=float(charge[trial, 24 * day + 23]),
        )

    median, bad = (balance(title, int(row)) for title, row in picks.items())
    return median, bad


def _start_charge(risk: Any, drawn: Any) -> float:
    return float(drawn[risk.compiled.slot_paths.index("battery.start_charge")])
