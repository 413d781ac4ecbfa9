"""The page on climates: its tables agree with themselves, and its rules with the code."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from ridethrough.weather import world_climate as world

PAGE = Path(__file__).parents[3] / "python" / "docs" / "climate.md"
TEXT = PAGE.read_text(encoding="utf-8")
PLAIN = " ".join(TEXT.split())
WHOLE = ("all", "in the fit", "never in the fit")


def errors_by_files() -> dict[str, tuple[int, float, float, float, float]]:
    """Files, rms and mean of the sun [%], rms and mean of the air [K]; the weighted row is left out."""
    row = r"^\| ([^|]+) \| (\d+) \| ([\d.]+) \(([-+\d.]+)\) \| ([\d.]+) \(([-+\d.]+)\) \|$"
    found = re.findall(row, TEXT, re.M)
    return {
        name: (int(n), float(a), float(b), float(c), float(d))
        for name, n, a, b, c, d in found
        if "weighted" not in name
    }


ERRORS = errors_by_files()
REGIONS = [name for name in ERRORS if name not in WHOLE]


@pytest.mark.parametrize("parts", [REGIONS, ["in the fit", "never in the fit"]], ids=["regions", "fit"])
def test_errors_of_the_parts_make_those_of_the_whole(parts: list[str]) -> None:
    """Each file has twelve months, but for dark ones: squares and means add up by the number of files, to rounding."""
    rows = [ERRORS[name] for name in parts]
    files, *whole = ERRORS["all"]
    assert sum(row[0] for row in rows) == files
    for column, (value, rounding) in enumerate(zip(whole, (0.1, 0.2, 0.01, 0.02), strict=True), 1):
        power = 2 if column % 2 else 1
        pooled = (sum(row[0] * row[column] ** power for row in rows) / files) ** (1 / power if power == 2 else 1)
        assert pooled == pytest.approx(value, abs=rounding), column


CHANCES = {
    name: (int(n), float(mean), float(rms), int(share))
    for name, n, mean, rms, share in re.findall(
        r"^\| ([^|]+) \| (\d+) \| ([-+\d.]+) \| ([\d.]+) \| (\d+) % \|$", TEXT, re.M
    )
}
SEASONS = ["winter", "spring", "summer", "autumn"]
VANS = [name for name in CHANCES if " Ah, " in name]


@pytest.mark.parametrize("parts", [REGIONS, SEASONS, VANS], ids=["regions", "seasons", "vans"])
def test_chances_of_the_parts_make_those_of_the_whole(parts: list[str]) -> None:
    rows = [CHANCES[name] for name in parts]
    months, mean, rms, share = CHANCES["all"]
    assert sum(row[0] for row in rows) == months
    assert sum(row[0] * row[1] for row in rows) / months == pytest.approx(mean, abs=0.1)
    assert (sum(row[0] * row[2] ** 2 for row in rows) / months) ** 0.5 == pytest.approx(rms, abs=0.1)
    assert sum(row[0] * row[3] for row in rows) / months == pytest.approx(share, abs=1)


def test_every_region_is_there() -> None:
    assert len(REGIONS) == 9
    assert ERRORS["in the fit"][0] == len(world.world().fitted)


def test_spreads_cover_what_was_measured() -> None:
    """The drawn error is no smaller than that against files that were left out of the fit."""
    for name in WHOLE:
        _, sun, _, air, _ = ERRORS[name]
        assert sun / 100 <= world.SUN_SD + 0.0005 and air <= world.AIR_SD_K + 0.02, name


def test_rules_are_those_of_the_code() -> None:
    for said in (
        f"standard deviation of {100 * world.SUN_SD:.0f} %, `air_temp_offset_k` with {world.AIR_SD_K:g} K; "
        f"{100 * world.FAR_SUN_SD:.0f} % and {world.FAR_AIR_SD_K:g} K further than {world.FAR_KM:,} km",
        f"wider** ({100 * world.WIDE_SUN_SD:.0f} %, {world.WIDE_AIR_SD_K:g} K;",
        f"over {world.HIGH_M:,} m; more than {world.OFF_CELL_M} m off the altitude of its cell; a coast below "
        f"{world.LOW_SUN_READS:g}°",
        f"mostly sea within {world.COAST_KM} km",
        f"no land of the table within {world.NEAR_LAND_KM} km",
        f"no cell with sun within {world.NEAREST_SUN_KM:g} km",
        f"with temperature within {world.NEAREST_AIR_KM:g} km, and all that is north of {world.MOST_NORTHERN:g}°",
        f"by {world.LAPSE_K_PER_KM:g} K/km",
    ):
        assert said in PLAIN, said


def test_what_is_not_promised_is_said() -> None:
    section = PLAIN.partition("### Not promised")[2].partition("###")[0]
    for word in ("accuracy of one site", "100 km", "snow", "fog", "summer heat", "sale", "twelve normals"):
        assert word in section, word
