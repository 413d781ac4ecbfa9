"""Climates from measured weather: every doubt about a frame or a file is an error, and what is laid out is right."""

import json
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
import ridethrough._checks as _checks
from made_up_hours import from_hourly, made_up
from optional import there
from ridethrough import _core
from ridethrough.weather import climate_from_data

pd = pytest.importorskip("pandas")


pvlib = pytest.importorskip("pvlib")


Z = 4.9  # standard errors: false alarm 1e-6


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
