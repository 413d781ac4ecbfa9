"""The pages for readers of the repository: links, tables, what they name, the code they show."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import ridethrough._checks as _checks

ROOT = Path(__file__).parents[3]
DOCS = ROOT / "python" / "docs"
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted(DOCS.glob("*.md"))]
MOST_LINES = {"README.md": 199, "DEVELOPERS.md": 80}
FILES = re.compile(r"(?<![\w/])(?:cpp|tests|notebooks|python)/[\w./-]+\w")
IN_THE_CORE = re.compile(r"(?<![\w/])[a-z]+/\w+\.[hc]pp\b")  # as `engine/step.hpp`

ids = [page.name for page in PAGES]
each_page = pytest.mark.parametrize("page", PAGES, ids=ids)


def text_of(page: Path) -> str:
    return page.read_text(encoding="utf-8")


def without_code(page: Path) -> str:
    return re.sub(r"^```.*?^```$", "", text_of(page), flags=re.M | re.S)


def anchors(page: Path) -> set[str]:
    """As GitHub makes them of headings."""
    heads = re.findall(r"^#+ (.*)$", without_code(page), flags=re.M)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


def cells(row: str) -> int:
    return len(re.findall(r"(?<!\\)\|", row)) - 1


@each_page
def test_links_lead_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)\s]+)\)", without_code(page)):
        if target.startswith("https://"):
            continue
        name, _, anchor = target.partition("#")
        there = (page.parent / name).resolve() if name else page
        assert there.exists(), target
        assert not anchor or anchor in anchors(there), target


@each_page
def test_tables_are_well_formed(page: Path) -> None:
    """A line of dashes under the head, the same number of cells in each row, an empty line before and after."""
    for block in re.findall(r"(?:^\|.*\n)+", without_code(page), flags=re.M):
        rows = block.splitlines()
        assert len(rows) >= 3 and re.fullmatch(r"\|(-+\|)+", rows[1]), rows[0]
        assert {cells(row) for row in rows} == {cells(rows[0])}, rows[0]
        assert all(row.endswith("|") for row in rows), rows[0]
        assert f"\n\n{block}" in text_of(page) and f"{block}\n" in text_of(page) + "\n", rows[0]


@each_page
def test_files_that_are_named_exist(page: Path) -> None:
    for name in FILES.findall(text_of(page)):
        assert (ROOT / name).exists(), name
    for name in IN_THE_CORE.findall(text_of(page)):
        assert any((ROOT / "cpp" / home / name).exists() for home in ("include/ridethrough", "include", "src")), name


@pytest.mark.parametrize(("name", "most"), MOST_LINES.items())
def test_the_first_pages_stay_short(name: str, most: int) -> None:
    assert len(text_of(ROOT / name).splitlines()) <= most


def test_every_page_can_be_reached() -> None:
    linked = set(re.findall(r"\(python/docs/([\w.]+\.md)\)", text_of(ROOT / "README.md")))
    assert linked == {page.name for page in DOCS.glob("*.md")}


def test_draws_can_be_had_from_numpy_alone() -> None:
    """The piece of code on random numbers."""
    names: dict[str, object] = {}
    (code,) = re.findall(r"^```python\n(.*?)^```$", text_of(DOCS / "random_numbers.md"), flags=re.M | re.S)
    exec(code, names)
    np.testing.assert_array_equal(names["draws"], _checks.stream_draws(1, "weather.clearness", 0, 5))


def nomenclature() -> Any:
    spec = importlib.util.spec_from_file_location("make_nomenclature", ROOT / "tests" / "make_nomenclature.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_nomenclature_is_that_of_the_declarations() -> None:
    module = nomenclature()
    assert text_of(module.PAGE) == module.page(), "run python tests/make_nomenclature.py"


def test_symbols_inside_the_core_have_a_place_there() -> None:
    """Those of parameters, results and time series must be declared, or the page cannot be written."""
    headers = "\n".join(text_of(path) for path in sorted((ROOT / "cpp" / "include").rglob("*.hpp")))
    names = [
        name for name in re.findall(r"`(\w+::\w+)`", text_of(DOCS / "nomenclature.md")) if name != "Struct::member"
    ]
    assert len(names) > 15
    for name in names:
        struct, member = name.split("::")
        bodies = re.findall(rf"^struct {struct} \{{\n(.*?)^\}};", headers, flags=re.M | re.S)
        assert any(re.search(rf"\b{member}\b", re.sub(r"//.*", "", body)) for body in bodies), name
