"""Energy balances of days: where the energy came from and went, on middling days and on hard ones.

Days are ordered by what is left for the battery to give: fridge, other loads and cables less all that the day could
charge, the sun curtailed included. A single day of that order may be hard for any reason (a sunny one with everything
switched on); so each column is the mean of a tenth of the days.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

import ridethrough._core as _core

from ..model.van_parts import is_lithium

if TYPE_CHECKING:
    from .risk import Risk


SAMPLE = 512  # trials whose days are looked at
GROUP = 0.1
OFF_H = 0.05  # hours with the fridge off; less is not reported

_FLOWS = ("solar_w", "dc_dc_w", "mains_w", "fridge_w", "other_loads_w", "wiring_w", "battery_w", "curtailed_w")
_OFF, _COLD = "fridge_off", "curtailed_cold"


@dataclass(frozen=True)
class DayBalance:
    """Mean energies of some days [Wh], 24 h each, the first from the trip's start.

    solar + dc_dc + mains + battery = fridge + other_loads + cables, where battery is what it gave (negative: took).
    Days on which the fridge was off for a time say little of the need: they are left out, `left_out` of all, unless
    hardly any other is there. Energies are those served.
    """

    title: str
    days: int  # how many the mean is of
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

    @property
    def sun(self) -> float:
        """What the panels could have given."""
        return self.solar + self.curtailed

    @property
    def drawn(self) -> float:
        return self.fridge + self.other_loads + self.cables


def day_balances(risk: Risk) -> tuple[DayBalance, DayBalance]:
    """The middle and the hardest tenth of the days of the run's first trials."""
    trials = list(range(min(SAMPLE, risk.trials)))
    traced = _core.trace(risk.compiled, trials, risk.seed, risk.precision, [*_FLOWS, _OFF, "soc", "battery_c"])
    traced[_COLD] = np.where(traced["battery_c"] < _takes_all_c(risk.van.battery), traced["curtailed_w"], 0)
    daily = {name: traced[name].reshape(-1, 24).sum(axis=1) for name in (*_FLOWS, _OFF, _COLD)}
    need = daily["battery_w"] - daily["curtailed_w"]
    order = np.lexsort((need, daily[_OFF]))
    whole = order[daily[_OFF][order] < OFF_H]
    left_out = 1 - len(whole) / len(order) if len(whole) >= GROUP * len(order) else 0.0
    order = whole if left_out else order
    charge = traced["soc"].reshape(len(trials), risk.nights, 24)[:, :, -1]
    start = traced["drawn"][:, risk.compiled.parameter_paths.index("battery.initial_soc")]
    before = np.column_stack([start, charge[:, :-1]]).ravel()

    def balance(title: str, rows: Any) -> DayBalance:
        flow = {name: float(values[rows].mean()) for name, values in daily.items()}
        return DayBalance(
            title=title,
            days=len(rows),
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
            charge_before=float(before[rows].mean()),
            charge_after=float(charge.ravel()[rows].mean()),
        )

    size = max(1, round(GROUP * len(order)))
    middle = (len(order) - size) // 2
    return balance("middling days", order[middle : middle + size]), balance("hard days", order[-size:])


def _takes_all_c(battery: Any) -> float:
    return float(battery.charge_full_c) if is_lithium(battery) else -np.inf
