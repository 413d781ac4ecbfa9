"""The verb ``tonight``, as a process of its own."""

from __future__ import annotations

import json
from pathlib import Path

import ridethrough as rt
from console_runs import ran, refused
from ridethrough.files.scenario import demo_path

DEMO = str(demo_path())
NOW = ("--now", "2026-11-08 20:00")
FEW = ("--trials", "16384")


def test_it_says_what_forecast_says():
    status, out, err = ran("tonight", DEMO, *NOW, *FEW, "--reading", "62 %", "--json")
    assert (status, err) == (0, "")
    scenario = rt.load_scenario(Path(DEMO))
    found = rt.forecast(scenario.van, scenario.trip, now=NOW[1], readings=["62 %"], trials=16_384, seed=scenario.seed)
    said = json.loads(out)
    assert said["end"]["value"] == found.end.value and said["effective_trials"] == found.effective_trials
    status, out, err = ran("tonight", DEMO, *NOW, *FEW, "--reading", "62 %", "--narrow")
    assert (status, err) == (0, "") and "FROM NOW ON?" in out and "Five November nights" in out
    assert max(map(len, out.splitlines())) <= 45


def test_what_cannot_be_is_one_line():
    assert "allowed" in refused("tonight", DEMO, "--now", "2027-01-01 20:00", *FEW)
    assert "not a reading" in refused("tonight", DEMO, *NOW, *FEW, "--reading", "banana")
    assert "comes near them" in refused("tonight", DEMO, "--now", "2026-11-07 20:00", *FEW, "--reading", "2 %")
