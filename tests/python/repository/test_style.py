"""The tree's own rules: linters, sizes, what stands at the top level, what no file may mention."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
FOLDERS = {"cpp", "python", "notebooks", "tests"}
TOP_FILES = {"CMakeLists.txt", "pyproject.toml", "README.md", "DEVELOPERS.md"}
TRACES = {"build", "dist"}  # of a build, and not in the repository
SOURCES = {".cpp", ".hpp", ".def", ".py", ".pyi", ".sh", ".cmake"}
TEXTS = SOURCES | {".toml", ".md", ".txt", ".csv", ".ipynb", ""}
MOST_LINES, MOST_COLUMNS = 400, 120
# With marks between their letters, so that this file does not mention them itself.
FOLDERS_OF_MACHINES = "wo~rk t~mp ro~ot ho~me o~pt".replace("~", "").replace(" ", "|")
MAKERS = r"Gm~bH L~td L~LC In~c\. Cor~p\.".replace("~", "").replace(" ", "|")
FORBIDDEN = re.compile(rf"/(?:{FOLDERS_OF_MACHINES})/\w|[\u00ae\u2122]|\b(?:{MAKERS})", re.IGNORECASE)


def files(suffixes: set[str]) -> list[Path]:
    inside = [p for folder in sorted(FOLDERS) for p in sorted((ROOT / folder).rglob("*"))]
    found = [p for p in [*map(ROOT.joinpath, sorted(TOP_FILES)), *inside] if p.is_file() and p.suffix in suffixes]
    return [p for p in found if not any(part.startswith((".", "__pycache__")) for part in p.relative_to(ROOT).parts)]


def places(pattern: re.Pattern[str], paths: list[Path]) -> list[str]:
    return [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()[:80]}"
        for path in paths
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if pattern.search(line)
    ]


@pytest.mark.parametrize(
    "command",
    [
        ["ruff", "check", "--no-cache", "python", "tests"],
        ["ruff", "format", "--no-cache", "--check", "python", "tests"],
        ["mypy", "--cache-dir", "{folder}"],
        ["mypy", "--config-file", "tests/mypy.ini", "--cache-dir", "{folder}"],
    ],
    ids=["ruff check", "ruff format", "mypy", "mypy over tests"],
)
def test_linters(command: list[str], tmp_path: Path) -> None:
    arguments = [word.format(folder=tmp_path) for word in command]
    run = subprocess.run([sys.executable, "-m", *arguments], cwd=ROOT, capture_output=True, text=True)
    assert run.returncode == 0, run.stdout + run.stderr


def test_cpp_is_formatted() -> None:
    """As .clang-format says; `clang-format -i` over the same files mends it."""
    sources = [str(p) for p in files({".cpp", ".hpp"})]
    assert len(sources) > 150
    program = Path(sys.executable).with_name("clang-format")
    run = subprocess.run([program, "--dry-run", "-Werror", *sources], cwd=ROOT, capture_output=True, text=True)
    assert run.returncode == 0, run.stderr[-3000:]


def test_no_long_lines() -> None:
    assert not places(re.compile(f".{{{MOST_COLUMNS + 1}}}"), files(SOURCES) + files({".txt"}))


def test_no_long_files() -> None:
    own = [p for p in files(SOURCES) if p.suffix != ".pyi"]  # stubs are generated
    sizes = {str(p.relative_to(ROOT)): len(p.read_text(encoding="utf-8").splitlines()) for p in own}
    assert len(sizes) > 100
    assert {name: size for name, size in sizes.items() if size > MOST_LINES} == {}


def test_no_tabs_and_no_trailing_spaces() -> None:
    assert not places(re.compile(r"\t|\s$"), files(SOURCES))


def test_no_trade_mark_company_or_folder_of_one_machine_is_mentioned() -> None:
    for text in ("/t" + "mp/build", "/o" + "pt/x", "Power\u2122", "Example Gm" + "bH"):
        assert FORBIDDEN.search(text)
    assert not places(FORBIDDEN, files(TEXTS))


def test_the_top_level_is_tidy() -> None:
    names = {p.name for p in ROOT.iterdir() if not p.name.startswith(".") and p.suffix != ".egg-info"}
    assert names - TRACES <= FOLDERS | TOP_FILES
    assert names >= FOLDERS | TOP_FILES
