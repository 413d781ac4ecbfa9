"""README, pages, notebooks, tables and TOML files use the public names of now: no former one, none undeclared."""

from __future__ import annotations

import ast
import inspect
import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import ridethrough as rt
from ridethrough import _core
from ridethrough.files.scenario import load_scenario
from ridethrough.model import dict_format
from ridethrough.model.classes import CLASSES
from ridethrough.model.declaration_text import fields_of
from ridethrough.model.former_names import former_names as all_former_names

ROOT = Path(__file__).parents[3]
CHANGELOG = ROOT / "python" / "docs" / "changelog.md"  # tells of former names
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "python" / "PARAMETERS.md"]
PAGES += sorted({*(ROOT / "python" / "docs").glob("*.md")} - {CHANGELOG})
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
TOML = sorted([*(ROOT / "python" / "ridethrough" / "data").glob("*.toml"), *(ROOT / "tests" / "data").rglob("*.toml")])
SCENARIOS = [path for path in TOML if re.search(r"^\[trip\]", path.read_text(encoding="utf-8"), flags=re.M)]

FIELDS = {name: {field.name for field in fields_of(cls._declaration)} for name, cls in CLASSES.items()}
ANY_FIELD = {field for fields in FIELDS.values() for field in fields}
DRAWS = {line.split(" -> ")[1] for line in (ROOT / "tests" / "data" / "draw_names.txt").read_text().splitlines()}
OUTPUTS = {
    "columns": {result.name for result in _core.RESULTS},
    "time_series": {series.name for series in _core.TIME_SERIES},
}
FORMER = {f.former_name for cls in CLASSES.values() for f in cls._declaration.fields if f.former_name}
FORMER |= {cls._declaration.former_name for cls in CLASSES.values() if cls._declaration.former_name}
OF_THE_TOP = [(old.split("."), now.split(".")) for old, now in all_former_names().items() if old.startswith("ride")]
FORMER |= {old[-1] for old, now in OF_THE_TOP if old[-1] != now[-1]}  # the others moved only
FORMER |= {*_core.FORMER_RESULTS, "RIDETHROUGH_LEVEL"}
# Words of any text, too: these are looked for only where they can be a name.
WORDS = {name for name in FORMER if re.fullmatch(r"[a-z]+|[A-Z][a-z]+", name)}


def former_names(text: str) -> list[str]:
    """Former names in a text, where they stand as names."""
    sure = FORMER - WORDS - ANY_FIELD
    inside = r"(?<!spread\.)\b(?:rt|ridethrough|van|trip|battery|solar|[A-Z]\w+)[\w.]*\."  # a draw keeps its name
    found = [name for name in sure if re.search(rf"(?:(?<![\w.])|{inside}){name}\b", text)]
    for name in WORDS - ANY_FIELD:
        inside = rf"(?:rt|ridethrough|loads\.\w+|[A-Z]\w+)\.{name}\b"
        as_name = rf'\b{inside}|\b(?:columns|time_series)\["{name}"\]'
        found += [name] if re.search(as_name, text) else []
    return found


def code_of(path: Path) -> Iterator[str]:
    """Pieces of Python in a page or a notebook."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".ipynb":
        yield from ("".join(c["source"]) for c in json.loads(text)["cells"] if c["cell_type"] == "code")
    else:
        yield from re.findall(r"^```python\n(.*?)^```$", text, flags=re.M | re.S)


def tables_of(path: Path) -> Iterator[dict[str, Any]]:
    """TOML in a page."""
    for piece in re.findall(r"^```toml\n(.*?)^```$", path.read_text(encoding="utf-8"), flags=re.M | re.S):
        yield tomllib.loads(piece)


def name_of(node: ast.expr) -> str:
    """`rt.Van` as "Van"."""
    is_ours = isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "rt"
    return node.attr if is_ours and isinstance(node, ast.Attribute) else ""


def unknown_in_code(code: str) -> Iterator[str]:
    """What code takes from the package that the package has not."""
    tree = ast.parse("\n".join(line for line in code.splitlines() if not line.startswith("%")))
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and (name := name_of(node)) and not hasattr(rt, name):
            yield f"rt.{name}"
        if isinstance(node, ast.Call):
            yield from unknown_arguments(node)
        if isinstance(node, ast.Subscript) and isinstance(node.value, ast.Attribute):
            known, key = OUTPUTS.get(node.value.attr), getattr(node.slice, "value", None)
            if known is not None and isinstance(key, str) and key not in known:
                yield f'{node.value.attr}["{key}"]'
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield from unknown_paths(node.value)


def unknown_arguments(call: ast.Call) -> Iterator[str]:
    given = {keyword.arg for keyword in call.keywords if keyword.arg}
    if (name := name_of(call.func)) in FIELDS:
        yield from (f"rt.{name}({field}=...)" for field in sorted(given - FIELDS[name]))
    elif name and inspect.isfunction(getattr(rt, name, None)):
        parameters = inspect.signature(getattr(rt, name)).parameters
        yield from (f"rt.{name}({argument}=...)" for argument in sorted(given - parameters.keys()))


def unknown_paths(text: str) -> Iterator[str]:
    """A dotted path of a van or a trip whose last name no class has."""
    roots = FIELDS["Van"] | {"van", "trip"}
    path = re.fullmatch(r"(\w+)(?:\.\w+)*\.(\w+)", text)
    if text in DRAWS or text.endswith((".hpp", ".cpp", ".py", ".toml", ".md")):
        return
    member = re.fullmatch(
        r"(?:van\.|trip\.)?(?:loads|arrays|batteries|stops|drives|day_trips|idling|generator_runs|shore_power)\.\w+",
        text,
    )
    if path and path[1] in roots and path[2] not in ANY_FIELD | {"kind"} and not member:
        yield text


def unknown_keys(table: dict[str, Any], where: str = "") -> Iterator[str]:
    """Keys of a scenario's tables that no class has; names of loads, arrays and stops are free."""
    for key, value in table.items():
        here = f"{where}.{key}" if where else key
        free = re.fullmatch(r"van\.(loads|arrays|batteries)|trip\.stops", where) or where in ("", "run")
        if not free and key not in ANY_FIELD | {"kind", "habits", "only_these_loads"}:
            yield here
        if isinstance(value, dict) and not {*dict_format.SPREAD_ARGUMENTS, dict_format.MEASURED_ON} & value.keys():
            yield from unknown_keys(value, here)


@pytest.mark.parametrize("path", [*PAGES, *NOTEBOOKS, *TOML], ids=lambda path: path.name)
def test_no_former_name_is_left(path: Path) -> None:
    text = re.sub(r"[\w+/=]{200,}", "", path.read_text(encoding="utf-8"))  # pictures in a notebook's outputs
    assert former_names(text.replace('\\"', '"')) == []


@pytest.mark.parametrize("path", [*PAGES, *NOTEBOOKS], ids=lambda path: path.name)
def test_code_and_tables_in_pages_use_names_that_there_are(path: Path) -> None:
    assert [name for code in code_of(path) for name in unknown_in_code(code)] == []
    if path.suffix == ".md":
        assert [key for table in tables_of(path) for key in unknown_keys(table)] == []


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_what_a_page_names_is_declared(path: Path) -> None:
    """`Class.field`, `van.part.field`, `columns["name"]` and `rt.name` in running text."""
    text = path.read_text(encoding="utf-8")
    for name, field in re.findall(r"`([A-Z]\w+)\.(\w+)`", text):
        assert name not in FIELDS or field in FIELDS[name] or hasattr(CLASSES[name], field), f"{name}.{field}"
    for kind, name in re.findall(r'`(columns|time_series)\["(\w+)"\]`', text):
        assert name in OUTPUTS[kind], name
    for name in re.findall(r"\brt\.(\w+)", text):
        assert hasattr(rt, name), name
    for quoted in re.findall(r"`([a-z_]+(?:\.\w+)+)`", text):
        assert not [*unknown_paths(quoted)], quoted


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_scenario_files_read(path: Path) -> None:
    load_scenario(path)  # InputError of a key that nothing declares


def test_the_checks_see_what_they_look_for() -> None:
    assert former_names("kind = LfpBattery") and former_names('`columns["device"]`') and former_names("rt.PATHS")
    assert former_names("loads.laptop.hours") and former_names("start_charge = 0.5") and not former_names("24 hours")
    code = "rt.Van(panels=1); rt.simulat(); r.columns['devise']; x('battery.capasity_ah')"
    wrong = {"rt.Van(panels=...)", "rt.simulat", 'columns["devise"]', "battery.capasity_ah"}
    assert {*unknown_in_code(code)} == wrong
    assert [*unknown_keys({"van": {"battery": {"capasity_ah": 1}}})] == ["van.battery.capasity_ah"]
