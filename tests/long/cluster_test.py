"""A real Dask cluster of two worker processes: the same bits, one worker killed in mid-study, no thread too many."""

import os
import signal

import pytest
import ridethrough as rt
from study_fixture import TRIP, VAN

pytest.importorskip("xarray")
distributed = pytest.importorskip("distributed")

AXES = {"solar.rated_w": range(100, 500, 20), "trip.start": {"Jan": "2026-01-15 15:00", "Jul": "2026-07-15 15:00"}}


@pytest.fixture
def client(tmp_path):
    settings = {
        "distributed.worker.use-file-locking": False,
        "distributed.scheduler.allowed-failures": 10,
        "temporary-directory": str(tmp_path),
        "distributed.comm.timeouts.connect": "120s",  # a loaded machine starts processes slowly
    }
    import dask

    with (
        dask.config.set(settings),
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
        ) as cluster,
        distributed.Client(cluster) as opened,
    ):
        yield opened


def test_a_worker_killed_in_mid_study_loses_nothing(client, tmp_path):
    local = rt.sweep(VAN, TRIP, AXES, trials=200, seed=4, progress=False)
    before = client.run(os.getpid)
    killed = []

    def told(done, cells):
        if done == 8:
            killed.append(next(iter(before.values())))
            os.kill(killed[0], signal.SIGKILL)

    there = rt.sweep(VAN, TRIP, AXES, trials=200, seed=4, executor=client, store=tmp_path / "study", progress=told)
    assert killed and there.identical(local)
    for name in local:
        assert there[name].values.tobytes() == local[name].values.tobytes()
    client.wait_for_workers(2)
    assert killed[0] not in client.run(os.getpid).values(), "it was a worker, and it is gone"


def test_an_ensemble_over_a_cluster_and_threads_of_a_worker(client, monkeypatch):
    monkeypatch.setitem(rt.simulate.__globals__, "_CHUNK", 256)
    here = rt.simulate(VAN, TRIP, trials=2000, seed=9)
    most = client.map(threads_while_running, range(2), pure=False)
    there = rt.simulate(VAN, TRIP, trials=2000, seed=9, executor=client)
    assert here.cutout == there.cutout and here.means == there.means and here.load_ah == there.load_ah
    assert all(there.columns[name].tobytes() == values.tobytes() for name, values in here.columns.items())
    assert max(client.gather(most)) <= 1, "a job simulates on its own thread and one of the core's"


def threads_while_running(which):
    """Threads that a job of a worker adds to its process, on Linux counted from outside while it runs."""
    import threading
    import time

    from ridethrough.simulate import run_cell

    def count():
        return len(os.listdir("/proc/self/task"))

    seen, idle, running = [], count(), threading.Event()

    def watch():
        while not running.is_set():
            seen.append(count())
            time.sleep(0.002)

    watcher = threading.Thread(target=watch)
    watcher.start()
    run_cell(VAN, TRIP, 3000, which, "double")
    running.set()
    watcher.join()
    return max(seen) - idle - 1  # less the watcher itself
