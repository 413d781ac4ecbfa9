"""The public function behind the verb `new`: the file it writes, what it leaves open, and what it refuses."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import pytest
import ridethrough as rt
from console_runs import ran
from ridethrough.files.starter_questions import QUESTIONS

PLACE: dict[str, Any] = {"latitude": 44.5, "longitude": "110 W"}


def test_it_writes_what_the_command_writes(tmp_path: Path) -> None:
    by_call, by_command = tmp_path / "call" / "trip.toml", tmp_path / "command" / "trip.toml"
    for file in (by_call, by_command):
        file.parent.mkdir()
    assert rt.new_scenario(by_call, latitude=44.5, longitude=-110, start="2026-09-22 15:00", nights=6) == ()
    ran("new", by_command, "--latitude", "44.5", "--longitude", "-110", "--start", "2026-09-22 15:00", "--nights", "6")
    assert by_call.read_text() == by_command.read_text()


def test_answers_may_be_numbers_dates_and_days(tmp_path: Path) -> None:
    file = tmp_path / "trip.toml"
    start: Any = datetime.datetime(2026, 9, 22, 16)
    left = rt.new_scenario(file, **PLACE, start=start, nights=5, drive_days=[2, "Friday"], set_point_c="41 degF")
    read = rt.load_scenario(file)
    assert left == () and read.trip.start == "2026-09-22 16:00" and read.van.get("fridge.set_point_c") == 5
    assert read.trip.get("drives.1.days") == (2, "Friday")


def test_what_is_left_open_is_told_and_does_not_run(tmp_path: Path) -> None:
    file = tmp_path / "trip.toml"
    assert rt.new_scenario(file, nights=5) == ("latitude", "longitude", "start")
    with pytest.raises(rt.InputError, match="trip.start: not filled in yet, nor are trip.site.latitude"):
        rt.load_scenario(file)


def test_a_title_may_be_a_question_mark(tmp_path: Path) -> None:
    file = tmp_path / "trip.toml"
    rt.new_scenario(file, **PLACE, start="2026-09-22", nights=5)
    file.write_text(file.read_text().replace('title = "My trip"', 'title = "?"'))
    assert rt.load_scenario(file).title == "?"


def test_what_it_refuses_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    file = tmp_path / "trip.toml"
    rt.new_scenario(file)
    before = file.read_text()
    wrong: list[tuple[dict[str, Any], str]] = [
        ({"nigths": 5}, "new_scenario.nigths = 5: no such question; did you mean nights?"),
        ({"latitude": 30, "longitude": -40}, "it lies in the sea"),
        ({"capacity_ah": "100 W"}, "W measures a power, and this is a charge"),
        ({"latitude": "44.5, -110"}, "these are two: latitude and longitude are given one by one"),
    ]
    for answers, told in wrong:
        with pytest.raises(rt.InputError, match=told.replace("?", r"\?")):
            rt.new_scenario(file, overwrite=True, **answers)
    with pytest.raises(rt.InputError, match="there is such a file; overwrite=True replaces it"):
        rt.new_scenario(file)
    assert file.read_text() == before and [path.name for path in tmp_path.iterdir()] == ["trip.toml"]


def test_every_question_is_named_in_the_help() -> None:
    said = rt.new_scenario.__doc__ or ""
    assert all(f"``{question.key}``" in said for question in QUESTIONS)
