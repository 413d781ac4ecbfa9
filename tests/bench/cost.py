"""The cost law: seconds = a + b x trial-hours, with a for a new van and b the kernel's; then what the season does to b,
what hourly time series cost, and how long an owner waits who moves a slider. Trips of the law have their middle on one
day, so that short and long ones have the same season: an hour in which the Sun charges costs more than one without.

    .venv/bin/python tests/bench/cost.py [--rounds N] [--largest TRIALS] [--json]

CPU seconds on one thread, best of the rounds, sizes in turn; the slider and the paths through `simulate`, as a user has
them. RIDETHROUGH_INSTRUCTION_SET chooses the level. Read the ratios.
"""

from __future__ import annotations

import argparse
import json
import os
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import ridethrough as rt
from ridethrough import _core
from ridethrough.model import clocks

SCENARIO = Path(__file__).parents[1] / "data" / "scenarios" / "agm_winter.toml"
NIGHTS = (1, 5, 30, 90)
MIDDLE, SEASONS = date(2027, 3, 1), (date(2027, 1, 1), date(2027, 3, 1), date(2027, 5, 1), date(2027, 7, 1))
SLIDER_TRIALS, PATH_TRIALS = 1_000, 8_192


def best_of(rounds: int, runs: dict[Any, Callable[[], object]]) -> dict[Any, float]:
    """CPU seconds; each round goes through all."""
    best = dict.fromkeys(runs, np.inf)
    for _ in range(rounds):
        for name, run in runs.items():
            begun = time.process_time()
            run()
            best[name] = min(best[name], time.process_time() - begun)
    return best


def about(trip: Any, middle: date, nights: int) -> Any:
    return trip.replace(start=f"{middle - timedelta(days=nights // 2)} 16:00", nights=nights)


def seasons(van: Any, trip: Any, rounds: int, precision: str) -> dict[str, float]:
    """Cost of a trial-hour over that of the first."""

    def once(day: date) -> Callable[[], object]:
        compiled = clocks.compile_with_clock(van, about(trip, day, 5))
        return lambda: _core.simulate(compiled, 10_000, 1, threads=1, precision=precision)

    seconds = best_of(rounds, {day: once(day) for day in SEASONS})
    return {f"{day:%b}": seconds[day] / seconds[SEASONS[0]] for day in SEASONS}


def law(van: Any, trip: Any, rounds: int, largest: int, precision: str) -> dict[str, Any]:
    sizes = [(nights, trials) for nights in NIGHTS for trials in (64, 1_000, 10_000, 100_000, 1_000_000, 10_000_000)]
    sizes = [(n, t) for n, t in sizes if n * t <= largest * 5]

    def once(nights: int, trials: int) -> Callable[[], object]:
        around = about(trip, MIDDLE, nights)

        def run() -> None:
            compiled = clocks.compile_with_clock(van, around)
            for first in range(0, trials, 65_536):  # the parts of `simulate`
                _core.simulate(
                    compiled, min(65_536, trials - first), 1, first_trial=first, threads=1, precision=precision
                )

        return run

    seconds = best_of(rounds, {size: once(*size) for size in sizes})
    hours = {size: 24 * size[0] * size[1] for size in sizes}
    # Relative errors count alike.
    rows = np.array([[1 / seconds[s], hours[s] / seconds[s]] for s in sizes])
    (a, b), *_ = np.linalg.lstsq(rows, np.ones(len(sizes)), rcond=None)
    each = {s: (seconds[s] - a) / hours[s] for s in sizes if s[1] >= 10_000}
    return {
        "a_ms": 1e3 * a,
        "b_ns": 1e9 * b,
        "b_over_mean": {f"{n} nights, {t:,} trials": v / b for (n, t), v in each.items()},
        "b_spread": (max(each.values()) - min(each.values())) / (2 * b),  # to either side
    }


def measure(rounds: int, largest: int) -> dict[str, Any]:
    scenario = rt.load_scenario(SCENARIO)
    van, trip = scenario.van, scenario.trip
    found: dict[str, Any] = {p: law(van, trip, rounds, largest, p) for p in ("double", "single")}
    found["seasons"] = {p: seasons(van, trip, rounds, p) for p in ("double", "single")}
    capacity = iter(range(100, 10_000))

    def slide() -> None:
        """Another van each time: nothing of the last one is left to use."""
        other = van.replace(battery=van.battery.replace(capacity_ah=100 + next(capacity) / 100))
        rt.simulate(other, trip, trials=SLIDER_TRIALS, threads=1)

    def run(**options: Any) -> Callable[[], object]:
        return lambda: rt.simulate(van, trip, trials=PATH_TRIALS, threads=1, **options)

    times = best_of(
        5 * rounds,
        {
            "slider": slide,
            "without": run(),
            "soc": run(time_series=["soc"]),
            "charge, fridge_c, terminal_v": run(time_series=["soc", "fridge_c", "terminal_v"]),
            "all": run(time_series=True),
        },
    )
    found["slider_ms"] = 1e3 * times.pop("slider")
    found["paths_over_none"] = {name: seconds / times["without"] for name, seconds in times.items()}
    found["level"] = _core.instruction_set()
    found["load_average"] = os.getloadavg()[0]
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument(
        "--largest", type=int, default=100_000, help="trials of 5 nights that the largest run amounts to"
    )
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    found = measure(options.rounds, options.largest)
    if options.json:
        print(json.dumps(found, indent=1))
        return
    for precision in ("double", "single"):
        one = found[precision]
        print(
            f"{precision}: {one['a_ms']:.2f} ms + {one['b_ns']:.0f} ns a trial-hour; "
            f"b within {100 * one['b_spread']:.0f} % either way"
        )
        print("  " + "; ".join(f"{name}: {ratio:.2f} b" for name, ratio in one["b_over_mean"].items()))
    for precision, by in found["seasons"].items():
        printed = ", ".join(f"{month} {ratio:.2f}" for month, ratio in by.items())
        print(f"a trial-hour of 5 nights by season, {precision}: {printed}")
    print(f"{SLIDER_TRIALS:,} trials of 5 nights of a new van: {found['slider_ms']:.0f} ms on one thread")
    print("paths, over a run without: " + "; ".join(f"{k}: {v:.2f}" for k, v in found["paths_over_none"].items()))
    print(f"level {found['level']}; load average of the machine: {found['load_average']:.1f}")


if __name__ == "__main__":
    main()
