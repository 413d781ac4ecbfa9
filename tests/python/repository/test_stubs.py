"""The committed type stubs are what the declarations generate, and they catch a caller's mistakes."""

from __future__ import annotations

import ast
import importlib.util
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]


def generated() -> dict[Path, str]:
    spec = importlib.util.spec_from_file_location("make_stubs", ROOT / "tests" / "make_stubs.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.stubs()


STUBS = generated()


@pytest.mark.parametrize("path", STUBS, ids=lambda p: p.name)
def test_stubs_are_up_to_date(path: Path) -> None:
    # Compared without their layout, which is the formatter's.
    committed, fresh = (ast.unparse(ast.parse(text)) for text in (path.read_text(), STUBS[path]))
    assert committed == fresh, "run python tests/make_stubs.py"


def test_the_package_says_that_it_is_typed() -> None:
    assert (ROOT / "python" / "ridethrough" / "py.typed").exists()


RIGHT = """
from concurrent.futures import ThreadPoolExecutor

import pandas
import ridethrough as rt

battery = rt.LithiumBattery(capacity_ah=rt.spreads.uniform(90, 110))
van = rt.Van(battery=battery, solar=None, loads=[rt.Lights(), rt.Fan()])
trip = rt.Trip(site=rt.Site(latitude=36.1, longitude=-79.9), start="2026-11-06 15:00", nights=5)
trip = trip.replace(drives=[rt.Drive(days=[2, "Friday"])])
risk = rt.simulate(van.replace(**{"battery.capacity_ah": 200}), trip, precision="single")
chance: float = risk.cutout.value
hours: int = risk.hours
frame = pandas.DataFrame()
climate: rt.Climate = rt.Climate.from_hourly(frame, latitude=36.1, longitude=-79.9, label="left")
site = rt.Site(latitude=36.1, longitude=-79.9, climate=rt.Climate.from_hourly(frame, label="left"))
other: rt.Van = rt.Van.from_dict(van.to_dict())
with ThreadPoolExecutor() as pool:
    swept = rt.sweep(van, trip, {"solar.rated_w": [100.0]}, executor=pool)
tables = [swept.to_dataframe(), rt.hindcast(van, trip, pandas.DataFrame()).frame, risk.to_dataframe(units=True)]
current = van.loads[0].current_a if isinstance(van.loads[0], rt.Lights) else None
"""
WRONG = {  # a line of code, and what mypy says about it
    "rt.Fridge(volume=60)": "call-arg",
    "rt.Fridge(60)": "positional",
    "rt.Fridge(volume_l='60')": "arg-type",
    "rt.Fridge(volume_l=rt.spreads.uniform(50, 60))": "arg-type",  # fixed: no spread
    "rt.SolarArray(mounting='flat')": "arg-type",
    "rt.Trip(site=rt.Site(latitude=36, longitude=-80), nights=5)": "call-arg",
    "rt.Van(battery=rt.Fridge())": "arg-type",
    "rt.Van(battery=None)": "arg-type",
    "rt.Van().baterry": "attr-defined",
    "rt.simulat(van, trip)": "attr-defined",
    "rt.simulate(van, trip, executor=3)": "arg-type",
    "rt.simulate(rt.Van(), rt.Van())": "arg-type",
    "rt.simulate(rt.Van(), trip, trials=1.5)": "arg-type",
    "rt.AgmBattery().capacity_ah = 5": "misc",
    "rt.worksheet(van, trip, deepst=0.5)": "call-arg",
    "rt.worksheet(van, trip, deepest='half')": "arg-type",
    "rt.sweep(van, trip, {'solar.rated_w': 100})": "dict-item",
    "rt.sweep(van, trip, {}, store=5)": "arg-type",
    "rt.van_range({'a': van}, trip, sites=[5], customers={'family': 1})": "list-item",
    "rt.Climate.from_daily([1, 2], latitude=36, longitude=-80)": "arg-type",
}


def check(source: str, folder: Path) -> str:
    script = folder / "script.py"
    script.write_text(source)
    command = [sys.executable, "-m", "mypy", "--strict", "--config-file", os.devnull, "--cache-dir", str(folder)]
    environment = {**os.environ, "MYPYPATH": str(ROOT / "python")}
    run = subprocess.run([*command, str(script)], capture_output=True, text=True, env=environment, cwd=folder)
    return run.stdout + run.stderr


def test_a_right_script_passes_and_each_mistake_is_seen(tmp_path: Path) -> None:
    assert "Success" in check(RIGHT, tmp_path)
    found = check(RIGHT + "\n".join(WRONG), tmp_path)
    first = RIGHT.count("\n") + 1
    for number, (line, words) in enumerate(WRONG.items(), first):
        errors = [e for e in found.splitlines() if e.startswith(f"script.py:{number}: error")]
        assert any(words in e for e in errors), f"{line}: {errors}"
