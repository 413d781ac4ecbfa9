"""Works out the tables of python/ridethrough/known_errors.py: what known errors do to the log odds of a cut-out.

    tests/long/hindcast.py --nights 1|3|5|7 first (it leaves its van-months in build/hindcast), then
    python tests/long/known_errors.py [--trials 60]

Weather: root mean square of the difference between the model's log odds and the hindcast's over van-months with a
frequency of 3 to 97 %, less the noise of both (years drawn again; trials). Battery and fridge: the same vans played
on the same trials with one input changed.
"""

from __future__ import annotations

import argparse

import hindcast
import numpy as np
import open_data
import pandas as pd
import ridethrough as rt

SEASONS = ("DJF", "MAM", "JJA", "SON")
NIGHTS = (1, 3, 5, 7)
INSIDE = 0.03


def logit(p: np.ndarray) -> np.ndarray:
    return np.log(p / (1 - p))


def season(month: pd.Series) -> pd.Series:
    return month % 12 // 3


def weather(model: str) -> pd.DataFrame:
    """Van-months of all records and nights: squared miss of the log odds less its noise, and a year's noise."""
    rows = []
    for nights in NIGHTS:
        m = hindcast.kept("months", nights)
        if "model" not in m:
            continue
        f, p = m.frequency, m.probability
        m = m[(m.model == model) & m.van.str.contains("Ah") & (f > INSIDE) & (f < 1 - INSIDE) & (p > 0) & (p < 1)]
        f, p = m.frequency, m.probability
        half = (m.probability_high - m.probability_low) / 2 / 1.96
        noise = (m.noise / (f * (1 - f))) ** 2
        miss = logit(p) - logit(f)
        rows.append(pd.DataFrame({"record": m.record, "nights": nights, "season": season(m.month), "miss": miss,
                                  "square": miss**2 - noise - (half / (p * (1 - p))) ** 2,
                                  "year": noise * m.start_days / 30}))  # fmt: skip
    return pd.concat(rows, ignore_index=True)


def root(values: pd.Series) -> float:
    return float(np.sqrt(max(values.mean(), 0)))


def tables(kind: str) -> None:
    m = weather(kind)
    for name, column, of in (("excess", "square", root), ("bias", "miss", "mean"), ("van-months", "miss", "size"),
                             ("one year's noise", "year", root)):  # fmt: skip
        for by in (["season"], ["record", "season"]):
            t = m.groupby(["nights", *by])[column].agg(of).unstack(-1)
            print(f"\nweather, {kind}: {name} of log odds\n{t.round(2).to_string()}")


def changed() -> dict[str, dict[str, dict[str, object]]]:
    """By chemistry: name of a known error and the inputs that stand for it."""
    cool = {"fridge.carnot_share": 0.9 * rt.Fridge().carnot_share}
    return {
        "AGM": {
            "volts -.1": {"battery.rest_voltage_offset_v": rt.normal(-0.1, 0.05)},
            "volts +.1": {"battery.rest_voltage_offset_v": rt.normal(0.1, 0.05)},
            "capacity -3 %": {"battery.capacity_ah": 0.97},
            "fridge -10 %": cool,
        },
        "LFP": {
            "volts -.1": {"battery.rest_voltage_offset_v": rt.normal(-0.1, 0.05)},
            "volts +.1": {"battery.rest_voltage_offset_v": rt.normal(0.1, 0.05)},
            "capacity -3 %": {"battery.capacity_ah": 0.97},
            "fridge -10 %": cool,
        },
    }


def shifts(station: open_data.Station, trials: int) -> pd.DataFrame:
    site = rt.Site(latitude=station.latitude, longitude=station.longitude)
    rows = []
    for nights in NIGHTS:
        trip = rt.Trip(site=site, start="2021-06-01 15:00", nights=nights)
        there = trip.replace(site=site.replace(climate=rt.normals_of(trip, station.days)))
        for name, (van, _, _) in hindcast.vans(nights).items():
            base = rt.monthly_risk(van, there, trials=trials, seed=3).probability
            for what, inputs in changed()[name[:3]].items():
                new = dict(inputs)
                if "battery.capacity_ah" in new:
                    new["battery.capacity_ah"] *= van.battery.capacity_ah
                risk = rt.monthly_risk(van.replace(**new), there, trials=trials, seed=3).probability
                good = (base > INSIDE) & (base < 1 - INSIDE) & (risk > 0) & (risk < 1)
                d = logit(risk[good]) - logit(base[good])
                month = d.index.to_series()
                rows.append(pd.DataFrame({"kind": name[:3], "what": what, "nights": nights, "season": season(month),
                                          "shift": d}))  # fmt: skip
    return pd.concat(rows, ignore_index=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trials", type=int, default=60, help="0: the weather alone")
    parser.add_argument("--records", nargs="*", default=["CP"])
    arguments = parser.parse_args()
    for model in ("normals", "Bendt", "record"):
        tables(model)
    for name in arguments.records if arguments.trials else []:
        d = shifts({"CP": open_data.nebraska, "Iowa": open_data.iowa}[name](), arguments.trials)
        t = d.groupby(["kind", "what", "nights", "season"])["shift"].mean().unstack(-1)
        print(f"\nshift of log odds, {name}\n{t.round(2).to_string()}")


if __name__ == "__main__":
    main()
