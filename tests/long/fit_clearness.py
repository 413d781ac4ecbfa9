"""Fits the learned distribution of daily clearness and the temperature defaults to open stations, and says how well.

    python tests/long/open_data.py && python tests/long/fit_clearness.py

Fitted to: the 38-year series of the crop-model package, five German test reference years whose radiation was measured
(TRY 2010 flags it; the other ten were computed from clouds and vary by a fifth less), and, at half weight because their
radiation is mostly modelled and their months are chosen to be typical, four typical years (Greensboro, Sand Point,
Miami, Chicago), the only ones from warm and from subarctic maritime places. Not fitted to: the 31-year modelled series.

Each station is also predicted by a fit without it. The statistic fitted is the quantile function of each
month's days (100 quantiles, least squares), given only the month's mean clearness and temperature.
"""

from __future__ import annotations

import argparse

import numpy as np
import open_data
import pandas as pd
import ridethrough._checks as _checks
from scipy import optimize, stats

NAMES = ("dull", "clear", "dull_nu", "clear_nu", "draw_together", "high", "high_per_mean")
START = (0.45, 0.8, 12.0, 3.3, 0.32, 0.725, 0.09)
LOWEST, HIGHEST = (0.02, 0.02, 1.5, 1.5, 0, 0.70, -0.2), (0.98, 0.98, 60, 60, 1.5, 0.85, 0.5)
MEASURED = {"CP", "Rostock", "Hamburg", "Potsdam", "Chemnitz", "Mannheim"}
MODELLED = {"GREENSBORO", "SAND POINT", "MIAMI", "Chicago"}
KINDS = ("Bendt", "learned")
U = (np.arange(100) + 0.5) / 100
SCORE = stats.norm.ppf(U)
NODES = np.linspace(-6.25, 6.25, 1001)


def months_of(station: open_data.Station) -> pd.DataFrame:
    """By month: mean clearness and temperature, number of days, the days' clearness, weight in the fit."""
    table = station.table()
    short = next((n for n in MEASURED | MODELLED if n in station.name), station.name)
    rows = []
    for m, days in table.groupby("month"):
        k = np.sort(days.k.to_numpy())
        # About its own mean a month varies by less than about the normal: 1.8/n of the variance is that of its mean,
        # where days have a lag-1 correlation of .29, (1 + .29) / (1 - .29).
        k = k.mean() + (k - k.mean()) * np.sqrt(len(k) / (len(k) - 1.8))
        weight = 1 / (1 + 60 / len(k)) * (1 if short in MEASURED else 0.25)
        rows.append((short, m, k.mean(), days.t.mean(), len(k), k, weight))
    return pd.DataFrame(rows, columns=["station", "month", "k", "t", "days", "values", "weight"])


def quantiles(k: float, t: float, coefficients: tuple[float, ...]) -> np.ndarray:
    named = dict(zip(NAMES, coefficients, strict=True))
    return np.interp(SCORE, NODES, _checks.clearness_table(k, t, **named))


def named(c: tuple[float, ...]) -> str:
    return ", ".join(f"{n} {x:.3f}" for n, x in zip(NAMES, c, strict=True))


def measured_quantiles(values: np.ndarray) -> np.ndarray:
    return np.interp(U, (np.arange(len(values)) + 0.5) / len(values), values)


def fit(months: pd.DataFrame, start: tuple[float, ...] = START) -> tuple[float, ...]:
    aims = [measured_quantiles(v) for v in months["values"]]

    def misses(c: np.ndarray) -> np.ndarray:
        rows = zip(months.k, months.t, months.weight, aims, strict=True)
        return np.concatenate([np.sqrt(w) * (quantiles(k, t, tuple(c)) - aim) for k, t, w, aim in rows])

    found = optimize.least_squares(misses, start, bounds=(LOWEST, HIGHEST), x_scale=START, diff_step=1e-3, max_nfev=30)
    return tuple(found.x)


def bendt(k: float, t: float) -> np.ndarray:
    return np.interp(SCORE, NODES, _checks.bendt_table(k))


def misses(months: pd.DataFrame, model: object) -> dict[str, float]:
    """Means over the months: distance of quantiles, relative miss of the sd, misses of P(k < .2) and the skewness."""
    out = []
    for row in months.itertuples():
        x, v = model(row.k, row.t), row.values  # type: ignore[operator]
        dull = (x < 0.2).mean() - (v < 0.2).mean()
        out.append(
            (np.abs(x - measured_quantiles(v)).mean(), x.std() / v.std() - 1, dull, stats.skew(x) - stats.skew(v))
        )
    return dict(zip(("quantiles", "sd", "P(<.2)", "skew"), np.mean(out, axis=0), strict=True))


def temperature(stations: list[open_data.Station]) -> None:
    """Spread, persistence and coupling by season; the fit of the spread to the normals, each station left out once."""
    rows, seasons = [], []
    for s in stations:
        t = s.table()
        year = 2 * np.pi * t.index.day_of_year.to_numpy() / 365.25
        waves = np.column_stack([np.ones(len(t)), *(f(j * year) for j in (1, 2) for f in (np.cos, np.sin))])
        t["a"] = t.t - waves @ np.linalg.lstsq(waves, t.t.to_numpy(), rcond=None)[0]
        for name in ("k", "a"):
            t["z" + name] = t.groupby("month")[name].transform(
                lambda x: stats.norm.ppf((x.rank(method="first") - 0.5) / len(x))
            )
        normal = t.groupby("month").t.mean()
        for m in range(12):
            rows.append((s.name, t.a[t.month == m].std(), normal.max() - normal.min(), normal[m] - normal.mean()))
        season = ((t.month + 1) % 12 // 3).to_numpy()
        follows = np.flatnonzero(t.follows.to_numpy())
        follows = follows[follows > 0]
        zk, za = t.zk.to_numpy(), t.za.to_numpy()
        for q in range(4):
            i, here = follows[season[follows] == q], season == q
            r = [
                np.corrcoef(x[j], y[j - d])[0, 1]
                for x, y, j, d in ((zk, zk, i, 1), (za, za, i, 1), (zk, za, np.flatnonzero(here), 0))
            ]
            seasons.append((q, *r, np.sqrt(here.sum())))
    d = pd.DataFrame(rows, columns=["station", "sd", "range", "excess"])
    design = np.column_stack([np.ones(len(d)), d.range, d.excess])

    def left_out(columns: np.ndarray) -> float:
        errors = []
        for name in d.station.unique():
            out = (d.station == name).to_numpy()
            c = np.linalg.lstsq(columns[~out], d.sd[~out], rcond=None)[0]
            errors.append(np.mean((d.sd[out] - columns[out] @ c) ** 2))
        return float(np.sqrt(np.mean(errors)))

    base, by_range, by_excess = np.linalg.lstsq(design, d.sd, rcond=None)[0]
    print(f"\ntemperature sd = {base:.2f} + {by_range:.3f} range + {by_excess:.3f} excess")
    print(f"rms miss of a station left out {left_out(design):.2f} K, of one constant {left_out(design[:, :1]):.2f} K")
    e = pd.DataFrame(seasons, columns=["season", "clearness lag-1", "temperature lag-1", "coupling", "weight"])
    for name in e.columns[1:4]:
        by = e.groupby("season")
        pooled = (e[name] * e.weight).groupby(e.season).sum() / by.weight.sum()
        print(
            f"{name} (normal scores), DJF MAM JJA SON:",
            pooled.round(2).tolist(),
            "spread between stations",
            by[name].std().round(2).tolist(),
        )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--short", action="store_true", help="no station left out")
    short = parser.parse_args().short
    every = {s.name: s for s in open_data.stations()}
    chosen = [s for n, s in every.items() if any(x in n for x in MEASURED | MODELLED)]
    months = pd.concat([months_of(s) for s in chosen], ignore_index=True)
    whole = fit(months)
    print("all stations:", named(whole))
    table = {}
    for name in months.station.unique():
        out = months.station == name
        c = whole if short else fit(months[~out], whole)
        print(f"without {name}:", named(c), flush=True)
        table[name] = (misses(months[out], bendt), misses(months[out], lambda k, t, c=c: quantiles(k, t, c)))
    apart = months_of(every["Iowa"])
    table["Iowa (never fitted)"] = (misses(apart, bendt), misses(apart, lambda k, t: quantiles(k, t, whole)))
    rows = {
        name: {f"{what}, {kind}": v for kind, m in zip(KINDS, pair, strict=True) for what, v in m.items()}
        for name, pair in table.items()
    }
    d = pd.DataFrame.from_dict(rows, orient="index")
    d.loc["mean size"] = d.abs().mean()
    print(d[sorted(d.columns)].round(3).to_string())
    temperature([*chosen, every["Iowa"]])


if __name__ == "__main__":
    main()
