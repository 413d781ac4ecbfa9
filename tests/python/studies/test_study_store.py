"""A store keeps what is finished of a study, and of no other one."""

import inspect
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from study_fixture import DULL, TRIP, VAN

xarray = pytest.importorskip("xarray")


POWER = {"solar.rated_w": np.arange(100, 401, 100)}


def same(a: rt.Sweep, b: rt.Sweep) -> bool:
    """Equal to the bit, attributes too."""
    return a == b and all(a[name].values.tobytes() == b[name].values.tobytes() for name in a)


def test_a_store_of_another_study_is_refused(tmp_path):
    first = rt.sweep(VAN, TRIP, POWER, trials=50, seed=1, store=tmp_path / "s", progress=False)
    for change, words in (
        ({"trials": 60}, "trials is 50 there, 60 here"),
        ({"seed": 2}, "seed is 1 there, 2 here"),
        ({"precision": "single"}, "precision is double there"),
        ({"axes": {"solar.rated_w": [100, 200, 300, 500]}}, "300, 400. there, .* 500. here"),
        ({"van": VAN.replace(**{"battery.capacity_ah": 81})}, "study: van.battery.capacity_ah is 80.* there, 81"),
        (
            {"van": VAN.replace(battery=rt.LithiumBattery())},
            "van.battery is AgmBattery there, LithiumBattery here; .* more",
        ),
        ({"van": VAN.replace(**{"loads.fan.current_a": 9})}, "study: van.loads.fan.current_a is .* there, 9.* here; g"),
        ({"trip": TRIP.replace(nights=4)}, "study: trip.nights is 3 there, 4 here; give"),
        ({"trip": TRIP.replace(bedtime_h=21)}, "study: trip.bedtime_h is 22.* there, 21.* here; give"),
        ({"trip": TRIP.replace(site=DULL)}, "trip.site.climate.ghi_kwh_m2_day is .* there, .* here; .*name is 'Green"),
    ):
        how: dict[str, Any] = {
            "van": VAN,
            "trip": TRIP,
            "axes": POWER,
            "trials": 50,
            "seed": 1,
            "precision": "double",
        } | change
        with pytest.raises(rt.InputError, match=words):
            rt.sweep(**how, store=tmp_path / "s")
    (tmp_path / "other").mkdir()
    xarray.Dataset({"a": 1}).to_zarr(tmp_path / "other", consolidated=False, zarr_format=2)
    with pytest.raises(rt.InputError, match="something else than a study"):
        rt.sweep(VAN, TRIP, POWER, trials=50, seed=1, store=tmp_path / "other")
    kept = xarray.open_zarr(tmp_path / "s", group="labelled", consolidated=False).load()
    assert same(kept, first)


def test_a_killed_study_goes_on_where_it_was(tmp_path, monkeypatch):
    """A process is killed (SIGKILL, from inside a progress call) with cells in the store and cells running."""
    code = (
        "import os, signal, sys; import ridethrough as rt; from study_fixture import VAN, TRIP\n"
        "def told(done, cells):\n"
        "    if done >= 9: os.kill(os.getpid(), signal.SIGKILL)\n"
        "rt.sweep(VAN, TRIP, {'solar.rated_w': range(100, 500, 20)}, trials=40, seed=2, store=sys.argv[1],\n"
        "         threads=2, progress=told)\n"
    )
    here = str(Path(__file__).parents[2] / "support")
    env = os.environ | {"PYTHONPATH": os.pathsep.join([here, *sys.path])}
    run = subprocess.run([sys.executable, "-c", code, str(tmp_path / "s")], env=env)
    assert run.returncode == -signal.SIGKILL

    ran: list[object] = []
    original = inspect.unwrap(rt.sweep).__globals__["run_all"]

    def counted(function, jobs, **how):
        jobs = list(jobs)
        ran.extend(cell for cells, _ in jobs for cell in cells)
        original(function, iter(jobs), **how)

    monkeypatch.setitem(inspect.unwrap(rt.sweep).__globals__, "run_all", counted)
    axes = {"solar.rated_w": range(100, 500, 20)}
    printed = []
    again = rt.sweep(
        VAN, TRIP, axes, trials=40, seed=2, store=tmp_path / "s", progress=lambda n, of: printed.append((n, of))
    )
    assert len(ran) == 20 - 9, "what was reported as finished was kept, and is not run again"
    assert printed == [(n, 20) for n in range(10, 21)]
    assert same(again, rt.sweep(VAN, TRIP, axes, trials=40, seed=2, progress=False))
    ran.clear()
    assert same(again, rt.sweep(VAN, TRIP, axes, trials=40, seed=2, store=tmp_path / "s", progress=False))
    assert ran == []
