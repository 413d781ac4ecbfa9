"""Default step against the 1-minute reference on random vans, trips and climates (tests/support/random_vans.py).

    python tests/long/step_random.py [vans] [trials]

Both steps run the same trials, so that the differences are paired. Vans are taken in the order of their numbers; those
whose probability lies outside 2 to 98 % at 1 min are counted but not listed, since no step could move them far. The
bar is that of step_study.py: within 5 % of the probability or 0.5 points, median first cut-out within 2 h. With so few
trials a van counts as beyond the bar only where its paired 95 % interval is.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import ridethrough as rt

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
from random_vans import random_case  # noqa: E402


def main() -> int:
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    trials = int(sys.argv[2]) if len(sys.argv) > 2 else 4000
    print(f"{trials:,} trials each; intervals are 95 %, paired.\n")
    print("| van | battery | nights | P at 1 min | P at 60 min | difference, points | flips | first cut-out, median |")
    print("|---|---|---|---|---|---|---|---|")
    gaps: list[float] = []
    shifts: list[float] = []
    beyond, clear, number = 0, 0, -1
    while len(gaps) < wanted:
        number += 1
        van, trip = random_case(number)
        coarse = rt.simulate(van, trip, trials=trials, seed=number)
        if not 0.01 < coarse.cutout.value < 0.99:
            clear += 1
            continue
        fine = rt.simulate(van, trip.replace(step_min=1), trials=trials, seed=number)
        if not 0.02 <= fine.cutout.value <= 0.98:
            clear += 1
            continue
        here, there = coarse.columns["cutout_cause"] > 0, fine.columns["cutout_cause"] > 0
        gap, both = rt.stats.paired_difference(here, there), here & there
        late = float(np.median(coarse.columns["first_cutout_h"][both] - fine.columns["first_cutout_h"][both]))
        bar = max(0.005, 0.05 * fine.cutout.value)
        out = gap.low > bar or gap.high < -bar or abs(late) > 2
        beyond += out
        gaps.append(100 * gap.value)
        shifts.append(late)
        kind = f"{van.battery.capacity_ah:.0f} Ah {type(van.battery).__name__[:3].upper()}"
        print(
            f"| {number} | {kind} | {trip.nights} | {100 * fine.cutout.value:.2f} % | "
            f"{100 * coarse.cutout.value:.2f} % | {gap.value * 100:+.2f} ({100 * gap.low:+.2f} to "
            f"{100 * gap.high:+.2f}){' BEYOND' if out else ''} | {np.count_nonzero(here != there)} | {late:+.2f} h |",
            flush=True,
        )
    size = np.abs(gaps)
    print(
        f"\n{len(gaps)} vans ({clear} more were as good as certain either way): mean difference {np.mean(gaps):+.2f} "
        f"points, mean size {size.mean():.2f}, nine in ten under {np.quantile(size, 0.9):.2f}, largest "
        f"{size.max():.2f}; median shift of the first cut-out {np.median(shifts):+.2f} h, largest "
        f"{np.abs(shifts).max():.2f} h; beyond the bar: {beyond}."
    )
    return 1 if beyond else 0


if __name__ == "__main__":
    sys.exit(main())
