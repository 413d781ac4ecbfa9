"""What would mend the spring: other ways to draw the days, each alone and together, on every record at hand.

    python tests/long/open_data.py && python tests/long/spring_study.py

The generator is written out in NumPy here, with each way as an option; its days are played by the same vans as the
records' (studies.hindcasting takes any daily series). Nights 5. Against the two long records: excess and bias in
points, the odds of each season over what happened. Against all records and typical years: the daily statistics.
"""

from __future__ import annotations

import argparse
import pickle
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

import numpy as np
import open_data
import pandas as pd
import ridethrough as rt
import ridethrough._checks as _checks
from hindcast import WITHOUT
from hindcast_vans import vans
from ridethrough import _core
from scipy import stats

NODES = np.linspace(-6.25, 6.25, 1001)
WEIGHTS = stats.norm.pdf(NODES) / stats.norm.pdf(NODES).sum()
# Inland, from January, of the months' spread of clearness: own reading of two series on one continent.
INLAND = np.array([1, 1.03, 1.10, 1.12, 1.07, 1.05, 1.05, 1.05, 1.08, 1.07, 1.03, 1])
CORRELATION = np.array([-0.2, -0.2, 0.1, 0.1, 0.1, 0.3, 0.3, 0.3, 0, 0, 0, -0.2])
SEASONS = ("winter", "spring", "summer", "autumn")


@dataclass(frozen=True)
class Way:
    """How the days are drawn; as it stands is the generator without any."""

    spread_by_month: bool = False
    spread_sd: float = 0.0
    slow_share: float = 0.0
    slow_lag1: float = 0.93
    air_lag1: float = 0.65
    warm_side: float = 1.0  # factor on temperatures above the normal
    month_before: bool = False  # the spread of temperature by the normals of the month before
    cold_share: float = 0.109


WAYS = {
    "as it was": Way(),
    "a: spread": Way(spread_by_month=True, spread_sd=0.10),
    "a0: spread, no scatter": Way(spread_by_month=True),
    "b: slow part": Way(slow_share=0.1),
    "c: air lag .75": Way(air_lag1=0.75),
    "c: warm side 1.15": Way(air_lag1=0.75, warm_side=1.15),
    "d: month before": Way(month_before=True),
    "a+b": Way(spread_by_month=True, spread_sd=0.10, slow_share=0.1),
    "a+d": Way(spread_by_month=True, spread_sd=0.10, month_before=True),
    "a+c": Way(spread_by_month=True, spread_sd=0.10, air_lag1=0.75),
    "a+b+c": Way(spread_by_month=True, spread_sd=0.10, slow_share=0.1, air_lag1=0.75),
    "a+b+d": Way(spread_by_month=True, spread_sd=0.10, slow_share=0.1, month_before=True),
    "a+b+c+d": Way(spread_by_month=True, spread_sd=0.10, slow_share=0.1, air_lag1=0.75, month_before=True),
}


def stretched(table: np.ndarray, factor: float, clearest: float) -> np.ndarray:
    """Days so much farther from their mean, inside what can be, of the same mean."""
    mean = WEIGHTS @ table
    low, high = -0.5, 1.5
    for _ in range(60):
        centre = (low + high) / 2
        out = np.clip(centre + factor * (table - mean), min(0.02, table[0]), max(clearest, table[-1]))
        low, high = (centre, high) if WEIGHTS @ out < mean else (low, centre)
    return out


def scores(way: Way, corr: np.ndarray, lag1: float, days: int, runs: int, rng: Any) -> tuple[np.ndarray, np.ndarray]:
    """Normal scores of clearness and air, (runs, days); `corr`: same-day correlation by day."""
    b, slow_lag = way.slow_share, way.slow_lag1
    fast_lag = (lag1 - b * slow_lag) / (1 - b) if b else lag1
    e = rng.standard_normal((3, days, runs))
    fast, slow, air = np.empty((3, days, runs))
    for d in range(days):
        r = np.clip(corr[d] / np.sqrt(1 - b), -0.95, 0.95)
        if d == 0:
            fast[d], slow[d] = e[0, d], e[1, d]
            air[d] = r * e[0, d] + np.sqrt(1 - r * r) * e[2, d]
            continue
        phi, psi = fast_lag, way.air_lag1
        c = np.clip(r * (1 - phi * psi) / np.sqrt((1 - phi**2) * (1 - psi**2)), -1, 1)
        fast[d] = phi * fast[d - 1] + np.sqrt(1 - phi**2) * e[0, d]
        slow[d] = slow_lag * slow[d - 1] + np.sqrt(1 - slow_lag**2) * e[1, d]
        air[d] = psi * air[d - 1] + np.sqrt(1 - psi**2) * (c * e[0, d] + np.sqrt(1 - c * c) * e[2, d])
    return (np.sqrt(1 - b) * fast + np.sqrt(b) * slow).T, air.T


def air_sd(air: np.ndarray, way: Way) -> np.ndarray:
    by = np.roll(air, 1) if way.month_before else air
    return np.maximum(1.08 + 0.125 * np.ptp(air) - way.cold_share * (by - air.mean()), 0.8)


def made(station: open_data.Station, way: Way, years: int, coefficients: dict[str, float]) -> tuple[np.ndarray, ...]:
    """Clearness, mean air temperature (years, 365) and the month of each day."""
    site = rt.Site(latitude=station.latitude, longitude=station.longitude)
    normals = rt.normals_of(rt.Trip(site=site, start="2021-06-01 15:00", nights=1), station.days)
    air = np.array(normals.air_temp_c)
    h0 = np.array(_checks.monthly_h0_wh_m2(station.latitude))
    clearest = _checks.clearest_days(station.latitude, 0.0)
    calendar = pd.date_range("2001-01-01", periods=365)
    month = calendar.month.to_numpy() - 1
    rng = np.random.default_rng(7)
    zk, za = scores(way, CORRELATION[month], 0.29, 365, years, rng)
    s = 1 + way.spread_sd * np.clip(rng.standard_normal(years), -2.5, 2.5)
    k = np.empty_like(zk)
    for m in range(12):
        here = month == m
        if h0[m] < 139:
            k[:, here] = 0
            continue
        table = _checks.clearness_table(1000 * normals.ghi_kwh_m2_day[m] / h0[m], air[m], clearest[m], **coefficients)
        base = stretched(table, INLAND[m], clearest[m]) if way.spread_by_month else table
        k[:, here] = np.interp(zk[:, here], NODES, base)
        if way.spread_sd:
            wide = np.interp(zk[:, here], NODES, stretched(base, 1.3, clearest[m]))
            k[:, here] += (s[:, None] - 1) / 0.3 * (wide - k[:, here])
    k = np.clip(k, 0.01, 0.88) * (h0[month] >= 139)
    wave = _wave(air)
    sd = air_sd(air, way)[month]
    f = np.where(za > 0, way.warm_side, 1.0)
    t = wave + sd * (za * f - (way.warm_side - 1) / np.sqrt(2 * np.pi))
    return k, t, month


def _wave(air: np.ndarray) -> np.ndarray:
    middle = np.array([16.5, 46, 75.5, 106, 136.5, 167, 197.5, 228.5, 259, 289.5, 320, 350.5])
    lines = np.stack([np.interp(np.arange(1, 366), middle, unit, period=365) for unit in np.eye(12)])
    month = pd.date_range("2001-01-01", periods=365).month.to_numpy() - 1
    means = np.stack([lines[:, month == m].mean(1) for m in range(12)])
    return np.linalg.solve(means, air) @ lines


def as_days(station: open_data.Station, k: np.ndarray, t: np.ndarray) -> pd.DataFrame:
    """As a daily record: whole years one after the other."""
    years, days = k.shape
    index = pd.date_range("1951-01-01", f"{1950 + years}-12-31")
    index = index[~((index.month == 2) & (index.day == 29))]
    h0 = np.concatenate(
        [
            _core.sky_days(int(d), 1, station.latitude, station.longitude, 0.0)["h0_wh_m2"]
            for d in np.array(pd.date_range("2001-01-01", periods=days).to_numpy().astype("datetime64[D]").astype(int))
        ]
    )
    frame = pd.DataFrame(
        {"ghi_kwh_m2": (k * h0 / 1000).ravel(), "temp_min_c": t.ravel(), "temp_max_c": t.ravel()}, index=index
    )
    every = pd.date_range("1951-01-01", f"{1950 + years}-12-31")
    return frame.reindex(every).ffill()


def by_month(van: rt.Van, trip: rt.Trip, days: pd.DataFrame, trials: int) -> pd.Series:
    found = rt.hindcast(van, trip, days, trials=trials, seed=1)
    return found.frame if hasattr(found, "frame") else found


def statistics(k: np.ndarray, t: np.ndarray, month: np.ndarray, follows: np.ndarray | None = None) -> np.ndarray:
    """By season (rows): sd of clearness, dull days (under half the month's mean), lag-1, 95th percentile, low 5-day
    means (5th percentile over the month's mean), sd and lag-1 of temperature."""
    out = []
    kk, tt = np.atleast_2d(k), np.atleast_2d(t)
    mean_k = np.array([kk[:, month == m].mean() if (month == m).any() else np.nan for m in range(12)])[month]
    season = (month + 1) % 12 // 3
    ak, at = kk - mean_k, tt
    pairs = np.ones(len(month) - 1, bool) if follows is None else follows[1:]
    run5 = np.lib.stride_tricks.sliding_window_view(kk / np.maximum(mean_k, 1e-9), 5, axis=1).mean(-1)
    whole5 = (
        np.ones(len(month) - 4, bool)
        if follows is None
        else np.lib.stride_tricks.sliding_window_view(follows, 5)[:, 1:].all(-1)
    )
    for q in range(4):
        here = (season == q) & (mean_k > 0)
        p = np.flatnonzero(here[1:] & here[:-1] & pairs)
        w = np.flatnonzero(here[:-4] & here[4:] & whole5)
        out.append(
            [
                ak[:, here].std(),
                (kk[:, here] < 0.5 * mean_k[here]).mean(),
                _correlation(ak, p),
                np.quantile((ak + mean_k)[:, here], 0.95),
                np.quantile(run5[:, w], 0.05),
                at[:, here].std(),
                _correlation(at, p),
            ]
        )
    return np.array(out)


def _correlation(x: np.ndarray, days: np.ndarray) -> float:
    """With the day after."""
    return float(np.corrcoef(x[:, days].ravel(), x[:, days + 1].ravel())[0, 1])


NAMES = ("sd k", "dull", "lag1 k", "k 95 %", "5 d q05", "sd T", "lag1 T")


def station_tables(ways: dict[str, Way], years: int) -> None:
    rows = []
    for s in open_data.stations():
        t = s.table()
        year = 2 * np.pi * t.index.day_of_year.to_numpy() / 365.25
        waves = np.column_stack([np.ones(len(t)), *(f(j * year) for j in (1, 2) for f in (np.cos, np.sin))])
        a = t.t.to_numpy() - waves @ np.linalg.lstsq(waves, t.t.to_numpy(), rcond=None)[0]
        real = statistics(t.k.to_numpy(), a, t.month.to_numpy(), t.follows.to_numpy())
        for name, way in ways.items():
            k, air, month = made(s, way, years, {})
            got = statistics(k, air - _wave(np.array([air[:, month == m].mean() for m in range(12)])), month)
            for q in range(4):
                for i, what in enumerate(NAMES):
                    rows.append((s.name[:22], not s.typical, name, SEASONS[q], what, real[q, i], got[q, i]))
    d = pd.DataFrame(rows, columns=["station", "long", "way", "season", "what", "real", "model"])
    d["ratio"] = d.model / d.real
    d["miss"] = d.model - d.real
    for what in NAMES:
        here = d[d.what == what]
        rms = here.groupby(["way", "season"], sort=False).miss.apply(lambda x: np.sqrt(np.mean(x**2))).unstack()
        print(
            f"\n{what}: root mean square over stations; and bias\n",
            pd.concat(
                [rms, here.groupby(["way", "season"], sort=False).miss.mean().unstack().add_prefix("bias ")], axis=1
            )
            .round(3)
            .to_string(),
        )


def hindcasts(ways: dict[str, Way], years: int, trials: int, vans_used: int, held: Path) -> None:
    for name in ("CP", "Iowa"):
        station = {"CP": open_data.nebraska, "Iowa": open_data.iowa}[name]()
        site = rt.Site(latitude=station.latitude, longitude=station.longitude)
        trip = rt.Trip(site=site, start="2021-06-01 15:00", nights=5)
        chosen = dict(list(vans(5).items())[:vans_used])
        file = held / f"{name}_found.pkl"
        if not file.exists():
            file.write_bytes(
                pickle.dumps(
                    {n: rt.hindcast(v, trip, station.days, trials=4, seed=1) for n, (v, _, _) in chosen.items()}
                )
            )
        found = pickle.loads(file.read_bytes())
        for way_name, way in ways.items():
            kept = held / f"{name}_{way_name.replace(' ', '_')}.pkl"
            if not kept.exists():
                k, t, _ = made(station, way, years, WITHOUT.get(name, {}))
                days = as_days(station, k, t)
                risks = {}
                for n, (v, _, _) in chosen.items():
                    frame = by_month(v, trip, days, trials)
                    risks[n] = frame.groupby(frame.index.month).cutout.mean()
                kept.write_bytes(pickle.dumps(risks))
            risks = pickle.loads(kept.read_bytes())
            tell(name, way_name, found, risks)


def tell(record: str, way: str, found: dict[str, Any], risks: dict[str, pd.Series]) -> None:
    rows = []
    rng = np.random.default_rng(0)
    for n, table in found.items():
        frame = table.frame if hasattr(table, "frame") else table
        year, month = frame.index.year.to_numpy(), frame.index.month.to_numpy()
        y = frame.cutout.groupby([year, month]).mean().unstack().to_numpy()
        draws = np.array([np.nanmean(y[rng.integers(0, len(y), len(y))], axis=0) for _ in range(200)])
        for m in range(12):
            f = np.nanmean(y[:, m])
            if 0.01 <= f <= 0.99:
                rows.append((n, m, f, draws[:, m].var(), float(risks[n].get(m + 1, np.nan))))
    d = pd.DataFrame(rows, columns=["van", "month", "f", "v", "p"])
    d["season"] = (d.month + 1) % 12 // 3
    diff = d.p - d.f
    excess = np.sqrt(max(0.0, (diff**2 - d.v).mean()))
    said = d.p.clip(0.002, 0.998)
    lo = (np.log(said / (1 - said)) - np.log(d.f / (1 - d.f))).groupby(d.season).mean()
    by = diff.groupby(d.season).mean()
    ex = (diff**2 - d.v).groupby(d.season).mean().clip(lower=0) ** 0.5
    print(
        f"{record:5} {way:24} excess {100 * excess:.2f} bias {100 * diff.mean():+.2f} | odds "
        + " ".join(f"{SEASONS[q][:2]} {np.exp(lo[q]):.2f}" for q in range(4))
        + " | bias "
        + " ".join(f"{SEASONS[q][:2]} {100 * by[q]:+.1f}" for q in range(4))
        + " | excess "
        + " ".join(f"{100 * ex[q]:.1f}" for q in range(4)),
        flush=True,
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--years", type=int, default=120)
    parser.add_argument("--trials", type=int, default=2)
    parser.add_argument("--vans", type=int, default=10)
    parser.add_argument("--ways", nargs="*", default=list(WAYS))
    parser.add_argument("--stations", action="store_true")
    parser.add_argument("--held", help="where what is done is kept", type=Path, default=open_data.ROOT / "build/spring")
    a = parser.parse_args()
    ways = {n: WAYS[n] for n in a.ways}
    if a.stations:
        station_tables(ways, a.years)
    else:
        hindcasts(ways, a.years, a.trials, a.vans, a.held)


if __name__ == "__main__":
    main()
