"""Series from the internet, on replies in the documented form: the live services were never asked, there is no network.

The form of POWER's replies is that of its API's pages as pvlib reads them (a geometry, a header with a fill value, a
parameter with hours of UTC); that of SURFRAD's files that of the archive's README, two lines of head and 48 columns.
"""

import io
import re
import socket
from typing import Any

import numpy as np
import pandas as pd
import pvlib
import pytest
import requests
import ridethrough as rt
from optional import there
from ridethrough.weather import open_series

LATITUDE, LONGITUDE = 44.76, 7.64
# Hours of 2 February 2025 there, W/m2, as POWER sent them to pvlib's authors (pvlib 0.16, its test of this reader).
DAY = [0] * 7 + [50.25, 184.2, 281.55, 368.3, 406.48, 386.45, 316.05, 210.1, 109.05, 12.9] + [0] * 7


def power_reply(year, missing=()):
    hours = pd.date_range(f"{year}-01-01", f"{year}-12-31 23:00", freq="1h")
    season = 1.3 - np.cos(2 * np.pi * (hours.day_of_year - 10) / 365)
    ghi = np.array(DAY)[hours.hour] * np.asarray(season)
    values = {
        "ALLSKY_SFC_SW_DWN": ghi,
        "ALLSKY_SFC_SW_DIFF": 0.4 * ghi,
        "T2M": 10 * np.asarray(season) + hours.hour / 4,
    }
    keys = hours.strftime("%Y%m%d%H")
    parameter = {n: {k: round(float(x), 2) for k, x in zip(keys, v, strict=True)} for n, v in values.items()}
    for hour in missing:
        parameter["ALLSKY_SFC_SW_DWN"][hour] = -999.0
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [LONGITUDE, LATITUDE, 705.88]},
        "properties": {"parameter": parameter},
        "header": {
            "title": "NASA/POWER Source Native Resolution Hourly Data",
            "fill_value": -999.0,
            "time_standard": "UTC",
            "start": f"{year}0101",
            "end": f"{year}1231",
        },
        "parameters": {},
        "times": {},
    }


class Reply:
    def __init__(self, content, ok=True):
        self.content, self.ok = content, ok

    def json(self):
        return self.content


@pytest.fixture
def power(monkeypatch):
    """Years that were asked for; a year's reply may be set."""
    asked: list[int] = []
    replies: dict[int, Any] = {}

    def get(url, params):
        assert url == "https://power.larc.nasa.gov/api/temporal/hourly/point"
        assert params["time-standard"] == "utc" and "ALLSKY_SFC_SW_DWN" in params["parameters"]
        year = int(params["start"][:4])
        asked.append(year)
        reply = replies.get(year, Reply(power_reply(year)))
        if isinstance(reply, Exception):
            raise reply
        return reply

    monkeypatch.setattr(requests, "get", get)
    return asked, replies


def fetch(folder, first=2021, last=2022):
    return open_series.fetch_reanalysis(LATITUDE, LONGITUDE, first_year=first, last_year=last, cache=folder)


def test_reanalysis_becomes_a_climate_and_is_kept(power, tmp_path):
    climate = fetch(tmp_path)
    asked, _ = power
    assert asked == [2021, 2022] and climate.source == "NASA POWER, 2021 to 2022"
    days = pd.date_range("2021-01-01", "2022-12-31", freq="1D")
    daily = sum(DAY) / 1000 * (1.3 - np.cos(2 * np.pi * (days.day_of_year - 10) / 365))
    expected = pd.Series(np.asarray(daily)).groupby(days.month).mean()
    np.testing.assert_allclose(climate.ghi_kwh_m2_day, expected, rtol=0.003)
    assert fetch(tmp_path) == climate and asked == [2021, 2022]  # not asked again
    fetch(tmp_path, last=2023)
    assert asked == [2021, 2022, 2023]
    # Days are parted at the place's own midnight: 7.64 E lies in UTC+1.
    assert climate.weather_series.utc_offset_h == 1


def test_short_gaps_are_filled_and_long_ones_are_not(power, tmp_path):
    _, replies = power
    replies[2021] = Reply(power_reply(2021, ["2021050510", "2021050511"]))
    fetch(tmp_path / "short")
    replies[2021] = Reply(power_reply(2021, [f"20210505{h:02d}" for h in range(8, 16)]))
    with pytest.raises(rt.InputError, match="gap of 8 h"):
        fetch(tmp_path / "long")


@pytest.mark.parametrize(
    "error",
    [
        requests.exceptions.ConnectionError("Failed to resolve 'power.larc.nasa.gov'"),
        requests.exceptions.Timeout("timed out"),
        socket.gaierror(-2, "Name or service not known"),
    ],
)
def test_without_a_network_one_clear_line_and_nothing_is_lost(power, tmp_path, error):
    asked, replies = power
    replies[2022] = error
    with pytest.raises(rt.InputError, match="the POWER project's server, 2022: could not be reached") as raised:
        fetch(tmp_path)
    assert "\n" not in str(raised.value) and "worldwide default" in str(raised.value)
    del replies[2022]
    fetch(tmp_path)
    assert asked == [2021, 2022, 2022]  # 2021 was kept


def test_a_refusal_and_a_changed_format(power, tmp_path):
    _, replies = power
    replies[2021] = Reply({"detail": "limit of requests"}, ok=False)
    with pytest.raises(rt.InputError, match="could not be reached or refused"):
        fetch(tmp_path)
    replies[2021] = Reply({"header": {}})
    with pytest.raises(rt.InputError, match="sent something else than documented"):
        fetch(tmp_path)
    short = power_reply(2021)
    del short["properties"]["parameter"]["T2M"]
    replies[2021] = Reply(short)
    with pytest.raises(rt.InputError, match="has its format changed"):
        fetch(tmp_path)
    assert not list(tmp_path.glob("*"))


@pytest.mark.parametrize("damage", ["cut", "changed", "empty", "binary"])
def test_a_damaged_cache_is_named(power, tmp_path, damage):
    fetch(tmp_path, last=2021)
    (path,) = tmp_path.glob("*.csv")
    whole = path.read_bytes()
    path.write_bytes(
        {"cut": whole[:5000], "changed": whole.replace(b"7.64", b"7.65", 1), "empty": b"", "binary": b"\xff\xfe" * 50}[
            damage
        ]
    )
    with pytest.raises(rt.InputError, match=f"{re.escape(str(path))}: .*damaged; delete it"):
        fetch(tmp_path, last=2021)


@pytest.mark.parametrize(
    ("years", "message"),
    [
        ((1990, 1995), "first_year = 1990: allowed whole years from 2001 on"),
        ((2010, 2009), "last_year = 2009: allowed first_year = 2010 or later"),
        ((2010.5, 2011), "first_year = 2010.5: allowed whole years"),
    ],
)
def test_bad_years(tmp_path, years, message):
    with pytest.raises(rt.InputError, match=message):
        fetch(tmp_path, *years)


def surfrad_file(year, day, hours=24):
    """Desert Rock's head, with the longitude as the archive has it: western, without a sign."""
    lines = [" Desert Rock", "   36.623  116.020 1007 m version 1"]
    for h in range(hours):
        date = pd.Timestamp(year, 1, 1) + pd.Timedelta(days=day - 1)
        ghi = max(0.0, 300 * np.sin(np.pi * ((h - 13) % 24) / 12)) if h >= 13 or h < 1 else -2.1
        # ghi, uw_solar, direct, diffuse, ..., each with its flag; temp, rh, wind, direction, pressure last.
        values = [ghi, 100.0, 500.0, max(0.4 * ghi, -1.0)] + [300.0] * 11 + [18.5 + day / 100, 20.0, 3.0, 90.0, 900.0]
        cells = " ".join(f"{v:.1f} 0" for v in values)
        lines.append(f" {year} {day:3d} {date.month:2d} {date.day:2d} {h:2d}  0 {h:6.3f} 60.00 {cells}")
    return "\n".join(lines) + "\n"


def test_a_measured_station(monkeypatch, tmp_path):
    def urlopen(request):
        year, day = there(re.fullmatch(r".*/dra/(\d{4})/dra\d\d(\d{3})\.dat", request.full_url)).groups()
        return io.BytesIO(surfrad_file(int(year), int(day)).encode())

    monkeypatch.setattr(pvlib.iotools.surfrad, "urlopen", urlopen)
    climate = open_series.fetch_measured("dra", first_year=2021, last_year=2021, cache=tmp_path)
    assert (climate.latitude, climate.longitude, climate.name) == (36.623, -116.02, "Desert Rock")
    series: Any = climate.weather_series
    assert series.utc_offset_h == -8
    assert climate.air_temp_c[0] == pytest.approx(18.66, abs=0.02)  # 18.5 and the mean of day 1 to 31 over 100
    assert all(g == pytest.approx(climate.ghi_kwh_m2_day[0], rel=0.02) for g in climate.ghi_kwh_m2_day)


def test_a_day_that_is_not_in_the_archive_is_a_gap(monkeypatch, tmp_path):
    hours = pd.date_range("2021-01-01", "2021-12-31 23:00", freq="1h", tz="UTC")
    frame = pd.DataFrame({"ghi": 50.0, "dhi": 20.0, "temp_air": 9.0}, index=hours)
    about = {"latitude": 36.623, "longitude": 116.02, "elevation": 1007.0, "name": "Desert Rock"}
    whole = frame[hours.normalize() != pd.Timestamp("2021-04-10", tz="UTC")]
    monkeypatch.setattr(pvlib.iotools, "get_surfrad", lambda station, start, end: (whole, about))
    with pytest.raises(rt.InputError, match=r"ghi has a gap of 24 h \(from 2021-04-09 16:00\)"):
        open_series.fetch_measured("dra", first_year=2021, last_year=2021, cache=tmp_path)
    with pytest.raises(rt.InputError, match="station = 'xyz': allowed bon, dra"):
        open_series.fetch_measured("xyz", first_year=2021, last_year=2021, cache=tmp_path)
