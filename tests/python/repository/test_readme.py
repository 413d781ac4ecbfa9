"""The README shows what the demo prints and draws, its Python blocks run as they stand; the pages' file is read."""

from __future__ import annotations

import contextlib
import importlib.metadata
import io
import re
import runpy
import tomllib
from pathlib import Path
from typing import Any

import pytest
import ridethrough as rt

README = Path(__file__).parents[3] / "README.md"
FILES = README.parent / "python" / "docs" / "scenario_files.md"


def blocks(language: str, page: Path = README) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", page.read_text(encoding="utf-8"), flags=re.M | re.S)


def test_the_demo_prints_and_draws_what_is_shown() -> None:
    """`tests/make_readme_example.py` writes both; another version of matplotlib may round a coordinate otherwise."""
    pytest.importorskip("matplotlib")
    example = runpy.run_path(str(README.parent / "tests" / "make_readme_example.py"))
    assert example["demo_verdict"]() == blocks("text")[0]
    stored, fresh = example["PICTURE"].read_text(encoding="utf-8"), example["demo_picture"]()
    assert f"]({example['PICTURE'].relative_to(README.parent).as_posix()})" in README.read_text(encoding="utf-8")
    assert drawn_words(stored) == drawn_words(fresh) != []
    lines, again = drawn_numbers(stored), drawn_numbers(fresh)
    assert len(lines) == len(again) > 500
    assert max(abs(a - b) for a, b in zip(lines, again, strict=True)) < 0.5  # points, of a picture 648 wide


def drawn_words(svg: str) -> list[str]:
    """Its title and its text alternative, which has the numbers: letters are drawn as lines."""
    return re.findall(r"<(?:title|desc)>([^<]*)<", svg)


def drawn_numbers(svg: str) -> list[float]:
    """Coordinates of all lines and areas."""
    return [float(x) for path in re.findall(r' d="([^"]*)"', svg) for x in re.findall(r"-?\d+(?:\.\d+)?", path)]


def test_the_verdict_comes_first_then_the_picture_and_the_commands() -> None:
    text = README.read_text(encoding="utf-8")
    order = ["```text", "](python/docs/charge.svg)", "```sh", "ridethrough new trip.toml", "```python", "| page |"]
    places = [text.index(one) for one in order]
    assert places == sorted(places)


def test_the_python_blocks_run_as_they_stand() -> None:
    printed = io.StringIO()
    names: dict[str, Any] = {}
    with contextlib.redirect_stdout(printed):
        for block in blocks("python"):
            exec(block, names)
    assert printed.getvalue().startswith(names["risk"].verdict())
    difference = rt.stats.paired_difference(
        names["lithium"].columns["cutout_cause"] > 0, names["risk"].columns["cutout_cause"] > 0
    )
    assert difference.low <= difference.value <= difference.high
    assert f"lithium: {100 * difference.value:+.1f} points" in printed.getvalue()


def test_the_two_commands_come_first_and_fit_one_line() -> None:
    commands = blocks("sh")[:2]
    assert all(command.count("\n") == 1 for command in commands)
    assert commands[0].rstrip().endswith("-m ridethrough")
    assert commands[1].rstrip().endswith("pytest -q")


def test_the_cautions_are_there() -> None:
    text = README.read_text(encoding="utf-8")
    for word in ("no guarantee", "throw it out", "carbon monoxide", "back-up", "bypass", "starter battery", "codes"):
        assert word.lower() in text.lower()


def notices(text: str) -> str:
    return text[text.index("## Notices") :]


def test_everyone_whose_work_this_stands_on_is_named() -> None:
    project = tomllib.loads((README.parent / "pyproject.toml").read_text(encoding="utf-8"))
    wanted = [*project["build-system"]["requires"], *project["project"]["dependencies"]]
    for extra in project["project"]["optional-dependencies"].values():
        wanted += extra
    named = notices(README.read_text(encoding="utf-8")).lower()
    for requirement in wanted:
        assert re.split(r"[\[<>=~!; ]", requirement)[0].lower() in named, requirement
    libraries, data = "Eigen pcg-cpp Catch2", "OpenStreetMap ODbL Wetterdienst presumed Sulzer Prada"
    for word in f"{libraries} {data}".split():
        assert word.lower() in named


def test_the_installed_package_carries_the_notices() -> None:
    # The file itself: a copy of the package that another test has put on the path has none.
    carried = [found.read_text("METADATA") for found in importlib.metadata.distributions(name="ridethrough")]
    if not any(carried):
        pytest.skip("not installed as a package")
    assert any("OpenStreetMap contributors" in " ".join(notices(text).split()) for text in carried if text)


def test_the_file_of_panels_is_read(tmp_path: Path) -> None:
    """The scenario file, and the piece with measured numbers, completed by its trip."""
    file = tmp_path / "panels.toml"
    measured, panels = blocks("toml", FILES)[:2]
    file.write_text(measured + panels[panels.index("[trip]") :], encoding="utf-8")
    assert rt.load_scenario(file).van.origin("battery.initial_soc").date == "2026-05-03"
    file.write_text(panels, encoding="utf-8")
    scenario = rt.load_scenario(file)
    assert [array.name for array in scenario.van.arrays] == ["roof", "portable"]
    assert rt.simulate(scenario.van, scenario.trip, trials=64).trials == 64
