"""The same trip by the core, by the reference model in NumPy and by Numba, one after the other in each round.

    .venv/bin/python tests/bench/peers.py [--trials N] [--rounds N] [--json]     needs numba, SciPy

First all three are held against each other on the same draws. Then each draws with its own natural generator and gives
all that it gives by itself: the loop for Numba does one kind of van and sums 7 quantities, the core any van and 25.
Rates are million trial-hours per CPU second, so that a busy machine is fair to all; `threads_2_over_1` is by the clock
and wants an idle one. The NumPy side is the reference model at its best chunk. It makes a new array for each result;
`numpy_out` tells how much of an operation's time would be left with arrays made beforehand. "Draws replayed" is the
kernel on draws that lie in the cache: the limit. Ratios are medians over the rounds, each by itself; read those. They
are of level x86-64-v3 where there is one; `other_levels` has those of wider ones.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import ridethrough as rt
import ridethrough._checks as _checks
from numpy.random import PCG64, SeedSequence
from ridethrough import _core
from ridethrough.model import clocks

sys.path.insert(0, str(Path(__file__).parents[1]))
import numba  # noqa: E402
import numba_given  # noqa: E402
import numba_trip  # noqa: E402
from reference import draws as reference_draws  # noqa: E402
from reference import given  # noqa: E402
from reference.trip import Trip  # noqa: E402

SCENARIO = Path(__file__).parents[1] / "data" / "scenarios" / "agm_winter.toml"
CHECKED, CLOSE = 64, 1e-9
REPLAYED, REPEATS = 512, 16  # trials whose draws fit into the cache, and how often a round runs them
GOAL_LEVEL = "x86-64-v3"
BOTH = ("double", "single")
RATIOS = (
    "vs_numpy_1_core",
    "vs_numba_same_threads",
    "vs_one_lane",
    "of_replayed_limit",
    "draws_share",
    "threads_2_over_1",
)
CHUNKS = (1024, 2048, 4096)  # of the NumPy side; the best counts


def plain_van() -> tuple[Any, Any]:
    scenario = rt.load_scenario(SCENARIO)
    load = rt.Standby(current_a=rt.spreads.triangular(0.7, 1.1, 1.6))
    changes = {"loads": [load], "dc_dc": None, "snow_and_frost": None, "solar.controller_starts_above_battery_v": 0}
    return scenario.van.replace(**changes, **{"solar.self_consumption_ma": 0}), scenario.trip


class OneStream(reference_draws.Draws):
    """One stream of a purpose for all trials, NumPy's natural way."""

    def _make_draws(self, name: str, count: int) -> Any:
        key = SeedSequence(self.seed, spawn_key=(reference_draws.purpose(name), self.trials[0]))
        return PCG64(key).random_raw(len(self) * count).reshape(len(self), count)


def check(van: Any, trip: Any) -> None:
    """Hour by hour on the same draws; trials that hang on rounding (`near_h`) are left out, at most a tenth."""
    twin = Trip(van, trip, 7, range(CHECKED)).run()
    core = _core.trace(clocks.compile_with_clock(van, trip), list(range(CHECKED)), 7, "double", list(numba_trip.PATHS))
    draws = reference_draws.Draws(7, range(CHECKED), twin.calendar.days)
    tables, rules = numba_given.tables_of(van, trip)
    paths = np.zeros((CHECKED, len(numba_trip.PATHS), rules.hours))
    chance = numba_given.chance_of(draws)
    cutout_cause = numba_trip.run(numba_given.own_of(van, trip, draws), tables, rules, chance, paths)[2]
    sure = ~np.isfinite(twin.state.near_h)
    assert sure.mean() >= 0.9
    for i, name in enumerate(numba_trip.PATHS):
        for other in (core[name], paths[:, i]):
            assert np.abs(twin.time_series[name] - other)[sure].max() < CLOSE, name
    assert (cutout_cause == twin.state.cutout_cause)[sure].all() and (cutout_cause > 0).any()


def peers(van: Any, trip: Any, trials: int) -> dict[str, Callable[[int], tuple[int, int]]]:
    """By name: from a seed to cut-outs and trials."""
    compiled = clocks.compile_with_clock(van, trip)
    tables, rules = numba_given.tables_of(van, trip)

    def core(level: str, precision: str, threads: int) -> Callable[[int], tuple[int, int]]:
        def run(seed: int) -> tuple[int, int]:
            got = _core.simulate(compiled, trials, seed, threads=threads, precision=precision, instruction_set=level)
            return int((got["columns"]["cutout_cause"] > 0).sum()), trials

        return run

    def by_numba(threads: int) -> Callable[[int], tuple[int, int]]:
        def run(seed: int) -> tuple[int, int]:
            numba.set_num_threads(threads)
            own = numba_given.own_of(van, trip, OneStream(seed, range(trials), compiled.days))
            cutout_cause = numba_trip.run(own, tables, rules, numba_given.NO_CHANCE, numba_trip.NO_PATHS)[2]
            return int((cutout_cause > 0).sum()), trials

        return run

    def by_numpy(chunk: int) -> Callable[[int], tuple[int, int]]:
        def run(seed: int) -> tuple[int, int]:
            return int((Trip(van, trip, seed, range(chunk)).run().state.cutout_cause > 0).sum()), chunk

        return run

    found = {f"NumPy, chunks of {chunk}": by_numpy(chunk) for chunk in CHUNKS}
    found |= {f"Numba, {t} thread(s)": by_numba(t) for t in (1, 2)}
    for level in _checks.instruction_sets():
        for precision in BOTH:
            found |= {f"{level} {precision}, {t} thread(s)": core(level, precision, t) for t in (1, 2)}
            found |= halves(compiled, level, precision)
    return found


def halves(compiled: Any, level: str, precision: str) -> dict[str, Callable[[int], tuple[int, int]]]:
    """The core's draws alone, and its kernel on draws that lie in the cache: one set for all rounds."""
    packs = _checks.Packs(compiled, REPLAYED, 0, precision=precision, instruction_set=level)
    packs.draw()

    def draw(seed: int) -> tuple[int, int]:
        for _ in range(REPEATS):
            packs.draw()
        return 0, REPEATS * REPLAYED

    def kernel(seed: int) -> tuple[int, int]:
        cutouts = [packs.run_drawn() for _ in range(REPEATS)]
        return sum(cutouts), REPEATS * REPLAYED

    return {f"{level} {precision}, draws alone": draw, f"{level} {precision}, draws replayed": kernel}


def numpy_out(chunk: int, rounds: int = 9, repeats: int = 300) -> dict[str, float]:
    """What is left of an operation's time when its result goes into an array made beforehand."""
    rng = np.random.default_rng(0)
    a, b, kept = rng.random(chunk), rng.random(chunk), np.empty(chunk)
    where = a < b

    def copied() -> None:
        np.copyto(kept, b)
        np.copyto(kept, a, where=where)

    pairs: dict[str, tuple[Callable[[], object], Callable[[], object]]] = {
        "add": (lambda: np.add(a, b), lambda: np.add(a, b, out=kept)),
        "divide": (lambda: np.divide(a, b), lambda: np.divide(a, b, out=kept)),
        "exp": (lambda: np.exp(a), lambda: np.exp(a, out=kept)),
        "where": (lambda: np.where(where, a, b), copied),
    }
    found = {}
    for name, pair in pairs.items():
        ratios = []
        for _ in range(rounds):
            seconds = []
            for operation in pair:
                begun = time.process_time()
                for _ in range(repeats):
                    operation()
                seconds.append(time.process_time() - begun)
            ratios.append(seconds[1] / seconds[0])
        found[name] = statistics.median(ratios)
    return found


def measure(trials: int, rounds: int) -> dict[str, Any]:
    van, trip = plain_van()
    check(van, trip)
    compiled = clocks.compile_with_clock(van, trip)
    given.Draws = OneStream  # type: ignore[misc]
    runs = peers(van, trip, trials)
    cpu: dict[str, list[float]] = {name: [] for name in runs}  # s per trial
    clock: dict[str, list[float]] = {name: [] for name in runs}
    counts = {name: [0, 0] for name in runs}
    for seed in range(rounds):
        for name, run in runs.items():
            wall, begun = time.perf_counter(), time.process_time()
            hits, n = run(seed)
            cpu[name].append((time.process_time() - begun) / n)
            clock[name].append((time.perf_counter() - wall) / n)
            if "draws" in name:  # the same trials over and over, or no outcome
                counts[name] = [hits // REPEATS, REPLAYED if hits else 0]
            else:
                counts[name] = [counts[name][0] + hits, counts[name][1] + n]
    best = {name: min(times) for name, times in cpu.items()}
    chunk = min(CHUNKS, key=lambda chunk: best[f"NumPy, chunks of {chunk}"])

    def ratio(a: str, b: str, times: dict[str, list[float]] = cpu) -> float:
        """Median over the rounds, each by itself: what slows the machine for a while slows both."""
        return statistics.median(x / y for x, y in zip(times[a], times[b], strict=True))

    def ratios(level: str) -> dict[str, Any]:
        core = {(p, t): f"{level} {p}, {t} thread(s)" for p in BOTH for t in (1, 2)}
        return {
            "vs_numpy_1_core": {p: ratio(f"NumPy, chunks of {chunk}", core[p, 1]) for p in BOTH},
            "vs_numba_same_threads": {p: {t: ratio(f"Numba, {t} thread(s)", core[p, t]) for t in (1, 2)} for p in BOTH},
            "vs_one_lane": {p: ratio("reference double, 1 thread(s)", core[p, 1]) for p in BOTH},
            "of_replayed_limit": {p: ratio(f"{level} {p}, draws replayed", core[p, 1]) for p in BOTH},
            "draws_share": {p: ratio(f"{level} {p}, draws alone", core[p, 1]) for p in BOTH},
            "threads_2_over_1": {p: ratio(core[p, 1], core[p, 2], clock) for p in BOTH},
        }

    columns = _core.simulate(compiled, trials, 0)["columns"]
    level = GOAL_LEVEL if GOAL_LEVEL in _checks.instruction_sets() else _checks.instruction_sets()[-1]
    wider = _checks.instruction_sets()[_checks.instruction_sets().index(level) + 1 :]
    return {
        "level": level,
        "load_average": os.getloadavg()[0],
        "rounds": rounds,
        **ratios(level),
        "other_levels": {other: ratios(other) for other in wider},
        "bytes_per_trial": sum(c.nbytes for c in columns.values()) / trials,
        "numpy_out": numpy_out(chunk),
        "rates": {name: compiled.hours / 1e6 / seconds for name, seconds in best.items()},
        "median_rates": {name: compiled.hours / 1e6 / statistics.median(times) for name, times in cpu.items()},
        "probabilities": {
            name: {at: getattr(_core.wilson(*seen), at) for at in ("value", "low", "high", "trials")}
            for name, seen in counts.items()
            if seen[1]
        },
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trials", type=int, default=8192)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    found = measure(options.trials, options.rounds)
    if options.json:
        print(json.dumps(found, indent=1))
        return
    for name, rate in found["rates"].items():
        p = found["probabilities"].get(name)
        print(
            f"{name:<34} {rate:7.3f} M trial-hours per CPU second (median {found['median_rates'][name]:.3f})"
            + (f", P = {p['value']:.4f} ({p['low']:.4f} to {p['high']:.4f}, {p['trials']:,} trials)" if p else "")
        )
    for level, ratios in {found["level"]: found, **found["other_levels"]}.items():
        for name in RATIOS:
            print(f"{level} {name}: {ratios[name]}")
    print(f"NumPy into arrays made beforehand, share of the time: {found['numpy_out']}")
    print(f"bytes per trial: {found['bytes_per_trial']:.0f}; load average of the machine: {found['load_average']:.1f}")


if __name__ == "__main__":
    main()
