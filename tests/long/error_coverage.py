"""Whether the range with the model's error holds: vans with planted errors, and the figures of vans in general.

    python tests/long/error_coverage.py            # coverage
    python tests/long/error_coverage.py --keep     # and the package's general_errors.toml, from the same vans

400 random vans on trips that some trials fail and some hold; each has a twin whose cabin, panel, fridge, habits,
battery and climate are off by amounts drawn from the table of causes. The range of the first should hold the chance of
the twin, which trials of its own give, in 95 of 100. The weather's part, which cannot be planted, is left out of the
range.
"""

from __future__ import annotations

import argparse
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from itertools import repeat
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

import numpy as np
import pandas as pd
from planted_errors import doubtful_case, plant
from ridethrough.engine import error_causes, model_error, seasons
from scipy.stats import binomtest

HEAD = """\
# What groups of unmeasured causes (error_causes.toml) do to the log odds of a cut-out: root mean squares over the vans
# of tests/long/error_coverage.py, which writes this with --keep. Columns: winter, spring, summer, autumn.
"""
ROWS = Path(__file__).parents[2] / "build" / "error_coverage.csv"  # a row a van, as it goes
GENERAL = Path(__file__).parents[2] / "python" / "ridethrough" / "data" / "general_errors.toml"
BINS = [0, 100, 300, 1000, 3000, np.inf]


def one_van(i: int, trials: int, seed: int) -> dict[str, Any]:
    """Case number i, in a process of its own."""
    rng = np.random.default_rng([seed, i])
    van, trip = doubtful_case(rng, threads=1)
    one = plant(van, trip, rng, trials=trials, seed=1000 + 2 * i, threads=1)
    error = one.risk.model_error
    sizes = dict(error.parts) if one.sized else {}
    return {
        "kind": type(van.batteries[0]).__name__,
        "season": model_error._season(trip.site, int(trip.start[5:7])),
        "nights": trip.nights,
        "risk": one.risk.cutout.value,
        "twin": one.twin,
        "sized": one.sized,
        "rarer": min(error.failures, error.trials - error.failures),
        "held": one.held,
        "below": one.twin < one.low,
        "score": one.score,
        "bend": error.bend,
        "factor": error.odds_factor,
        **{name: sizes.get(group.words, np.nan) for name, group in error_causes.GROUPS.items()},
    }


def play(vans: int, trials: int, seed: int, processes: int) -> pd.DataFrame:
    rows: list[dict[str, Any]] = []
    begun = time.monotonic()
    with ProcessPoolExecutor(processes) as pool:
        for row in pool.map(one_van, range(vans), repeat(trials), repeat(seed)):
            rows.append(row)
            if len(rows) % 20 == 0:
                held = np.mean([r["held"] for r in rows if r["sized"]])
                print(f"{len(rows)} vans, {time.monotonic() - begun:.0f} s, held {held:.3f}", flush=True)
                pd.DataFrame(rows).to_csv(ROWS, index=False)
    return pd.DataFrame(rows)


def told(name: str, rows: pd.DataFrame) -> str:
    if not len(rows):
        return f"{name:28} none"
    found = binomtest(int(rows.held.sum()), len(rows)).proportion_ci()
    spread = float(np.sqrt(np.mean(rows.score.clip(-6, 6) ** 2)))
    held = f"held {100 * rows.held.mean():5.1f} % ({100 * found.low:.1f}-{100 * found.high:.1f})"
    below = f"under the range {100 * rows.below.mean():.1f} %"
    return f"{name:28} {len(rows):4} vans, {held}, {below}, rms {spread:.2f}, factor {rows.factor.median():.1f}"


def general(rows: pd.DataFrame) -> str:
    lines = [HEAD]
    for kind, of in rows[rows.sized].groupby("kind"):
        lines.append(f"\n[{kind}]\n")
        for group in error_causes.GROUPS:
            if group != "normals":
                sizes = [np.sqrt(np.mean(of.loc[of.season == s, group] ** 2)) for s in range(4)]
                lines.append(f"{group} = {[round(float(x), 2) for x in sizes]}\n")
    return "".join(lines)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--vans", type=int, default=400)
    parser.add_argument("--trials", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=2, help="of one thread each")
    parser.add_argument("--played", action="store_true", help="take the vans that build/error_coverage.csv holds")
    parser.add_argument("--keep", action="store_true", help="write the package's table anew")
    arguments = parser.parse_args()
    ROWS.parent.mkdir(exist_ok=True)
    how = (arguments.vans, arguments.trials, arguments.seed, arguments.processes)
    rows = pd.read_csv(ROWS) if arguments.played else play(*how)
    sized = rows[rows.sized]
    print(told("all that could be sized", sized))
    for low, high in zip(BINS, BINS[1:], strict=False):
        print(told(f"rarer outcome {low:g} to {high:g}", sized[(sized.rarer >= low) & (sized.rarer < high)]))
    for season, of in sized.groupby("season"):
        print(told(seasons.SEASONS[season], of))
    print(told("too rare, general figures", rows[~rows.sized]))
    print(general(rows))
    if arguments.keep:
        GENERAL.write_text(general(rows), encoding="utf-8")


if __name__ == "__main__":
    main()
