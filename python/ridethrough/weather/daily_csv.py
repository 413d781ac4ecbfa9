"""Daily weather in a plain CSV file.

::

    # latitude: 44.5 N
    # longitude: 110 W
    # name: Valley
    date,ghi_kwh_m2,temp_min_c,temp_max_c
    2019-01-01,1.42,-12.1,-1.5

Lines that begin with # before the header may give the place (in any notation of `coordinates`), ``utc_offset_h``,
``name`` and ``source``. Columns, in any order, others are ignored: ``date`` (YYYY-MM-DD), ``temp_min_c`` and
``temp_max_c`` [degC], and ``ghi_kwh_m2`` [kWh/m2 a day] or ``ghi_mj_m2`` [MJ/m2 a day]. Days follow each other, a year
or more; a number, or nothing where it was not measured, which is refused by name and line.
"""

from __future__ import annotations

import csv
import datetime
import importlib
import math
from pathlib import Path
from typing import Any

from ridethrough._core import InputError

from ..model.classes import Climate
from ..model.coordinates import read_coordinate
from ..model.errors import bad_input, missing_package, with_prefix
from . import climate_from_data
from .climate_fit import DAILY_COLUMNS

SUN = {"ghi_kwh_m2": 1.0, "ghi_mj_m2": 1 / 3.6}
KEYS = ("latitude", "longitude", "utc_offset_h", "name", "source")


def is_daily_csv(head: str) -> bool:
    """Whether the first lines of a file are those of a daily CSV."""
    rows = [line for line in head.splitlines() if line.strip() and not line.startswith("#")]
    return bool(rows) and "date" in [name.strip().lower() for name in rows[0].split(",")]


def read_daily_csv(path: str | Path, *, latitude: float | None = None, longitude: float | None = None) -> Climate:
    """A `Climate` with its record; ``latitude`` and ``longitude`` [deg] where the file does not give its place."""
    path = Path(path)
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except UnicodeDecodeError:
        raise bad_input(str(path), reason="not a text in UTF-8") from None
    try:
        about, first = _about(lines)
        values: dict[str, Any] = {"latitude": latitude, "longitude": longitude} | about
        for name in ("latitude", "longitude"):
            if values[name] is None:
                raise bad_input(
                    name, reason="must be given", hint=f"write a line such as '# {name}: 44.5' before the header"
                )
        frame = _frame(lines[first:], first + 1)
        return climate_from_data.from_daily(Climate, frame, **({"source": f"daily file {path.name}"} | values))
    except InputError as error:
        raise with_prefix(str(path), error) from None


def _about(lines: list[str]) -> tuple[dict[str, Any], int]:
    """What the lines before the header say, and where the header stands."""
    about: dict[str, Any] = {}
    for i, line in enumerate(lines):
        if line.strip() and not line.startswith("#"):
            return about, i
        key, colon, value = line.lstrip("# ").partition(":")
        key, value = key.strip().lower(), value.strip()
        if not colon or key not in KEYS:
            continue
        if key in ("latitude", "longitude"):
            about[key] = read_coordinate(key, value)
        else:
            about[key] = _number(i + 1, key, value) if key == "utc_offset_h" else value
    raise bad_input("header", reason="it has no header")


def _frame(lines: list[str], first_line: int) -> Any:
    rows = csv.reader(lines)
    header = [name.strip().lower() for name in next(rows)]
    sun = [name for name in SUN if name in header]
    missing = [name for name in ("date", *DAILY_COLUMNS[1:]) if name not in header]
    if missing or len(sun) != 1:
        what = f"no column {', '.join(missing)}" if missing else f"needs one of {', '.join(SUN)}"
        raise bad_input(f"line {first_line}", reason=what, hint=f"it has {', '.join(header)}")
    at = {name: header.index(name) for name in ("date", sun[0], *DAILY_COLUMNS[1:])}
    days: list[datetime.date] = []
    columns: list[list[float]] = [[], [], []]
    for number, row in enumerate(rows, first_line + 1):
        if not any(cell.strip() for cell in row):
            continue
        if len(row) < len(header):
            raise bad_input(f"line {number}", reason=f"{len(row)} cells; the header has {len(header)}")
        days.append(_date(number, row[at["date"]], days))
        for column, name in zip(columns, (sun[0], *DAILY_COLUMNS[1:]), strict=True):
            column.append(_number(number, name, row[at[name]].strip()) * SUN.get(name, 1.0))
    try:
        pandas = importlib.import_module("pandas")
    except ImportError:
        raise missing_package("weather files need pandas", "pip install '.[weather]' in a checkout") from None
    return pandas.DataFrame(dict(zip(DAILY_COLUMNS, columns, strict=True)), index=pandas.DatetimeIndex(days))


def _date(line: int, text: str, before: list[datetime.date]) -> datetime.date:
    try:
        day = datetime.date.fromisoformat(text.strip())
    except ValueError:
        raise with_prefix(f"line {line}", bad_input("date", text.strip(), allowed="YYYY-MM-DD")) from None
    if before and day != before[-1] + datetime.timedelta(days=1):
        wrong = bad_input("date", str(day), reason=f"comes after {before[-1]}; days must be in a row")
        raise with_prefix(f"line {line}", wrong)
    return day


def _number(line: int, name: str, text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        hint = "decimals with a point" if "," in text else ""
        raise with_prefix(f"line {line}", bad_input(name, text, allowed="a number", hint=hint))
    return value
