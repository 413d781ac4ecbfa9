"""The table of meter errors: every number has its unit, its words and its source, and is used."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from ridethrough.tonight.meter_errors import TABLE, TERMS, error_value, sum_of_sds

ROOM = Path(__file__).parents[3] / "python" / "ridethrough" / "tonight"


@pytest.mark.parametrize("name", TERMS)
def test_every_row_is_complete(name: str) -> None:
    row = tomllib.loads(TABLE.read_text(encoding="utf-8"))[name]
    assert set(row) == {"value", "unit", "words", "source"}
    assert 0 < error_value(name) < 100
    assert row["unit"] and len(row["words"]) > 20
    assert re.match(r"from memory|common practice|own choice|own measure: .+", row["source"])


def test_every_row_is_used() -> None:
    code = "".join(path.read_text(encoding="utf-8") for path in ROOM.glob("*.py"))
    patterns = {
        re.sub(r"\\\{[^}]*\\\}", "[a-z_]*", re.escape(text)) for text in re.findall(r'f?"([\w{}\'. ()]+)"', code)
    }
    unused = [name for name in TERMS if not any(re.fullmatch(pattern, name) for pattern in patterns if "_" in pattern)]
    assert unused == []


def test_the_model_has_one_term_of_its_own() -> None:
    assert [name for name, term in TERMS.items() if "model's own discrepancy" in term.words] == [
        "model_discrepancy_share"
    ]


def test_errors_that_are_independent_add_as_squares() -> None:
    assert sum_of_sds(3, 4) == 5
    assert sum_of_sds() == 0
