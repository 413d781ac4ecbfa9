"""The twelve normals that notebooks and scenarios hold, worked out again from the typical years in public packages."""

from __future__ import annotations

import ast
import json
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pvlib
from ridethrough.files.scenario import demo_path
from ridethrough.weather.weather_files import read_weather

ROOT = Path(__file__).parents[2]
IN_PVLIB = Path(pvlib.__file__).parent / "data"
FILES = {
    "TMY3 723170": IN_PVLIB / "723170TYA.CSV",
    "TMY3 703165": IN_PVLIB / "703165TY.csv",
    "TMY2 12839": IN_PVLIB / "12839.tm2",
    "TMY3 725300": ROOT / "build/open_data/besos/data/example_epw.epw",  # fetched by tests/long/open_data.py
}
Normals = tuple[list[float], list[float]]  # kWh/m2 a day, degC


@dataclass
class Written:
    """Normals as they stand in a file of this project."""

    where: str
    station: str
    normals: Normals

    def misses(self, made: Normals) -> tuple[float, float]:
        """Largest difference in kWh/m2 a day and in degC; half of the last digit is rounding."""
        sun, air = (
            max(abs(a - b) for a, b in zip(here, there, strict=True))
            for here, there in zip(self.normals, made, strict=True)
        )
        return sun, air


def normals(station: str) -> Normals:
    """As `rt.Climate.from_hourly` and the command line have them."""
    climate = read_weather(FILES[station])
    return list(climate.ghi_kwh_m2_day), list(climate.air_temp_c)


def _station(source: str) -> str:
    return source.split(",")[0]


def _in_notebook(path: Path) -> Iterator[Written]:
    """Climates written out with their source, and the table NORMALS of (latitude, longitude, source, sun, air)."""
    for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
        if cell["cell_type"] != "code":
            continue
        for node in ast.walk(ast.parse("".join(cell["source"]))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "rt.Climate":
                given = {word.arg: word.value for word in node.keywords}
                if isinstance(given.get("source"), ast.Constant):
                    source, sun, air = (ast.literal_eval(given[n]) for n in ("source", "ghi_kwh_m2_day", "air_temp_c"))
                    yield Written(path.name, _station(source), (sun, air))
            elif isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "NORMALS":
                for _, _, source, sun, air in ast.literal_eval(node.value).values():
                    yield Written(path.name, _station(source), (sun, air))


def _in_scenario(path: Path) -> Iterator[Written]:
    climate: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))["trip"]["site"]["climate"]
    if climate["source"].startswith("TMY"):
        yield Written(path.name, _station(climate["source"]), (climate["ghi_kwh_m2_day"], climate["air_temp_c"]))


def written() -> list[Written]:
    """All of them."""
    notebooks = sorted((ROOT / "notebooks").glob("*.ipynb"))
    scenarios = [demo_path(), *sorted((ROOT / "tests/data/scenarios").glob("*.toml"))]
    return [*(w for p in notebooks for w in _in_notebook(p)), *(w for p in scenarios for w in _in_scenario(p))]
