"""Climates from measured weather: every doubt about a frame or a file is an error, and what is laid out is right."""

import json
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
import ridethrough._checks as _checks
from optional import there
from ridethrough import _core
from ridethrough.weather import climate_from_data, weather_files

pd = pytest.importorskip("pandas")
pvlib = pytest.importorskip("pvlib")

TMY3 = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"  # Greensboro (US public domain)
Z = 4.9  # standard errors: false alarm 1e-6


def from_hourly(frame, label="left", **more):
    more = {"latitude": 36.1, "longitude": -79.95, **more}
    return climate_from_data.from_hourly(rt.Climate, frame, label=label, **more)


def made_up(start="2021-01-01", hours=8760 * 2, tz="Etc/GMT+5", freq="h"):
    """Two plain years: clearness .5 in every hour, a temperature that counts hours of the day."""
    index = pd.date_range(start, periods=hours, freq=freq, tz=tz)
    utc = (index - pd.Timestamp(0, tz="UTC")).total_seconds().to_numpy() / 3600
    half = (index[1] - index[0]).total_seconds() / 7200
    cos_zenith, _, factor = _core.sun_position(utc + half, 36.1, -79.95)
    noise = np.random.default_rng(1).normal(0, 1, hours)
    ghi = 1361 * factor * np.maximum(cos_zenith, 0) * 0.5 * (1 + 0.1 * np.clip(noise, -2, 2))
    return pd.DataFrame({"ghi": ghi, "temp_air": 10 + index.hour / 10.0 + noise}, index=index)


# --- from_hourly: every doubt is an error ---------------------------------------------------------------------------


def test_labels_shift_the_hours():
    frame = made_up()
    left = from_hourly(frame)
    for label, shift in (("right", "1h"), ("centre", "30min")):
        moved = frame.set_axis(frame.index + pd.Timedelta(shift))
        assert from_hourly(moved, label=label).weather_series == left.weather_series
    with pytest.raises(rt.InputError, match="label = 'end'"):
        from_hourly(frame, label="end")
    with pytest.raises(rt.InputError, match=r"30 min off.*right label"):
        from_hourly(frame, label="centre")


def test_clear_errors_for_bad_frames():
    frame = made_up()
    with pytest.raises(rt.InputError, match="no rows"):
        from_hourly(frame.iloc[:0])
    with pytest.raises(rt.InputError, match="no column temp_air; it has ghi"):
        from_hourly(frame[["ghi"]])
    with pytest.raises(rt.InputError, match="no time zone"):
        from_hourly(frame.tz_localize(None))
    with pytest.raises(rt.InputError, match="DatetimeIndex"):
        from_hourly(frame.reset_index(drop=True))
    swapped = frame.iloc[np.r_[0:100, 101, 100, 102:8760]]
    with pytest.raises(rt.InputError, match="2021-01-05 04:00:00-05:00 comes after 2021-01-05 05:00:00-05:00"):
        from_hourly(swapped)
    with pytest.raises(rt.InputError, match="comes after"):
        from_hourly(frame.iloc[np.r_[0:100, 99, 100:8760]])
    with pytest.raises(rt.InputError, match=r"fewer than 5 whole days in Jul.*Dec"):
        from_hourly(frame.iloc[: 24 * 183])
    with pytest.raises(rt.InputError, match="ghi_w_m2"):
        from_hourly(frame.assign(ghi=frame["ghi"] * 100))
    with pytest.raises(rt.InputError, match="latitude = 91"):
        from_hourly(frame, latitude=91)


def test_gaps_and_nan_say_where_and_may_be_filled():
    frame = made_up()
    holes = frame.copy()
    holes.loc[holes.index[[500, 501, 900]], "ghi"] = np.nan
    with pytest.raises(rt.InputError, match="ghi is missing or not finite in 3 h, first 2021-01-21 20:00"):
        from_hourly(holes)
    filled = from_hourly(holes, fill="interpolate").weather_series
    before, after = frame["ghi"].iloc[499], frame["ghi"].iloc[502]
    assert filled.ghi_w_m2[500] == pytest.approx(before + (after - before) / 3)
    missing = frame.drop(frame.index[[700, 701]])
    with pytest.raises(rt.InputError, match="missing or not finite in 2 h, first 2021-01-30 04:00"):
        from_hourly(missing)
    assert from_hourly(missing, fill="interpolate").weather_series.hours == 8760 * 2
    with pytest.raises(rt.InputError, match=r"gap of 4 h \(from 2021-01-30 04:00"):
        from_hourly(frame.drop(frame.index[700:704]), fill="interpolate")
    with pytest.raises(rt.InputError, match="fill = 'zero'"):
        from_hourly(frame, fill="zero")


def test_a_typical_year_is_recognised_and_leap_days_dropped():
    frame = made_up("2019-01-01", 24 * 731)  # 2019 and 2020
    january_2020 = frame.loc["2020-01-01":"2020-01-31"]
    february_2020 = frame.loc["2020-02-01":"2020-02-29"]
    rest = frame.loc["2019-03-01":"2019-12-31"]
    record = from_hourly(pd.concat([january_2020, february_2020, rest])).weather_series
    assert record.wraps and record.hours == 8760
    assert record.air_temp_c[59 * 24] == rest["temp_air"].iloc[0]  # 1 March after 28 February
    # Right-labelled, every month ends with a stamp of the next.
    moved = pd.concat([january_2020, february_2020, rest])
    moved = moved.set_axis(moved.index + pd.Timedelta("1h"))
    assert from_hourly(moved, label="right").weather_series == record
    with pytest.raises(rt.InputError, match="comes after"):
        from_hourly(pd.concat([january_2020.iloc[::-1], february_2020, rest]))
    with pytest.raises(rt.InputError, match="twelve months"):
        from_hourly(frame, typical_year=True)
    assert not from_hourly(frame).weather_series.wraps
    assert from_hourly(frame).weather_series.hours == 24 * 731  # leap day kept in an actual record


def test_finer_steps_are_averaged_and_zones_with_summer_time_are_laid_on_standard_time():
    frame = made_up(freq="15min", hours=8760 * 4)
    record = from_hourly(frame).weather_series
    assert record.hours == 8760
    assert record.ghi_w_m2[12] == pytest.approx(frame["ghi"].iloc[48:52].mean())
    summer = frame.tz_convert("America/New_York")
    assert from_hourly(summer).weather_series == record
    assert from_hourly(summer).weather_series.utc_offset_h == -5
    assert from_hourly(made_up(tz="Asia/Kolkata")).weather_series.utc_offset_h == 5.5
    india = made_up(tz="UTC", hours=8760 * 2).tz_convert("Asia/Kolkata")
    assert (
        from_hourly(india).weather_series.utc_offset_h == 6
    )  # its hours are full in UTC only: nearest full-hour clock


def test_dni_gives_the_diffuse_part():
    frame = made_up()
    direct = from_hourly(frame.assign(dni=0.0)).weather_series
    assert np.allclose(direct.dhi_w_m2, direct.ghi_w_m2)
    assert np.sum(from_hourly(frame.assign(dni=300.0)).weather_series.dhi_w_m2) < np.sum(direct.dhi_w_m2)


def test_persistence_of_a_long_generated_record_is_recovered():
    # Forty years of a known process, daily: lag-1 .4, correlation and temperature persistence as declared.
    c = rt.Climate(
        latitude=36.1,
        longitude=-79.95,
        ghi_kwh_m2_day=0.5 * _checks.monthly_h0_wh_m2(36.1) / 1000,
        air_temp_c=[10.0] * 12,
        clearness_lag1=0.4,
        air_temp_lag1=0.7,
        air_temp_sd_c=[3.5] * 12,
        clearness_temp_corr=[0.3] * 12,
    )
    days = 3650
    w = _checks.generate_weather(c, _core.day_number(2001, 1, 1), days, 4, 5, utc_offset_h=-5)
    found = []
    for trial in range(4):
        index = pd.date_range("2001-01-01", periods=days * 24, freq="h", tz="Etc/GMT+5")
        frame = pd.DataFrame(
            {"ghi": w["ghi_w_m2"][trial].ravel(), "temp_air": w["air_temp_c"][trial].ravel()}, index=index
        )
        f = from_hourly(frame)
        found.append((f.clearness_lag1, f.air_temp_lag1, np.mean(f.clearness_temp_corr), np.mean(f.air_temp_sd_c)))
        assert f.clearness_days == "record"  # about 300 days of each month
    clearness, temperature, correlation, sd = np.mean(found, axis=0)
    n = 4 * days
    assert clearness == pytest.approx(0.4, abs=Z * np.sqrt((1 - 0.4**2) / n) + 0.002)  # ranked by 310-day months
    assert temperature == pytest.approx(0.7, abs=Z * np.sqrt((1 - 0.7**2) / n) + 0.004)
    assert correlation == pytest.approx(0.3, abs=Z * np.sqrt(1.8 / n))
    assert sd == pytest.approx(3.5, abs=Z * 3.5 * np.sqrt((1 + 0.7**2) / (1 - 0.7**2) / 2 / n) + 0.02)


# --- from_daily -----------------------------------------------------------------------------------------------------


def test_from_daily_keeps_sums_and_extremes():
    index = pd.date_range("2021-01-01", periods=730)
    rng = np.random.default_rng(2)
    h0 = _core.sky_days(_core.day_number(2021, 1, 1), 730, 40.4, -101.7, -7)["h0_wh_m2"]
    ghi = h0 / 1000 * rng.uniform(0.1, 0.75, 730)
    low = rng.normal(5, 3, 730)
    frame = pd.DataFrame({"ghi_kwh_m2": ghi, "temp_min_c": low, "temp_max_c": low + 9}, index=index)
    c = climate_from_data.from_daily(rt.Climate, frame, latitude=40.4, longitude=-101.7)
    series: Any = c.weather_series
    assert series.utc_offset_h == -7
    hourly = np.array(series.ghi_w_m2).reshape(730, 24)
    assert np.allclose(hourly.sum(axis=1) / 1000, ghi, rtol=1e-9)
    air = np.array(series.air_temp_c).reshape(730, 24)
    assert np.allclose(air.mean(axis=1), low + 4.5, atol=1e-6)
    assert np.ptp(air, axis=1).mean() == pytest.approx(9, abs=1)
    with pytest.raises(rt.InputError, match="days must be in a row"):
        climate_from_data.from_daily(rt.Climate, frame.drop(index[7]), latitude=40.4, longitude=-101.7)
    with pytest.raises(rt.InputError, match="temp_max_c is not finite on 1 days, first 2021-01-04"):
        bad = frame.copy()
        bad.loc[index[3], "temp_max_c"] = np.nan
        climate_from_data.from_daily(rt.Climate, bad, latitude=40.4, longitude=-101.7)
    with pytest.raises(rt.InputError, match="no column temp_min_c"):
        climate_from_data.from_daily(rt.Climate, frame.drop(columns="temp_min_c"), latitude=40.4, longitude=-101.7)
    with pytest.raises(rt.InputError, match="below temp_min_c"):
        climate_from_data.from_daily(rt.Climate, frame.assign(temp_max_c=low - 1), latitude=40.4, longitude=-101.7)


# --- Files ----------------------------------------------------------------------------------------------------------


def test_files_must_exist_and_be_what_their_ending_says(tmp_path):
    with pytest.raises(rt.InputError, match="no such file"):
        weather_files.read_weather(tmp_path / "nothing.epw")
    (tmp_path / "a.txt").write_text("x")
    with pytest.raises(rt.InputError, match=r"unknown ending '\.txt'"):
        weather_files.read_weather(tmp_path / "a.txt")
    (tmp_path / "a.epw").write_bytes(TMY3.read_bytes()[:5000])
    with pytest.raises(rt.InputError, match="not an EPW file; its content looks like TMY3"):
        weather_files.read_weather(tmp_path / "a.epw")
    (tmp_path / "a.csv").write_text("time,ghi\n1,2\n")
    with pytest.raises(
        rt.InputError, match="not a TMY3 file; a daily one has the columns date, ghi_kwh_m2, temp_min_c, temp_max_c$"
    ):
        weather_files.read_weather(tmp_path / "a.csv")
    (tmp_path / "b.csv").write_bytes(TMY3.read_bytes()[:20000])
    with pytest.raises(rt.InputError):
        weather_files.read_weather(tmp_path / "b.csv")


def test_without_pvlib_the_error_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "pvlib", None)
    with pytest.raises(rt.InputError, match=r"pip install '\.\[weather\]' in a checkout"):
        weather_files.read_weather(TMY3)


def test_epw_is_read_with_its_own_label(tmp_path):
    # The Greensboro year rewritten in the EPW column order (EnergyPlus documentation, auxiliary programs).
    frame, _ = pvlib.iotools.read_tmy3(TMY3, map_variables=True)
    head = "LOCATION,Greensboro,NC,USA,TMY3,723170,36.10,-79.95,-5.0,273.0\n" + "x\n" * 7
    lines = []
    for stamp, row in zip(frame.index - pd.Timedelta("1h"), frame.itertuples(), strict=True):
        day = 28 if (stamp.month, stamp.day) == (2, 29) else stamp.day
        cells = ["0"] * 35
        cells[:5] = [str(stamp.year), str(stamp.month), str(day), str(stamp.hour + 1), "60"]
        cells[6], cells[13], cells[14], cells[15] = str(row.temp_air), str(row.ghi), str(row.dni), str(row.dhi)
        lines.append(",".join(cells))
    (tmp_path / "g.epw").write_text(head + "\n".join(lines) + "\n")
    c = weather_files.read_weather(tmp_path / "g.epw")
    assert c.weather_series == weather_files.read_weather(TMY3).weather_series
    assert c.name == "Greensboro"


def test_a_record_of_unknown_place_takes_that_of_its_site():
    unplaced = rt.Climate.from_hourly(made_up(), label="left")
    placed = rt.Climate.from_hourly(made_up(), label="left", latitude=36.1, longitude=-79.95)
    assert isinstance(unplaced, rt.UnplacedClimate)
    site = rt.Site(latitude=36.1, longitude=-79.95, climate=unplaced)
    assert site.climate == placed == rt.Site(latitude=36.1, longitude=-79.95).replace(climate=unplaced).climate
    trip = rt.Trip(site=rt.Site(latitude=36.1, longitude=-79.95), start="2026-11-06 15:00", nights=3)
    assert there(trip.replace(**{"site.climate": unplaced}).site).climate == placed


def test_a_trip_with_measured_hours_goes_through_json():
    climate = rt.Climate.from_hourly(made_up(), label="left", latitude=36.1, longitude=-79.95)
    site = rt.Site(latitude=36.1, longitude=-79.95, climate=climate)
    trip = rt.Trip(site=site, start="2026-11-06 15:00", nights=1, weather="replayed")
    again = rt.Trip.from_dict(json.loads(json.dumps(trip.to_dict())))
    assert again == trip and again.digest == trip.digest
    said = json.dumps(rt.simulate(rt.Van(), trip, trials=10).to_dict())
    assert (
        len(said) < 20_000 and f"digest {there(climate.weather_series).digest:016x}" in said
    )  # a result has not the hours
    with pytest.raises(rt.InputError, match="Climate.weather_series: allowed a table of latitude, "):
        rt.Climate.from_dict({**climate.to_dict(), "weather_series": {"hours": []}})
