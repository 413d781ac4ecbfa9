"""What test_cluster.py runs in a process of its own: studies on a Dask cluster of two worker processes.

Not inside pytest, which turns warnings into errors: on a busy machine Dask warns (of slow directories, of a port that
another cluster has), and an error in the middle of its start leaves it neither up nor down. The workers are started by
their own command, without the nanny, whose wait for a process that does not come has no end. Every wait here has one;
one that was forgotten is ended by faulthandler, which says where it stood.
"""

import contextlib
import faulthandler
import inspect
import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from unittest.mock import patch

import ridethrough as rt
from distributed import Client, LocalCluster
from study_fixture import TRIP, VAN

PATIENCE_S = 120  # a loaded machine starts processes slowly
AXES = {"solar.rated_w": range(100, 500, 40), "trip.start": {"Jan": "2026-01-15 15:00", "Jul": "2026-07-15 15:00"}}


@contextlib.contextmanager
def cluster_of(count: int) -> Iterator[tuple[Client, dict[str, subprocess.Popen[bytes]]]]:
    """A client, and its worker processes of one thread each by their addresses."""
    with (
        tempfile.TemporaryDirectory() as folder,
        LocalCluster(
            n_workers=0, processes=False, protocol="tcp", host="127.0.0.1", dashboard_address="127.0.0.1:0"
        ) as cluster,
        Client(cluster, timeout=PATIENCE_S) as client,
        contextlib.ExitStack() as ends,
    ):
        command = [sys.executable, "-m", "distributed.cli.dask_worker", cluster.scheduler_address]
        command += ["--no-nanny", "--no-dashboard", "--nthreads=1", f"--local-directory={folder}"]
        started = {}
        for _ in range(count):
            worker = subprocess.Popen(command)
            started[worker.pid] = worker
            ends.callback(worker.wait, PATIENCE_S)
            ends.callback(worker.kill)
        client.wait_for_workers(count, timeout=PATIENCE_S)
        yield client, {address: started[pid] for address, pid in client.run(os.getpid).items()}


def an_ensemble_is_the_same_to_the_bit(client: Client) -> None:
    with patch.dict(inspect.unwrap(rt.simulate).__globals__, _CHUNK=256):
        here = rt.simulate(VAN, TRIP, trials=1000, seed=9)
        there = rt.simulate(VAN, TRIP, trials=1000, seed=9, executor=client)
    assert here.cutout == there.cutout and here.means == there.means and here.load_ah == there.load_ah
    assert all(there.columns[name].tobytes() == values.tobytes() for name, values in here.columns.items())


def a_job_adds_one_thread(client: Client) -> None:
    """Cores are not oversubscribed: a job simulates on its own thread and one of the core's."""
    most = client.submit(threads_while_running, pure=False).result(PATIENCE_S)
    assert most <= 1, most


def threads_while_running() -> int:
    """Threads that a job adds to its worker, on Linux counted from outside while it runs."""
    import threading
    import time

    from ridethrough.engine.simulation import run_cell

    def count() -> int:
        return len(os.listdir("/proc/self/task"))

    seen, idle, over = [0], count(), threading.Event()

    def watch() -> None:
        while not over.is_set():
            seen.append(count())
            time.sleep(0.002)

    watcher = threading.Thread(target=watch)
    watcher.start()
    run_cell(VAN, TRIP, 3000, 1, "double")
    over.set()
    watcher.join()
    return max(seen) - idle - 1  # less the watcher itself


def a_worker_killed_in_mid_study_loses_nothing(client: Client, workers: dict[str, subprocess.Popen[bytes]]) -> None:
    local = rt.sweep(VAN, TRIP, AXES, trials=100, seed=4, progress=False)
    killed: list[str] = []

    def printed(done: int, cells: int) -> None:
        if done == 4:  # the one with most cells under way, or done and not yet fetched
            has = [client.processing(), client.has_what()]
            address = max(workers, key=lambda worker: sum(len(of.get(worker, ())) for of in has))
            assert any(of.get(address) for of in has), "a worker takes part in the study when it is killed"
            workers[address].kill()
            killed.append(address)

    with tempfile.TemporaryDirectory() as store:
        there = rt.sweep(VAN, TRIP, AXES, trials=100, seed=4, executor=client, store=store, progress=printed)
    assert workers[killed[0]].wait(PATIENCE_S) == -signal.SIGKILL
    assert set(client.scheduler_info()["workers"]) == set(workers) - set(killed)
    assert there == local
    assert all(there[name].values.tobytes() == local[name].values.tobytes() for name in local)


if __name__ == "__main__":
    faulthandler.dump_traceback_later(2 * PATIENCE_S, exit=True)
    with cluster_of(2) as (client, workers):
        an_ensemble_is_the_same_to_the_bit(client)
        a_job_adds_one_thread(client)
        a_worker_killed_in_mid_study_loses_nothing(client, workers)
    print("all held")
