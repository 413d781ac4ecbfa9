"""The README's Python blocks run as they stand and print what it shows."""

from __future__ import annotations

import contextlib
import io
import re
from pathlib import Path

import ridethrough as rt

README = Path(__file__).parents[2] / "README.md"


def blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", README.read_text(encoding="utf-8"), flags=re.M | re.S)


def test_first_example_prints_what_is_shown() -> None:
    printed = io.StringIO()
    names: dict[str, object] = {}
    with contextlib.redirect_stdout(printed):
        exec(blocks("python")[0], names)
    assert printed.getvalue() == blocks("text")[0]
    with contextlib.redirect_stdout(printed):
        exec(blocks("python")[1], names)
    difference = rt.paired_difference(names["lithium"].columns["device"] > 0, names["risk"].columns["device"] > 0)
    assert difference.low <= difference.value <= difference.high


def test_the_two_commands_come_first_and_fit_one_line() -> None:
    commands = blocks("sh")[:2]
    assert all(command.count("\n") == 1 for command in commands)
    assert commands[0].rstrip().endswith("-m ridethrough")
    assert commands[1].rstrip().endswith("pytest -q")


def test_the_cautions_are_there() -> None:
    text = README.read_text(encoding="utf-8")
    for word in ("no guarantee", "throw it out", "carbon monoxide", "back-up", "bypass", "starter battery", "codes"):
        assert word.lower() in text.lower()


def test_the_file_of_panels_is_read(tmp_path: Path) -> None:
    """The piece of a scenario file, completed by the first example's place."""
    file = tmp_path / "panels.toml"
    file.write_text(blocks("toml")[0], encoding="utf-8")
    scenario = rt.load_scenario(file)
    assert [array.name for array in scenario.van.more_solar] == ["portable"]
    assert rt.simulate(scenario.van, scenario.trip, trials=64).trials == 64
