"""The C++ library as a program meets it: installed from the build that these tests run on, found by CMake, and giving
Python's bits; and a package for Python that carries none of it."""

from __future__ import annotations

import importlib.metadata
import re
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest
import ridethrough as rt
import ridethrough._checks as _checks
from ridethrough.files.scenario import demo_path, load_scenario

ROOT = Path(__file__).parents[3]
EXAMPLE = ROOT / "cpp" / "example"
PAGE = ROOT / "python" / "docs" / "cpp.md"
HEADERS = {
    "ridethrough.hpp",
    "base/text.hpp",
    "config/configuration.hpp",
    "config/day.hpp",
    "config/provenance.hpp",
    "stats/interval.hpp",
}


def run(command: Sequence[str | Path]) -> str:
    done = subprocess.run([str(word) for word in command], capture_output=True, text=True)
    assert done.returncode == 0, f"{command}\n{done.stdout[-4000:]}\n{done.stderr[-4000:]}"
    return done.stdout


@pytest.fixture(scope="module")
def build_tree() -> Path:
    tree = Path(_checks.BUILD_TREE)
    if shutil.which("cmake") is None:
        pytest.skip("no cmake is here to install the library and build the example with")
    if not (tree / "libridethrough.a").exists():
        pytest.skip(f"the build in {tree} that this extension comes from is gone, and another takes minutes")
    return tree


@pytest.fixture(scope="module")
def configure(build_tree: Path) -> list[str]:
    """CMake with the build's own compiler."""
    cache = (build_tree / "CMakeCache.txt").read_text()
    compiler = re.search(r"^CMAKE_CXX_COMPILER:\w+=(.*)$", cache, re.MULTILINE)
    assert compiler is not None
    if not Path(compiler[1]).exists():
        pytest.skip(f"the compiler of the build, {compiler[1]}, is not here")
    ninja = ["-G", "Ninja"] if shutil.which("ninja") else []
    return ["cmake", *ninja, f"-DCMAKE_CXX_COMPILER={compiler[1]}"]


@pytest.fixture(scope="module")
def installed(build_tree: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    prefix: Path = tmp_path_factory.mktemp("prefix")
    run(["cmake", "--install", build_tree, "--prefix", prefix, "--component", "library"])
    return prefix


def test_a_program_built_on_the_installed_library_gives_python_s_bits(
    installed: Path, configure: list[str], tmp_path: Path
) -> None:
    strict = "-Wall -Wextra -Wconversion -Wshadow -Wpedantic -Werror"  # a user's own warnings find nothing in ours
    source = [*configure, "-S", str(EXAMPLE), "-B", str(tmp_path), f"-DCMAKE_PREFIX_PATH={installed}"]
    run([*source, "-DCMAKE_BUILD_TYPE=Debug", f"-DCMAKE_CXX_FLAGS={strict}"])
    run(["cmake", "--build", str(tmp_path)])
    printed = run([tmp_path / "five_november_nights"])

    scenario = load_scenario(demo_path())
    risk = rt.simulate(scenario.van, scenario.trip, trials=scenario.trials, seed=scenario.seed)
    found = re.search(r"^cutout (\S+) low (\S+) high (\S+) trials (\d+)$", printed, re.MULTILINE)
    assert found is not None, printed
    ours = (risk.cutout.value, risk.cutout.low, risk.cutout.high)
    assert tuple(map(float.fromhex, found.groups()[:3])) == ours
    assert int(found[4]) == risk.trials == 20_000
    assert f"Fridge off for {risk.means['hours_off']:.2f} h" in printed
    for words in (rt._core.chance_text(risk.cutout), rt._core.estimate_text(risk.cutout), rt._core.CAUTION):
        assert words in printed
    assert "Warning" not in printed and not risk.warnings


def test_the_page_s_program_builds_and_runs(installed: Path, configure: list[str], tmp_path: Path) -> None:
    for language, name in (("cmake", "CMakeLists.txt"), ("cpp", "main.cpp")):
        (block,) = re.findall(
            rf"^```{language}\n(.*?)^```$", PAGE.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL
        )
        (tmp_path / name).write_text(block)
    run([*configure, "-S", tmp_path, "-B", tmp_path / "build", f"-DCMAKE_PREFIX_PATH={installed}"])
    run(["cmake", "--build", tmp_path / "build"])
    printed = run([tmp_path / "build" / "my_van"])
    assert "2,000 trials" in printed and rt._core.CAUTION in printed and "Warning" not in printed


def test_what_is_installed_needs_nothing_but_the_standard_library(installed: Path) -> None:
    include = installed / "include" / "ridethrough"
    assert {p.relative_to(include).as_posix() for p in include.rglob("*") if p.is_file()} == HEADERS
    for header in HEADERS:
        included = set(re.findall(r'#include [<"]([^>"]+)[>"]', (include / header).read_text()))
        assert {name for name in included if "/" in name or name.endswith((".h", ".hpp"))} <= {
            f"ridethrough/{known}" for known in HEADERS
        }
    for file in installed.rglob("*.cmake"):
        text = file.read_text()
        assert not re.search(r"eigen|pcg|pybind|python|catch2", text, re.IGNORECASE), file.name
        assert str(ROOT) not in text, f"{file.name} names a folder of the checkout"
    assert len(list(installed.rglob("*.cmake"))) >= 3


def test_a_subdirectory_gives_the_same_target(configure: list[str], tmp_path: Path) -> None:
    (tmp_path / "CMakeLists.txt").write_text(
        f"""cmake_minimum_required(VERSION 3.20)
project(user LANGUAGES CXX)
add_subdirectory("{ROOT.as_posix()}" ridethrough)
add_executable(user "{EXAMPLE.as_posix()}/five_november_nights.cpp")
target_link_libraries(user PRIVATE ridethrough::ridethrough)
if(TARGET ridethrough_tests OR TARGET _core)
  message(FATAL_ERROR "a user's build has our tests or our Python extension in it")
endif()
"""
    )
    run([*configure, "-S", tmp_path, "-B", tmp_path / "build"])


def test_the_package_for_python_carries_no_library() -> None:
    files = importlib.metadata.files("ridethrough")
    assert files
    assert not [f for f in files if f.suffix in {".hpp", ".h", ".a", ".cmake"} or f.parts[0] in {"include", "lib"}]
    assert {f.parts[0] for f in files if ".." not in f.parts} <= {
        "ridethrough",
        f"ridethrough-{importlib.metadata.version('ridethrough')}.dist-info",
    }
