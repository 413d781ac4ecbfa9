"""What a sweep costs on a cluster: bytes moved and time of a cell, and how much of it is not simulation.

    .venv/bin/python tests/long/cluster.py

Sweeps the same cells here and on two Dask worker processes of one thread each, and cells of a single trial to see
what a task costs by itself at the scheduler and the client. Prints what python/docs/performance.md says.
"""

from __future__ import annotations

import os
import pickle
import sys
import time
from concurrent.futures import Executor, Future
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

import distributed
import ridethrough as rt
from ridethrough.model.clocks import clock_of
from ridethrough.studies.grid_sweep import cells_outcomes
from study_fixture import TRIP, VAN

TRIALS = 10_000
SHORT, MANY = 8, 500  # cells
TRIP_5 = TRIP.replace(nights=5)
CELL = VAN, TRIP_5, clock_of(TRIP_5)


def swept(cells: int, trials: int, **how: object) -> tuple[float, float]:
    """Seconds of a sweep on the clock, and of this process's processor time."""
    axes = {"solar.rated_w": [100 + i / 10 for i in range(cells)]}
    clock, cpu = time.perf_counter(), time.process_time()
    rt.sweep(VAN, TRIP_5, axes, trials=trials, seed=1, progress=False, **how)
    return time.perf_counter() - clock, time.process_time() - cpu


def spent() -> float:
    return time.process_time()


def main() -> None:
    sent = len(pickle.dumps(([CELL], TRIALS, 1, "double")))
    begin = time.process_time()
    found = cells_outcomes([CELL], TRIALS, 1, "double")
    alone = time.process_time() - begin
    print(f"a cell of {TRIALS:,} trials of 5 nights: {sent:,} bytes out, {len(pickle.dumps(found)):,} bytes back,")
    print(f"{alone:.2f} s of a core (load of the machine {os.getloadavg()[0]:.1f})")
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):
        swept(8, 10, executor=client)  # imports
        here, there = swept(SHORT, TRIALS, threads=2)[0], swept(SHORT, TRIALS, executor=client)[0]
        print(f"{SHORT} cells: two threads {here:.1f} s, two processes {there:.1f} s")
        # Cells of one trial show what a task costs by itself. The scheduler of a local cluster runs in this process.
        before = sum(client.run(spent).values())
        cpu = swept(MANY, 1, executor=client)[1] - swept(MANY, 1, executor=_Nothing())[1]
        workers = (sum(client.run(spent).values()) - before) / MANY
        begin = time.process_time()
        for _ in range(20):
            cells_outcomes([CELL], 1, 1, "double")
        own = (time.process_time() - begin) / 20
    print(f"a task by itself: client and scheduler {1000 * cpu / MANY:.2f} ms, worker {1000 * (workers - own):.2f} ms")
    print(f"a worker is busy with trials {alone / (alone + workers - own):.1%} of its time, at most;")
    print(f"one scheduler hands out {MANY / cpu:.0f} cells a second, enough for {alone * MANY / cpu:.0f} cores")


class _Nothing(Executor):
    """Gives the same row for every cell, at no cost."""

    def __init__(self) -> None:
        self.found = cells_outcomes([CELL], 1, 1, "double")

    def submit(self, function: object, /, *args: object, **kwargs: object) -> Future[object]:
        future: Future[object] = Future()
        future.set_result(self.found)
        return future


if __name__ == "__main__":
    main()
