"""Rare events: unbiased against a long plain run at about 1e-2, 1e-3 and 1e-4, and what it gains; then Sobol' means.

    .venv/bin/python tests/long/rare.py [--first-seed N]     about 15 minutes of processor time

For each level: the plain probability with its standard error, the mean of 12 importance-sampling runs with theirs, the
difference in standard errors, the spread between runs over the error they report (1 where that is honest), the gain:
plain trials that would give the same interval, per trial spent, the pilot included; and the gain for the same work, by
CPU seconds.
"""

from __future__ import annotations

import argparse
import math
import time
from pathlib import Path

import numpy as np
import ridethrough as rt

SCENARIO = rt.load_scenario(Path(__file__).parents[1] / "data" / "scenarios" / "agm_winter.toml")
RUNS, TRIALS = 12, 40_000


def error_of(estimate: rt.stats.Estimate) -> float:
    return float(estimate.high - estimate.low) / (2 * 1.959963984540054)


def weighted(van: rt.Van, seed: int) -> rt.RareRisk:
    """A run that is refused is run again with more trials, as it asks for: its own trials are the first of them, so
    that what made it refuse still counts."""
    trials = TRIALS
    while True:
        try:
            return rt.rare_risk(van, SCENARIO.trip, trials=trials, seed=seed, precision="single")
        except rt.DegenerateWeights as refused:
            print(f"seed {seed}, {trials:,} trials: {refused}", flush=True)
            trials *= 4


def level(capacity_ah: float, plain_trials: int, seed0: int) -> None:
    van = SCENARIO.van.replace(battery=SCENARIO.van.battery.replace(capacity_ah=capacity_ah))
    start = time.process_time()
    once = dict(trials=plain_trials, seed=seed0 + RUNS, precision="single", keep="summary")
    plain = rt.simulate(van, SCENARIO.trip, **once).cutout
    plain_s = (time.process_time() - start) / plain_trials
    start = time.process_time()
    seeds = range(seed0, seed0 + RUNS)
    rare = [weighted(van, seed) for seed in seeds]
    rare_s = (time.process_time() - start) / sum(r.cutout.trials + r.pilot_trials for r in rare)
    values = np.array([r.cutout.value for r in rare])
    spread, reported = float(values.std(ddof=1)), float(np.mean([error_of(r.cutout) for r in rare]))
    off = (values.mean() - plain.value) / math.hypot(error_of(plain), spread / math.sqrt(RUNS))
    gain = float(np.mean([r.gain for r in rare]))
    print(
        f"{capacity_ah:.0f} Ah: plain {plain.value:.3e} +- {error_of(plain):.1e} ({plain.trials:,} trials); weighted "
        f"{values.mean():.3e} +- {spread / math.sqrt(RUNS):.1e} ({RUNS} runs of {TRIALS:,} trials or more); "
        f"{off:+.1f} standard errors; spread/reported {spread / reported:.2f}; "
        f"gain {gain:.0f} a trial, {gain / (rare_s / plain_s):.0f} for the same work",
        flush=True,
    )
    assert abs(off) < 4.9


def sobol() -> None:
    columns = rt.simulate(SCENARIO.van, SCENARIO.trip, trials=131_072, seed=4).columns
    means = rt.quasi_means(SCENARIO.van, SCENARIO.trip, log2_trials=12, replicates=32, seed=3)
    for name in ("solar_wh", "fridge_wh", "other_loads_wh", "min_soc", "hours_off"):
        plain = float(columns[name].std()) / math.sqrt(131_072)
        print(f"Sobol' {name}: variance {(plain / error_of(means[name])) ** 2:.1f} times smaller at 131,072 trials")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--first-seed", type=int, default=0)
    parser.add_argument("--from-ah", type=float, default=0, help="leave smaller batteries out")
    options = parser.parse_args()
    for capacity_ah, trials in ((315, 1_000_000), (377, 4_000_000), (440, 20_000_000)):
        if capacity_ah >= options.from_ah:
            level(capacity_ah, trials, options.first_seed)
    sobol()
