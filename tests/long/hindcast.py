"""The full hindcast: ten vans through every start day of the long daily records, model from the twelve normals alone.

    python tests/long/open_data.py && python tests/long/hindcast.py --keep

prints tables of each record and writes tests/data/hindcast and the tables of python/docs/accuracy.md anew, with the
model's stamp. The 38-year series was among the stations that the daily distribution was learned from, so it is also
scored with coefficients fitted without it; the 31-year one was not.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

import hindcast_tables
import numpy as np
import open_data
import pandas as pd
import ridethrough as rt
import ridethrough._checks as _checks
from hindcast_vans import vans
from ridethrough import _core

KEPT = open_data.ROOT / "build/hindcast"
UNSEEN = {"CP": "without", "Iowa": "learned"}  # by record: the model whose coefficients were not fitted to it

# Learned without CP.dat: tests/long/fit_clearness.py prints these.
WITHOUT = {
    "CP": {
        "dull": 0.537,
        "clear": 0.839,
        "dull_nu": 14.70,
        "clear_nu": 2.717,
        "draw_together": 0.515,
        "high": 0.730,
        "high_per_mean": 0.106,
    }
}


def quantile_climate(normals: rt.Climate, station: open_data.Station, coefficients: dict[str, float]) -> rt.Climate:
    """The normals with days of a learned distribution of other coefficients, as a record of its quantiles."""
    h0 = _checks.monthly_h0_wh_m2(station.latitude)
    score = np.linspace(-6.25, 6.25, 1001)
    days = pd.date_range("1951-01-01", "1990-12-31")
    rows = pd.DataFrame(index=days, columns=["ghi_kwh_m2", "temp_min_c", "temp_max_c"], dtype=float)
    clearest, spread = _checks.clearest_days(station.latitude, 0.0), _checks.clearness_spread(normals)
    for m in range(12):
        inside = days.month == m + 1
        mean = 1000 * normals.ghi_kwh_m2_day[m] / h0[m]
        table = _checks.clearness_table(mean, normals.air_temp_c[m], clearest[m], **coefficients)
        table = _checks.spread_days(table, spread[m], clearest[m])
        u = (np.arange(inside.sum()) + 0.5) / inside.sum()
        k = np.interp(_inverse_normal(u), score, table)
        day = np.array(days[inside].to_numpy().astype("datetime64[D]").astype(int))
        sky = np.concatenate(
            [_core.sky_days(int(d), 1, station.latitude, station.longitude, 0.0)["h0_wh_m2"] for d in day]
        )
        rows.loc[inside, "ghi_kwh_m2"] = k * sky / 1000
        rows.loc[inside, ["temp_min_c", "temp_max_c"]] = normals.air_temp_c[m]
    made = rt.Climate.from_daily(rows, latitude=station.latitude, longitude=station.longitude)
    return normals.replace(weather_series=made.weather_series, clearness_days="record")


def _inverse_normal(u: np.ndarray) -> np.ndarray:
    from scipy.stats import norm

    return np.asarray(norm.ppf(u))


def mean_of(found: dict[str, Any]) -> dict[str, pd.DataFrame]:
    """All vans as one: what a table by month shows. Their trials go together, so the interval is the mean of theirs."""
    frame = sum(table.frame for table in found.values()) / len(found)
    return {"mean of the vans": frame}


def run(station: open_data.Station, kinds: list[str], arguments: argparse.Namespace) -> None:
    site = rt.Site(latitude=station.latitude, longitude=station.longitude)
    trip = rt.Trip(site=site, start="2021-06-01 15:00", nights=arguments.nights)
    normals = rt.normals_of(trip, station.days)
    chosen = dict(list(vans(arguments.nights).items())[: arguments.vans])
    begin = time.perf_counter()
    found = {
        name: rt.hindcast(v, trip, station.days, trials=arguments.trials, seed=1) for name, (v, _, _) in chosen.items()
    }
    days = len(next(iter(found.values())))
    print(
        f"\n{station.name}, {station.source}: {days} start days, {len(found)} vans, {arguments.trials} trials each, "
        f"{arguments.nights} nights; {time.perf_counter() - begin:.0f} s"
    )
    for kind in kinds:
        climate = {"learned": normals, "bendt": normals.replace(clearness_days="bendt")}.get(kind)
        if kind == "without":
            climate = quantile_climate(normals, station, WITHOUT[station.name])
        if kind == "record":
            climate = rt.Climate.from_daily(station.days, latitude=station.latitude, longitude=station.longitude)
        there = trip.replace(site=site.replace(climate=climate))
        risks = {n: rt.monthly_risk(v, there, trials=arguments.risk_trials, seed=2) for n, (v, _, _) in chosen.items()}
        says = {n: rt.worksheet_says_empty(risks[n], wh, deepest=share) for n, (_, wh, share) in chosen.items()}
        scores = rt.score_hindcasts(found, risks, worksheet=says)
        whole = rt.score_hindcasts(mean_of(found), mean_of(risks)).months
        parts = {
            "months": pd.concat([scores.months, whole]),
            "summary": scores.summary.rename_axis("van").reset_index(),
            "reliability": scores.reliability,
        }
        KEPT.mkdir(parents=True, exist_ok=True)
        for part, frame in parts.items():
            frame.to_csv(KEPT / f"{station.name}_{arguments.nights}_{kind}_{part}.csv", index=False)
        print(f"\n--- model: {kind}\n{scores.summary.round(4).to_string()}")
        print(scores.reliability.round(4).to_string(), flush=True)
        if arguments.months:
            m = scores.months
            for value in ("frequency", "probability"):
                print(value, "\n", (100 * m.pivot(index="van", columns="month", values=value)).round(1).to_string())
            d = (m.probability - m.frequency)[m.judged]
            print("bias by month, points:", (100 * d.groupby(m.month).mean()).round(1).to_dict())


def kept(part: str, nights: int = 5) -> pd.DataFrame:
    """What `run` left: "months", "summary" or "reliability" of every record, for models not fitted to it."""
    frames = []
    for record, unseen in UNSEEN.items():
        for model, kind in (("normals", unseen), ("Bendt", "bendt"), ("record", "record")):
            file = KEPT / f"{record}_{nights}_{kind}_{part}.csv"
            if file.exists():
                frames.append(pd.read_csv(file).assign(record=record, model=model))
    return pd.concat(frames, ignore_index=True)


def main(given: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--records", nargs="*", default=["CP", "Iowa"])
    parser.add_argument("--kinds", nargs="*", default=["bendt", "without", "learned", "record"])
    parser.add_argument("--trials", type=int, default=4)
    parser.add_argument("--risk-trials", type=int, default=300)
    parser.add_argument("--nights", type=int, default=5)
    parser.add_argument("--vans", type=int, default=99)
    parser.add_argument("--months", action="store_true")
    parser.add_argument("--keep", action="store_true", help="renew tests/data/hindcast and python/docs/accuracy.md")
    arguments = parser.parse_args(given)
    if arguments.keep and arguments.nights != 5:
        parser.error("--keep: the stored tables are of 5 nights")
    for name in arguments.records:
        station = {"CP": open_data.nebraska, "Iowa": open_data.iowa}[name]()
        run(station, [k for k in arguments.kinds if k != "without" or name in WITHOUT], arguments)
    if arguments.keep:
        hindcast_tables.store({part: kept(part).round(4) for part in hindcast_tables.PARTS})
    return 0


if __name__ == "__main__":
    sys.exit(main())
