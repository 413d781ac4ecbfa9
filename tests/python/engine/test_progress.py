"""Bars, functions and announcements of a run."""

from __future__ import annotations

import sys
import time
from typing import Any

import pytest
import ridethrough as rt
from quick_studies import CALLS
from ridethrough import _core
from ridethrough.console.output import Counter
from ridethrough.engine import progress as progress_module

pytest.importorskip("xarray")


pytest.importorskip("SALib")


@pytest.mark.parametrize("name", CALLS)
def test_progress_of_another_kind_is_refused_before_any_trial(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: Any, **__: Any) -> None:
        raise AssertionError("a trial was run")

    pytest.importorskip("SALib")
    monkeypatch.setattr(_core, "simulate", refuse)
    with pytest.raises(rt.InputError, match="progress = 'yes'"):
        CALLS[name][0](progress="yes")


def test_a_function_is_told_after_the_announcement(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    clock = iter([0.0, 10.0])
    monkeypatch.setattr(time, "monotonic", lambda: next(clock))
    with progress_module.track_runs(lambda done, total: print(done, total, file=sys.stderr), 4, 100) as runs:
        runs(20)
        runs.run_finished()
        inner = runs.part(2)  # two runs that may end early
        inner.run_finished()
        inner.all_finished()
        runs(50)
    said = capsys.readouterr().err.splitlines()
    assert said == ["Expected to take about 3 min.", "20 400", "100 400", "200 400", "300 400", "350 400"]


@pytest.mark.parametrize("bar", [True, False])
def test_a_long_run_says_first_how_long(
    bar: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    clock = iter([0.0, 10.0, 20.0])
    monkeypatch.setattr(time, "monotonic", lambda: next(clock))
    if not bar:
        monkeypatch.setitem(sys.modules, "tqdm", None)  # not installed
    with progress_module.track_progress(True, 100, 0, "step") as report_done:
        report_done(5)
        report_done(10)
    said = capsys.readouterr().err
    assert said.count("Expected to take about 3 min.") == 1  # 10 s for 5 of 100
    assert ("%|" in said) is bar
    assert [progress_module.duration_text(s) for s in (40, 300, 9000)] == ["40 s", "5 min", "2.5 h"]


def test_a_short_run_and_one_that_nobody_watches_say_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    for progress in (None, False):  # stderr is no terminal here
        with progress_module.track_progress(progress, 100, 0, "step") as report_done:
            report_done(100)
    assert capsys.readouterr().err == ""


def test_the_commands_bar_waits_until_the_time_was_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Steps every 0.3 s, of which 1 in 400 is done each time: some two minutes."""
    now = [0.0]
    monkeypatch.setattr(time, "monotonic", lambda: now[0])
    for on_terminal in (True, False):
        monkeypatch.setattr(sys.stderr, "isatty", lambda on_terminal=on_terminal: on_terminal)
        with progress_module.track_progress(Counter(), 400, 0, "trial") as report_done:
            for step in range(1, 8):
                now[0] += 0.3
                report_done(step)
        said = capsys.readouterr().err
        assert said.count("Expected to take about 2 min.") == 1
        assert ("of 400 trips" in said) is on_terminal
        assert not on_terminal or said.index("of 400 trips") > said.index("Expected")
