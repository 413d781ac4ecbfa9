"""Default step against the 1-minute reference on the six standard scenarios: the table of python/docs/accuracy.md.

    python tests/long/step_study.py [trials]

All steps run the same trials (same seed: the draws don't depend on the step), so the differences are paired. The bar:
probability within 5 % of itself or 0.5 points of the 1-minute one, first cut-out within 2 h.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import ridethrough as rt
from ridethrough.files.scenario import load_scenario

SCENARIOS = Path(__file__).parents[1] / "data" / "scenarios"
STEPS_MIN = (60, 30, 15, 5)


def study(path: Path, trials: int) -> tuple[list[str], bool]:
    scenario = load_scenario(path)
    lines, all_within = [], True

    def run(step_min: int) -> rt.Risk:
        return rt.simulate(scenario.van, scenario.trip.replace(step_min=step_min), trials=trials, seed=scenario.seed)

    reference = run(1)
    cut = reference.columns["cutout_cause"] > 0
    for step in STEPS_MIN:
        risk = run(step)
        here = risk.columns["cutout_cause"] > 0
        gap = rt.stats.paired_difference(here, cut)
        both = here & cut
        late = risk.columns["first_cutout_h"][both] - reference.columns["first_cutout_h"][both]
        points = 100 * gap.value
        within = abs(points) <= max(0.5, 5 * reference.cutout.value) and abs(np.median(late)) <= 2
        all_within &= within or step != 60
        lines.append(
            f"| {path.stem} | {step} | {100 * reference.cutout.value:.2f} % | {100 * risk.cutout.value:.2f} % | "
            f"{points:+.2f} ({100 * gap.low:+.2f} to {100 * gap.high:+.2f}) | "
            f"{points / reference.cutout.value:+.1f} % | "
            f"{np.count_nonzero(here != cut)} | {np.median(late):+.2f} h | {np.quantile(np.abs(late), 0.95):.1f} h |"
        )
    return lines, all_within


def main() -> int:
    trials = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    print(f"{trials:,} trials each; intervals are 95 %, paired.\n")
    print(
        "| scenario | step, min | P at 1 min | P | difference, points | relative | flips | first cut-out, median |"
        " 95 % of \\|shift\\| |"
    )
    print("|---|---|---|---|---|---|---|---|---|")
    good = True
    for path in sorted(SCENARIOS.glob("*.toml")):
        lines, within = study(path, trials)
        print("\n".join(lines), flush=True)
        good &= within
    print("\nThe default step of 60 min is within the bar." if good else "\nTHE DEFAULT STEP OF 60 MIN MISSES THE BAR.")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
