"""The generator against measured days by season: the two long daily records (jackknife over years) and typical years.

    python tests/long/open_data.py && python tests/long/generator_seasons.py --keep

Clearness: mean, sd, skewness, lag-1 and lag-2 about the month's mean, P(k < .2), mean length of runs below .2, light of
3 and 7 days in a row over the month's mean light, low quantiles, and the scatter of a month's mean from year to year.
Generated: from the twelve normals alone (learned), and from the record's own days (record). z is the miss in the
record's standard errors. --keep writes python/docs/generated_days.md.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np
import open_data
import pandas as pd
import ridethrough as rt
import ridethrough._checks as _checks
from ridethrough import _core
from scipy import stats

SEASONS = ("DJF", "MAM", "JJA", "SON")
NAMES = (
    *("mean", "sd", "skew", "lag1", "P(<.2)", "run<.2", "3d q05", "7d q05", "7d q01", "var 3d", "var 7d", "var 14d"),
    *("lag2", "years"),
)
PAGE = Path(__file__).parents[2] / "python/docs/generated_days.md"
NAMED = {"CP": "Nebraska"}
# On the page: name, digits, heading.
COLUMNS = (
    ("mean", 3, "mean clearness"),
    ("sd", 3, "spread (sd)"),
    ("lag1", 2, "lag-1"),
    ("lag2", 2, "lag-2"),
    ("run<.2", 2, "dull run, days"),
    ("3d q05", 2, "3 days, 1 in 20"),
    ("7d q05", 2, "7 days, 1 in 20"),
    ("years", 3, "month's mean, sd over years"),
)


def statistics(k: np.ndarray, light: np.ndarray, month: np.ndarray, season: np.ndarray) -> np.ndarray:
    """Of each season (rows); k, light: days in a row, shape (runs of years, days)."""
    month_mean = np.array([k[:, month == m].mean() for m in range(12)])
    month_light = np.array([light[:, month == m].mean() for m in range(12)])
    anomaly = k - month_mean[month]
    out = []
    for q in range(4):
        here = season == q
        pairs = np.flatnonzero(here[1:] & here[:-1])
        dull = k < 0.2
        begins = dull & ~np.concatenate([np.zeros((len(k), 1), bool), dull[:, :-1]], axis=1)
        row = [
            k[:, here].mean(),
            anomaly[:, here].std(),
            stats.skew(k[:, here].ravel()),
            np.corrcoef(anomaly[:, pairs].ravel(), anomaly[:, pairs + 1].ravel())[0, 1],
            dull[:, here].mean(),
            dull[:, here].sum() / max(begins[:, here].sum(), 1),
        ]
        means = {}
        for n in (3, 7, 14):
            inside = np.flatnonzero(here[: len(here) - n + 1] & here[n - 1 :])
            windows = np.lib.stride_tricks.sliding_window_view(light / month_light[month], n, axis=1)[:, inside]
            means[n] = windows.mean(axis=2)
        row += [np.quantile(means[3], 0.05), np.quantile(means[7], 0.05), np.quantile(means[7], 0.01)]
        # Variance of n-day means of clearness over what a first-order process of this sd and lag-1 would have.
        for n in (3, 7, 14):
            inside = np.flatnonzero(here[: len(here) - n + 1] & here[n - 1 :])
            windows = np.lib.stride_tricks.sliding_window_view(anomaly, n, axis=1)[:, inside].mean(axis=2)
            lags = 1 + 2 * sum((1 - j / n) * row[3] ** j for j in range(1, n))
            row.append(windows.var() / (row[1] ** 2 * lags / n))
        triples = np.flatnonzero(here[2:] & here[:-2])
        row.append(np.corrcoef(anomaly[:, triples].ravel(), anomaly[:, triples + 2].ravel())[0, 1])
        row.append(yearly_scatter(k, month, here))
        out.append(row)
    return np.array(out)


def yearly_scatter(k: np.ndarray, month: np.ndarray, here: np.ndarray) -> float:
    """Standard deviation, from year to year, of a month's mean clearness, over the months of a season."""
    found = []
    for m in np.unique(month[here]):
        inside = month == m
        begins = np.flatnonzero(inside & ~np.concatenate([[False], inside[:-1]]))
        ends = np.flatnonzero(inside & ~np.concatenate([inside[1:], [False]])) + 1
        means = np.array([k[:, a:b].mean(axis=1) for a, b in zip(begins, ends, strict=True) if b - a >= 28])
        found.append(means.ravel().var(ddof=1) if means.size > 1 else np.nan)
    return float(np.sqrt(np.mean(found)))


def calendar(index: pd.DatetimeIndex) -> tuple[np.ndarray, np.ndarray]:
    month = index.month.to_numpy() - 1
    return month, (month + 1) % 12 // 3


def measured(station: open_data.Station) -> tuple[np.ndarray, np.ndarray]:
    """Statistics of the whole record and their jackknife standard errors over years."""
    t = station.table()
    light = station.days.ghi_kwh_m2.reindex(t.index).to_numpy()

    def of(keep: np.ndarray) -> np.ndarray:
        month, season = calendar(t.index[keep])
        return statistics(t.k.to_numpy()[keep][None], light[keep][None], month, season)

    years = np.unique(t.year)
    every = of(np.ones(len(t), bool))
    if len(years) < 10:
        return every, np.full_like(every, np.nan)
    parts = np.array([of((t.year != y).to_numpy()) for y in years])
    return every, np.sqrt((len(years) - 1) * parts.var(axis=0))


def generated(climate: rt.Climate, trials: int) -> np.ndarray:
    days = 365
    first = int(_core.day_number(2001, 1, 1))
    w = _checks.generate_weather(climate, first, days, trials, 11, utc_offset_h=round(climate.longitude / 15))
    month, season = calendar(pd.date_range("2001-01-01", periods=days))
    return statistics(w["clearness"], w["ghi_w_m2"].sum(axis=2) / 1000, month, season)


def page_rows(name: str, real: np.ndarray, made: np.ndarray) -> list[str]:
    rows = []
    for q, season in enumerate(SEASONS):
        cells = []
        for what, digits, _ in COLUMNS:
            at = NAMES.index(what)
            true, found = (f"{v:.{digits}f}".replace("0.", ".", 1) for v in (real[q, at], made[q, at]))
            cells.append("" if not np.isfinite(real[q, at]) else f"{true}, {found}")
        rows.append(f"| {name} | {season} | {' | '.join(cells)} |")
    return rows


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trials", type=int, default=300)
    parser.add_argument("--keep", action="store_true", help="write python/docs/generated_days.md")
    arguments = parser.parse_args()
    trials, rows = arguments.trials, []
    for station in open_data.stations():
        site = rt.Site(latitude=station.latitude, longitude=station.longitude)
        normals = rt.normals_of(rt.Trip(site=site, start="2021-06-01 15:00", nights=1), station.days)
        real, error = measured(station)
        models = {"learned": normals, "Bendt": normals.replace(clearness_days="bendt")}
        if not station.typical:
            place = {"latitude": station.latitude, "longitude": station.longitude}
            models["record"] = rt.Climate.from_daily(station.days, **place)
        made = {name: generated(c, trials) for name, c in models.items()}
        rows += page_rows(NAMED.get(station.name, station.name.strip('"').title()), real, made["learned"])
        print(f"\n{station.name}, {station.source}")
        for q, season in enumerate(SEASONS):
            table = {"measured": real[q], "s.e.": error[q]}
            for name, values in made.items():
                table[name] = values[q]
                table["z " + name] = (values[q] - real[q]) / error[q]
            print(season, "\n", pd.DataFrame(table, index=NAMES).T.round(3).to_string())
    if arguments.keep:
        heads = f"| record | season | {' | '.join(text for *_, text in COLUMNS)} |\n|{(2 + len(COLUMNS)) * '---|'}\n"
        words = PAGE.read_text(encoding="utf-8").partition("| record |")[0]
        PAGE.write_text(words + heads + "\n".join(rows) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
