"""A whole study of a range on one machine: 10,032 cells of 2,000 trials of 5 nights, and what it takes.

    .venv/bin/python tests/long/large_study.py STORE
    .venv/bin/python tests/long/large_study.py --resumed

Months x places x panels x batteries in one sweep, single precision, two threads, kept in STORE; after Ctrl-C the same
command goes on. ``--resumed`` takes 96 cells of 200 trials, stops half-way, goes on, and compares every bit with a run
that was left alone.
"""

from __future__ import annotations

import resource
import signal
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

import ridethrough as rt
from study_fixture import DULL, SITE, TRIP, VAN

PLACES = {  # a measured climate, and made-up ones with a fifth less sun, or warmer or colder [K]
    name: site.replace(climate=site.climate.replace(air_temp_c=[t + warmer for t in site.climate.air_temp_c]))
    for name, site, warmer in (("usual", SITE, 0), ("dull", DULL, 0), ("hot", SITE, 8), ("dull and cold", DULL, -4))
}
FULL = {
    "trip.start": {f"month {m}": f"2026-{m:02d}-15 15:00" for m in range(1, 13)},
    "trip.site": PLACES,
    "solar.rated_w": range(100, 650, 50),
    "battery.capacity_ah": range(60, 250, 10),
}
SMALL = FULL | {"solar.rated_w": [100, 300], "battery.capacity_ah": [80]}


def study(axes: dict[str, Any], trials: int, store: Path, progress: Any = True) -> Any:
    how = {"seed": 1, "threads": 2, "precision": "single", "progress": progress}
    return rt.sweep(VAN, TRIP.replace(nights=5), axes, trials=trials, store=store, **how)


def resumed() -> None:
    def show_progress(done: int, cells: int) -> None:
        if done == cells // 2:
            signal.raise_signal(signal.SIGINT)

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        whole = study(SMALL, 200, folder / "whole")
        try:
            study(SMALL, 200, folder / "halved", show_progress)
        except rt.Interrupted as stopped:
            print(stopped)
        halved = study(SMALL, 200, folder / "halved")
    assert halved == whole
    assert all(halved[name].values.tobytes() == whole[name].values.tobytes() for name in whole)
    print("stopped half-way and resumed: the same bits")


def large(store: Path) -> None:
    begin = time.perf_counter()
    try:
        risk = study(FULL, 2_000, store).risk
        print(f"{risk.size:,} cells: risk {float(risk.min()):.1%} to {float(risk.max()):.1%}")
    except rt.Interrupted as stopped:
        print(stopped)
    clock, used = time.perf_counter() - begin, resource.getrusage(resource.RUSAGE_SELF)
    files = [f.stat().st_size for f in store.rglob("*") if f.is_file()]
    print(f"{clock:.0f} s on the clock, {used.ru_utime + used.ru_stime:.0f} s of processors", end=", ")
    print(f"{used.ru_maxrss / 1024:.0f} MB at most; the store: {sum(files) / 1e6:.1f} MB in {len(files):,} files")


if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell starts background jobs with it ignored
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    resumed() if sys.argv[1] == "--resumed" else large(Path(sys.argv[1]))
