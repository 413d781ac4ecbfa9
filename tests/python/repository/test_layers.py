"""Data flows one way: no file includes or imports from a layer above its own."""

from __future__ import annotations

import ast
import re
from graphlib import TopologicalSorter
from pathlib import Path

import pytest
import ridethrough
from ridethrough import _core

ROOT = Path(__file__).parents[3]
# Every arrow that there is between rooms of the core, and no other: what a room's files include.
ARROWS = {
    "simd": set(),
    "base": {"simd"},
    "stats": {"base"},
    "config": {"base"},
    "random": {"config", "simd"},
    "sun": {"base", "config", "simd"},
    "weather": {"base", "config", "random", "simd", "sun"},
    "battery": {"base", "config", "random", "simd"},
    "circuit": {"config", "random", "simd"},
    "charging": {"base", "battery", "circuit", "config", "random", "simd"},
    "solar": {"base", "charging", "config", "random", "simd", "sun", "weather"},
    "fridge": {"base", "config", "random", "simd"},
    "cabin": {"config", "random", "simd"},
    "loads": {"base", "cabin", "config", "fridge", "random", "simd"},
    "trip": {
        "base",
        "battery",
        "cabin",
        "charging",
        "circuit",
        "config",
        "fridge",
        "loads",
        "random",
        "simd",
        "solar",
        "sun",
        "weather",
    },
    "engine": {
        "base",
        "battery",
        "cabin",
        "charging",
        "circuit",
        "config",
        "fridge",
        "loads",
        "random",
        "simd",
        "solar",
        "trip",
    },
    "ensemble": {"base", "config", "engine"},
    "forecast": {"base", "engine", "ensemble", "random", "stats"},
    "api": {"config", "ensemble", "stats", "trip"},
}

CORE = [p for d in ("include/ridethrough", "src") for p in sorted((ROOT / "cpp" / d).rglob("*.[hc]pp"))]
# Standard mathematics that differs between machines; base/ has our own (sqrt, floor, round, abs are exact).
FOREIGN = re.compile(
    r"\bstd::(exp|exp2|expm1|log|log2|log10|log1p|pow|cbrt|sin|cos|tan|asin|acos|atan|atan2|sinh|cosh|tanh|erf|erfc|"
    r"tgamma|lgamma|hypot|fma)\s*\(|\bstd::\w+_distribution\b|<random>"
)


def layer_of(path: Path) -> str:
    parts = path.relative_to(ROOT / "cpp").parts
    if parts[:2] == ("include", "ridethrough"):
        return parts[2] if len(parts) > 3 else "api"
    return parts[1]


def unit_of(path: Path) -> str:
    """Room and name: a source and the header of its name are one thing."""
    parts = (path if path.suffix == ".def" else path.with_suffix("")).relative_to(ROOT / "cpp").parts
    return "/".join(parts[2:] if parts[0] == "include" else parts[1:])


def included(path: Path) -> set[Path]:
    """The core's files that a file includes."""
    found = set()
    for kind, name in re.findall(r'#include ([<"])([^>"]+)[>"]', path.read_text()):
        for folder in (ROOT / "cpp/include", path.parent):
            if (folder / name).exists() and (kind == '"' or name.startswith("ridethrough/")):
                found.add((folder / name).resolve())
                break
    return found


def test_every_arrow_between_rooms_is_known() -> None:
    used: dict[str, set[str]] = {room: set() for room in ARROWS}
    for path in CORE:
        assert not re.search(r"#include [<\"](pybind11|Python\.h)", path.read_text()), "the core never includes Python"
        used[layer_of(path)] |= {layer_of(other) for other in included(path)} - {layer_of(path)}
    assert used == ARROWS
    TopologicalSorter(ARROWS).prepare()  # raises where rooms stand in a circle


def test_no_files_of_the_core_stand_in_a_circle() -> None:
    graph: dict[str, set[str]] = {}
    for path in CORE:
        graph.setdefault(unit_of(path), set()).update(unit_of(other) for other in included(path))
    for unit, others in graph.items():
        others.discard(unit)
    TopologicalSorter(graph).prepare()


PACKAGE = ROOT / "python" / "ridethrough"
MODULES = {".".join(p.relative_to(PACKAGE).with_suffix("").parts): p for p in PACKAGE.rglob("*.py")}
# Every arrow between the sub-packages, and no other.
PACKAGE_ARROWS = {
    "model": set(),
    "weather": {"model"},
    "files": {"model"},
    "engine": {"model"},
    "tonight": {"engine", "model"},
    "money": {"model"},
    "studies": {"engine", "model", "money", "weather"},
    "report": {"engine", "files", "model", "money", "studies", "tonight"},
    "console": {"engine", "files", "model", "report", "studies", "tonight", "weather"},
}
# A result finds its report or its picture when it is asked for: these imports stand in methods.
LATE_IMPORTS = {
    ("engine.result", "report"),
    ("engine.risk", "report.page"),
    ("engine.risk", "report.plots"),
    ("engine.risk", "report.verdict"),
    ("engine.risk", "studies.suggestions"),
    ("studies.comparison_result", "report.pictures.rankings"),
    ("studies.comparison_result", "report.plots"),
    ("studies.hindcast_results", "report.pictures.studies"),
    ("studies.hindcast_results", "report.plots"),
    ("studies.hindcast_scores", "report.pictures.studies"),
    ("studies.hindcast_scores", "report.plots"),
    ("studies.iso_risk_curve", "report.pictures.studies"),
    ("studies.iso_risk_curve", "report.plots"),
    ("studies.range_result", "report.pictures.studies"),
    ("studies.range_result", "report.plots"),
    ("studies.range_result", "report.range_report"),
    ("studies.sensitivity_ranking", "report.pictures.rankings"),
    ("studies.sensitivity_ranking", "report.plots"),
    ("studies.sensitivity_ranking", "report.sensitivity_report"),
    ("studies.sizing", "report.pictures.studies"),
    ("studies.sizing", "report.plots"),
    ("studies.sweep_result", "report.pictures.studies"),
    ("studies.sweep_result", "report.plots"),
    ("studies.upgrade_result", "report.pictures.rankings"),
    ("studies.upgrade_result", "report.plots"),
}


def imports_of(name: str) -> tuple[set[str], set[str]]:
    """Modules of the package that a module imports when it is imported, and those that its functions import."""
    at_once: set[str] = set()
    late: set[str] = set()

    def targets(node: ast.ImportFrom) -> set[str]:
        if node.level == 0:
            package, _, rest = (node.module or "").partition(".")
            return {rest} if package == "ridethrough" and rest else set()
        base = name.split(".")[: -node.level]
        inner = [*base, *(node.module or "").split(".")] if node.module else base
        return {".".join([*base, alias.name]) for alias in node.names} if not node.module else {".".join(inner)}

    def visit(nodes: list[ast.stmt], found: set[str]) -> None:
        for node in nodes:
            if isinstance(node, ast.ImportFrom):
                found |= targets(node)
            elif isinstance(node, ast.FunctionDef):
                visit(node.body, late)
            elif not (isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"):
                for block in ("body", "orelse", "finalbody", "handlers"):
                    visit(getattr(node, block, []), found)

    visit(ast.parse(MODULES[name].read_text(encoding="utf-8")).body, at_once)
    return at_once, late


def test_every_arrow_between_sub_packages_is_known() -> None:
    used: dict[str, set[str]] = {room: set() for room in PACKAGE_ARROWS}
    for name in MODULES:
        room, dot, _ = name.partition(".")
        if dot:
            used[room] |= {other.partition(".")[0] for other in imports_of(name)[0]} & set(PACKAGE_ARROWS) - {room}
    assert used == PACKAGE_ARROWS
    TopologicalSorter(PACKAGE_ARROWS).prepare()
    late = {(name, other) for name in MODULES if "." in name for other in imports_of(name)[1] if other != "_core"}
    assert late == LATE_IMPORTS


def test_no_modules_of_the_package_stand_in_a_circle() -> None:
    assert len(MODULES) > 60
    TopologicalSorter({name: imports_of(name)[0] & set(MODULES) for name in MODULES}).prepare()


def test_no_module_bears_the_name_of_a_public_function() -> None:
    public = {name for name in ridethrough.__all__ if callable(getattr(ridethrough, name))}
    assert not public & {part for name in MODULES for part in name.split(".")}


@pytest.mark.parametrize("path", CORE, ids=lambda p: str(p.relative_to(ROOT)))
def test_no_foreign_mathematics(path: Path) -> None:
    code = re.sub(r"//.*", "", path.read_text())
    assert not FOREIGN.search(code), "use ridethrough/base/math.hpp and the project's own draws"


def test_every_layer_is_known() -> None:
    assert {layer_of(p) for p in CORE} == set(ARROWS)


def test_the_shipped_extension_has_nothing_for_tests_alone() -> None:
    package = "".join(path.read_text() for path in PACKAGE.rglob("*.py"))
    used = set(re.findall(r"\b_core\.(\w+)", package))
    for names in re.findall(r"from ridethrough\._core import (\([^)]*\)|.*)", package):
        used |= set(re.findall(r"\w+", names))
    functions = {name for name, member in vars(_core).items() if callable(member) and not isinstance(member, type)}
    assert functions <= used, "what only tests call belongs into cpp/bindings/checks"


def test_what_is_not_needed_at_once_stays_out_of_import() -> None:
    import subprocess
    import sys

    optional = ("scipy", "pandas", "matplotlib", "pvlib", "xarray", "zarr", "dask", "distributed", "SALib", "tqdm")
    late = ("ridethrough.report", "importlib.metadata", "importlib.resources")  # ours that are not needed at once
    code = f"import sys, ridethrough; print([m for m in {optional + late} if m in sys.modules])"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"
