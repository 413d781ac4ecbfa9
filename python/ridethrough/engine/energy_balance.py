"""Energy balances of days: where the energy came from and went, on middling days and on hard ones.

Days are ordered by what is left for the battery to give: fridge, other loads and cables less all that the day could
charge, the sun curtailed included. A single day of that order may be hard for any reason (a sunny one with everything
switched on); so each column is the mean of a tenth of the days.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model.attribute_names import ToldNames
from ..model.classes import LithiumBattery, Van
from ..model.van_parts import in_common

if TYPE_CHECKING:
    from .risk import Risk


SAMPLE = 512  # trials whose days are looked at
GROUP = 0.1
OFF_H = 0.05  # hours with the fridge off; less is not reported

_FLOWS = ("solar_w", "dc_dc_w", "mains_w", "fridge_w", "other_loads_w", "wiring_w", "battery_w", "curtailed_w")
_OFF, _COLD = "fridge_off", "curtailed_cold"


@dataclass(frozen=True)
class DayBalance(ToldNames):
    """Mean energies of some days, 24 h each, the first from the trip's start.

    solar_wh + dc_dc_wh + mains_wh + battery_wh = fridge_wh + other_loads_wh + cables_wh. Days on which the fridge
    was
    off for a time say little of the need: they are left out, unless hardly any other is there. Energies are those
    served.

    Attributes
    ----------
    title : str
        What days these are.
    days : int
        How many.
    solar_wh, dc_dc_wh, mains_wh : float
        From the sun, from driving, from shore power or a generator [Wh].
    battery_wh : float
        What it gave [Wh]; negative: what it took.
    fridge_wh, other_loads_wh, cables_wh : float
        What these took [Wh].
    curtailed_wh, curtailed_cold_wh : float
        Sun that found no room, and the part of it that a cold battery refused [Wh].
    fridge_off_h : float
        Time with the fridge off [h].
    left_out : float
        Share of all days that were left out.
    soc_before, soc_after : float
        State of charge at the day's ends [share of full].

    Examples
    --------
    >>> middling, hard = rt.simulate(van, trip, trials=50, seed=1).day_balances
    >>> middling.title, hard.title, middling.sun_wh > hard.sun_wh
    ('middling days', 'hard days', True)
    """

    title: str
    days: int  # how many the mean is of
    solar_wh: float
    dc_dc_wh: float
    mains_wh: float
    battery_wh: float
    fridge_wh: float
    other_loads_wh: float
    cables_wh: float
    curtailed_wh: float
    curtailed_cold_wh: float  # of that, while a lithium battery was too cold to take its full current
    fridge_off_h: float
    left_out: float
    soc_before: float
    soc_after: float

    @property
    def sun_wh(self) -> float:
        """What the panels could have given [Wh]."""
        return self.solar_wh + self.curtailed_wh

    @property
    def drawn_wh(self) -> float:
        """What fridge, other loads and cables took [Wh]."""
        return self.fridge_wh + self.other_loads_wh + self.cables_wh


def day_balances(risk: Risk) -> tuple[DayBalance, DayBalance]:
    """The middle and the hardest tenth of the days of the run's first trials."""
    trials = list(range(min(SAMPLE, risk.trials)))
    traced = _core.trace(risk.compiled, trials, risk.seed, risk.precision, [*_FLOWS, _OFF, "soc", "battery_c"])
    traced[_COLD] = np.where(traced["battery_c"] < _takes_all_c(risk.van), traced["curtailed_w"], 0)
    daily = {name: traced[name].reshape(-1, 24).sum(axis=1) for name in (*_FLOWS, _OFF, _COLD)}
    need = daily["battery_w"] - daily["curtailed_w"]
    order = np.lexsort((need, daily[_OFF]))
    whole = order[daily[_OFF][order] < OFF_H]
    left_out = 1 - len(whole) / len(order) if len(whole) >= GROUP * len(order) else 0.0
    order = whole if left_out else order
    charge = traced["soc"].reshape(len(trials), risk.nights, 24)[:, :, -1]
    start = traced["drawn"][:, risk.compiled.parameter_paths.index(f"{risk.van.paths_of('batteries')[0]}.initial_soc")]
    before = np.column_stack([start, charge[:, :-1]]).ravel()

    def balance(title: str, rows: NDArray[np.int64]) -> DayBalance:
        flow = {name: float(values[rows].mean()) for name, values in daily.items()}
        return DayBalance(
            title=title,
            days=len(rows),
            solar_wh=flow["solar_w"],
            dc_dc_wh=flow["dc_dc_w"],
            mains_wh=flow["mains_w"],
            battery_wh=flow["battery_w"],
            fridge_wh=flow["fridge_w"],
            other_loads_wh=flow["other_loads_w"],
            cables_wh=flow["wiring_w"],
            curtailed_wh=flow["curtailed_w"],
            curtailed_cold_wh=flow[_COLD],
            fridge_off_h=flow[_OFF],
            left_out=left_out,
            soc_before=float(before[rows].mean()),
            soc_after=float(charge.ravel()[rows].mean()),
        )

    size = max(1, round(GROUP * len(order)))
    middle = (len(order) - size) // 2
    return balance("middling days", order[middle : middle + size]), balance("hard days", order[-size:])


def _takes_all_c(van: Van) -> float:
    battery = in_common(van)
    return float(battery.charge_full_c) if isinstance(battery, LithiumBattery) else -np.inf
