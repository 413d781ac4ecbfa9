"""What single precision changes: the same trials in both, on the six standard scenarios.

    .venv/bin/python tests/long/precision_study.py [trials, default 1,000,000]

Both kernels get the same draws, so every difference is rounding. A flip is a trial that cuts out in one and not in the
other; *net* is single's cut-outs less double's. Bar: net flips below 1e-4 of the trials, on each scenario.
"""

from __future__ import annotations

import sys
import warnings
from pathlib import Path

import numpy as np
from ridethrough import _core
from ridethrough.files.scenario import load_scenario
from ridethrough.model import clocks

SCENARIOS = Path(__file__).parents[1] / "data" / "scenarios"
BAR = 1e-4
BLOCK = 50_000


def main(trials: int) -> int:
    worst = 0.0
    print(f"level {_core.instruction_set()}, {trials:,} trials each")
    print("| scenario | P double | P single | single only | double only | net / trials | same hour of first cut-out |")
    print("|---|---|---|---|---|---|---|")
    for path in sorted(SCENARIOS.glob("*.toml")):
        scenario = load_scenario(path)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            compiled = clocks.compile_with_clock(scenario.van, scenario.trip)
        cut_double = cut_single = only_single = only_double = same_hour = 0
        for first in range(0, trials, BLOCK):
            count = min(BLOCK, trials - first)
            columns = {}
            for precision in ("double", "single"):
                run = _core.simulate(compiled, count, 1, first_trial=first, precision=precision)
                columns[precision] = run["columns"]
            double, single = (columns[p]["cutout_cause"] > 0 for p in ("double", "single"))
            cut_double += int(double.sum())
            cut_single += int(single.sum())
            only_single += int((single & ~double).sum())
            only_double += int((double & ~single).sum())
            both = double & single
            hours = [columns[p]["first_cutout_h"][both] for p in ("double", "single")]
            same_hour += int((np.abs(hours[0] - hours[1]) < 1).sum())
        net = (only_single - only_double) / trials
        worst = max(worst, abs(net))
        both_cut = cut_double - only_double
        print(
            f"| {path.stem} | {cut_double / trials:.4%} | {cut_single / trials:.4%} | {only_single} | {only_double} "
            f"| {net:+.1e} | {same_hour / both_cut:.3%} |",
            flush=True,
        )
    print(f"worst net {worst:.1e}, bar {BAR:.0e}: {'held' if worst < BAR else 'MISSED'}")
    return int(worst >= BAR)


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000))
