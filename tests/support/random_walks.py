"""Vans whose charge is a random walk, and the walk's exact answer."""

from __future__ import annotations

from typing import Any

import bench
import numpy as np
import ridethrough as rt
from scipy import stats

CHARGED_H = 9  # 8:00 to 17:00, on a generator; the load runs from 18:00 to 8:00


def nightly(cap_ah: float, charged_ah: float, night_ah: Any, nights: int) -> tuple[rt.Van, rt.Trip]:
    """A battery that holds `cap_ah` above the day's charge, full at the start, ten hours before its first charge."""
    wells = cap_ah + charged_ah
    van = bench.van(
        bench.box_of_charge(wells, wells),
        mains=rt.MainsCharger(current_a=charged_ah / CHARGED_H),
        generator=rt.Generator(rated_w=5000),
        loads=[rt.BreathingMachine(night_ah=night_ah, duration_h=14)],
    )
    runs = rt.GeneratorRun(days=range(2, nights + 2), start_h=8, duration_h=CHARGED_H)
    return van, bench.trip(bench.climate(), nights, generator_runs=[runs], bedtime_h=18)


def chain(cap: int, up: int, down: int, p_up: float, days: int) -> tuple[float, np.ndarray]:
    """Chance of ruin, and the law of the level at the end, of a walk that starts at its cap."""
    law, ruin = np.zeros(cap + 1), 0.0
    law[cap] = 1
    for _ in range(days):
        after = np.zeros(cap + 1)
        for level in range(1, cap + 1):
            after[min(cap, level + up)] += p_up * law[level]
            if level > down:
                after[level - down] += (1 - p_up) * law[level]
            else:
                ruin += (1 - p_up) * law[level]
        law = after
    return ruin, law


LATTICES = [  # cap, up, down, chance of up, days, exact
    (4, 1, 1, 0.6, 7, 0.0888832),
    (4, 1, 1, 0.6, 14, 0.24649231),
    (10, 3, 2, 0.5, 30, 0.46624287),
]


def capped_gaussian(cap: float, mean: float, days: int, lag: float) -> float:
    """Chance of ruin from the cap by quadrature; ruin where (1 + lag) times what is taken exceeds what is there."""
    n, taken_least = 1000, 5.2  # taken_least: what is charged a day, in sd; taken = taken_least - net
    x = (np.arange(n) + 0.5) * cap / n

    def survives(net: Any, level: Any) -> Any:
        return net > taken_least - (level + taken_least) / (1 + lag)

    net = x[:, None] - x[None, :]  # to x from a level below the cap, and from the cap
    between = stats.norm.pdf(net - mean) * survives(net, x[None, :]) * cap / n
    from_cap = stats.norm.pdf(x - cap - mean) * survives(x - cap, cap)
    law, atom = np.zeros(n), 1.0
    for _ in range(days):
        to_cap = (law * stats.norm.sf(cap - x - mean)).sum() * cap / n + atom * stats.norm.sf(-mean)
        law, atom = between @ law + atom * from_cap, float(to_cap)
    return float(1 - law.sum() * cap / n - atom)
