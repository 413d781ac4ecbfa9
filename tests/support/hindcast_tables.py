"""The hindcast of two long daily records, as `tests/long/hindcast.py --keep` left it, and its tables in the docs."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pandas as pd
from hindcast_vans import model_stamp

STORED = Path(__file__).parents[1] / "data" / "hindcast"
PAGE = Path(__file__).parents[2] / "python" / "docs" / "accuracy.md"
PARTS = ("months", "summary", "reliability")
MEAN = "mean of the vans"
NAMES = {"CP": "Nebraska, 38 years", "Iowa": "Iowa, 31 years"}
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def stored(part: str) -> pd.DataFrame:
    """Part "months", "summary" or "reliability", of columns record ("CP", "Iowa") and model ("normals", ...)."""
    return pd.read_csv(STORED / f"{part}.csv", comment="#")


def stamp_of(part: str) -> str:
    """The model that a stored table comes from."""
    first = (STORED / f"{part}.csv").read_text(encoding="utf-8").splitlines()[0]
    return first.removeprefix("# model ")


def store(tables: dict[str, pd.DataFrame]) -> None:
    """Write the tables with the model's stamp, and what the page on accuracy shows of them."""
    stamp = model_stamp()
    for part, frame in tables.items():
        (STORED / f"{part}.csv").write_text(f"# model {stamp}\n" + frame.to_csv(index=False), encoding="utf-8")
    PAGE.write_text(renewed(PAGE.read_text(encoding="utf-8")), encoding="utf-8")


def renewed(text: str) -> str:
    """The page's text with the table of months and the scores that are stored."""
    for rows in (months_table(), scores_table()):
        text = re.sub(rf"^{re.escape(rows[0])}\n(?:\|.*\n)+", "\n".join(rows) + "\n", text, flags=re.M)
    return text


def _told(row: Any, name: str) -> str:
    value, low, high = (100 * row[name + end] for end in ("", "_low", "_high"))
    return f"{value:.1f} ({low:.1f}-{high:.1f})"


def months_table() -> list[str]:
    """Month by month, the mean of all vans: how often it happened and what the model said, %, with 95 % intervals."""
    m = stored("months").query("van == @MEAN and model == 'normals'").set_index(["record", "month"])
    heads = [f"{name}: happened | model" for name in NAMES.values()]
    lines = [f"| | {' | '.join(heads)} |", "|---|" + 2 * len(heads) * "---|"]
    for number, month in enumerate(_MONTHS, 1):
        rows = [m.loc[(record, number)] for record in NAMES]
        cells = [_told(row, name) for row in rows for name in ("frequency", "probability")]
        lines.append(f"| {month} | {' | '.join(cells)} |")
    return lines


def scores_table() -> list[str]:
    """The summary over all vans, a row a record."""
    lines = [
        "| record | mean difference, points | of a perfect model | excess | bias (standard error) | Brier score | "
        "skill on the month's past frequency | skill on a worksheet |",
        "|---|---|---|---|---|---|---|---|",
    ]
    summary = stored("summary").query("van == 'all' and model == 'normals'").set_index("record")
    for record, name in NAMES.items():
        s = summary.loc[record]
        lines.append(
            f"| {name} | {100 * s.mean_abs:.1f} | {100 * s.floor:.1f} | {100 * s.excess:.1f} | {100 * s.bias:+.1f} "
            f"({100 * s.bias_se:.1f}) | {s.brier:.2f} | "
            f"{s.skill_climatology:+.4f} ({s.skill_climatology_low:+.4f} to {s.skill_climatology_high:+.4f}) | "
            f"{s.skill_worksheet:.2f} ({s.skill_worksheet_low:.2f}-{s.skill_worksheet_high:.2f}) |"
        )
    return lines
