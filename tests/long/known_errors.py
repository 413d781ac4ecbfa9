"""Works out the tables of python/ridethrough/data/known_errors.toml: what known errors do to the log odds of a cut-out.

    python tests/long/open_data.py && python tests/long/known_errors.py --keep

plays the hindcasts over 1, 3, 5 and 7 nights first (--played: it takes those that build/hindcast holds).

Weather: root mean square of the difference between the model's log odds and the hindcast's over van-months with a
frequency of 3 to 97 %, less the noise of both (years drawn again; trials). Fridge in heat and cold: against CoolProp's
cycle.
"""

from __future__ import annotations

import argparse
from typing import Any

import hindcast
import numpy as np
import open_data
import pandas as pd
import vapour_cycle as cop
from hindcast_vans import model_stamp

SEASONS = ("DJF", "MAM", "JJA", "SON")
NIGHTS = (1, 3, 5, 7)
INSIDE = 0.03
HEAD = """\
# What the model's known errors do to the log odds of a cut-out, one standard deviation or root mean square: written by
# tests/long/known_errors.py --keep. Rows: 1, 3, 5 and 7 nights; columns: winter, spring, summer, autumn. `model` is the
# stamp of the model that it was worked out with (tests/support/hindcast_vans.py).
"""


def logit(p: np.ndarray) -> np.ndarray:
    return np.log(p / (1 - p))


def season(month: pd.Series) -> pd.Series:
    return month % 12 // 3


def weather(model: str) -> pd.DataFrame:
    """Van-months of all records and nights: squared miss of the log odds less its noise, and a year's noise."""
    rows = []
    for nights in NIGHTS:
        m = hindcast.kept("months", nights).round(4)  # as they are stored
        if "model" not in m:
            continue
        f, p = m.frequency, m.probability
        m = m[(m.model == model) & m.van.str.contains("Ah") & (f > INSIDE) & (f < 1 - INSIDE) & (p > 0) & (p < 1)]
        f, p = m.frequency, m.probability
        half = (m.probability_high - m.probability_low) / 2 / 1.96
        noise = (m.noise / (f * (1 - f))) ** 2
        miss = logit(p) - logit(f)
        rows.append(
            pd.DataFrame(
                {
                    "record": m.record,
                    "nights": nights,
                    "season": season(m.month),
                    "miss": miss,
                    "square": miss**2 - noise - (half / (p * (1 - p))) ** 2,
                    "year": noise * m.start_days / 30,
                }
            )
        )
    return pd.concat(rows, ignore_index=True)


def root(values: pd.Series) -> float:
    return float(np.sqrt(max(values.mean(), 0)))


def tables(kind: str) -> None:
    m = weather(kind)
    for name, column, of in (
        ("excess", "square", root),
        ("bias", "miss", "mean"),
        ("van-months", "miss", "size"),
        ("one year's noise", "year", root),
    ):
        for by in (["season"], ["record", "season"]):
            t = m.groupby(["nights", *by])[column].agg(of).unstack(-1)
            print(f"\nweather, {kind}: {name} of log odds\n{t.round(2).to_string()}")


def rows(frame: pd.DataFrame) -> list[list[float]]:
    return [[round(float(x), 2) for x in row] for row in frame.to_numpy()]


def fridge_miss(air_c: list[int]) -> list[int]:
    """Energy over the cycle's, %, one efficiency fitted at 25 degC."""
    ours, cycle = (
        {t: f(t) for t in {*air_c, 25}}
        for f in (cop.measured_cop, lambda t: cop.vapour_cycle(cop.EVAPORATOR_C, t + cop.CONDENSER_RISE_K))
    )
    level = ours[25] / cycle[25]
    return [round(100 * (level * cycle[t] / ours[t] - 1)) for t in air_c]


def worked_out() -> dict[str, Any]:
    """The stored tables: rows by nights, columns by season."""

    def by_night(frame: pd.DataFrame, column: str) -> pd.DataFrame:
        return frame.groupby(["nights", "season"])[column].agg(root).unstack(-1)

    named = {"learned": "normals", "bendt": "Bendt", "record": "record"}
    models = {days: weather(model) for days, model in named.items()}
    spring = models["learned"].query("nights == 5 and season == 1")
    air_c = [10, 25, 35, 43]
    return {
        "drawn": {name: rows(by_night(m, "square")) for name, m in models.items()},
        "spring_too_low": round(-spring.miss.mean() / root(spring.square), 2),
        "spring_van_months": [int((spring.miss < 0).sum()), len(spring)],
        "one_year": rows(by_night(models["learned"], "year")),
        "fridge_air_c": air_c,
        "fridge_energy_percent": fridge_miss(air_c),
    }


def toml(tables: dict[str, Any]) -> str:
    """Tables last."""
    lines = [f"{name} = {value}" for name, value in tables.items() if not isinstance(value, dict)]
    for name, value in tables.items():
        if isinstance(value, dict):
            lines += ["", f"[{name}]", *(f"{key} = {inner}" for key, inner in value.items())]
    return "\n".join(lines) + "\n"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--played", action="store_true", help="the hindcasts stand in build/hindcast")
    parser.add_argument("--keep", action="store_true", help="write the package's table anew")
    arguments = parser.parse_args()
    for nights in () if arguments.played else NIGHTS:
        hindcast.main(["--nights", str(nights)])
    for model in ("normals", "Bendt", "record"):
        tables(model)
    text = HEAD + f'model = "{model_stamp()}"\n' + toml(worked_out())
    print("\n" + text)
    if arguments.keep:
        (open_data.ROOT / "python/ridethrough/data/known_errors.toml").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
