"""How far each kind of reading may lie from the truth: the rows of `data/meter_errors.toml`, by name."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from pathlib import Path

TABLE = Path(__file__).parents[1] / "data" / "meter_errors.toml"


@dataclass(frozen=True)
class ErrorTerm:
    """One row of the table; the file tells what the columns are."""

    name: str
    value: float
    unit: str
    words: str
    source: str


TERMS = {name: ErrorTerm(name=name, **row) for name, row in tomllib.loads(TABLE.read_text(encoding="utf-8")).items()}


def error_value(name: str) -> float:
    """The number of a row, in its unit."""
    return TERMS[name].value


def sum_of_sds(*sds: float) -> float:
    """Standard deviation of a sum of errors that have nothing to do with each other."""
    return math.sqrt(sum(sd * sd for sd in sds))
