"""Rates of the engine on the six standard scenarios, with the probability each run found beside its rate.

    .venv/bin/python tests/bench/engine.py [--trials N] [--rounds N] [--levels ...] [--json]

Million trial-hours per CPU second on one thread, best of the rounds; rounds go through all levels in turn, so that a
busy machine is fair to each. Read the ratios: rates are those of the machine at hand.
"""

from __future__ import annotations

import argparse
import json
import time
import warnings
from pathlib import Path
from typing import Any

import ridethrough as rt
import ridethrough._checks as _checks
from ridethrough import _core
from ridethrough.files.scenario import load_scenario
from ridethrough.model import clocks

SCENARIOS = Path(__file__).parents[1] / "data" / "scenarios"


def timed(compiled: Any, trials: int, level: str, precision: str) -> tuple[float, Any]:
    begun = time.process_time()
    run = _core.simulate(compiled, trials, 1, threads=1, precision=precision, instruction_set=level)
    return time.process_time() - begun, _core.wilson(int((run["columns"]["cutout_cause"] > 0).sum()), trials)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trials", type=int, default=10_000)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--levels", nargs="+", default=_checks.instruction_sets())
    parser.add_argument("--precisions", nargs="+", default=["double", "single"])
    parser.add_argument("--scenarios", nargs="+", default=sorted(p.stem for p in SCENARIOS.glob("*.toml")))
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    found: dict[str, dict[str, Any]] = {}
    for name in options.scenarios:
        scenario = load_scenario(SCENARIOS / f"{name}.toml")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            compiled = clocks.compile_with_clock(scenario.van, scenario.trip)
        best: dict[str, float] = {}
        risks: dict[str, Any] = {}
        for _ in range(options.rounds):
            for level in options.levels:
                for precision in options.precisions:
                    key = f"{level} {precision}"
                    seconds, risks[key] = timed(compiled, options.trials, level, precision)
                    best[key] = min(best.get(key, seconds), seconds)
        work = options.trials * compiled.hours / 1e6
        found[name] = {
            key: {
                "rate": work / best[key],
                **{at: getattr(risks[key], at) for at in ("value", "low", "high", "trials")},
            }
            for key in best
        }
        if not options.json:
            first = next(iter(best.values()))
            for key, seconds in best.items():
                p = risks[key]
                print(
                    f"{name:<12} {key:<18} {work / seconds:7.3f} M trial-hours/s, x {first / seconds:5.2f}, "
                    f"P = {p.value:.4f} ({p.low:.4f} to {p.high:.4f}, {p.trials:,} trials)"
                )
    if options.json:
        print(json.dumps({"level": rt._core.instruction_set(), "trials": options.trials, "scenarios": found}, indent=1))


if __name__ == "__main__":
    main()
