"""Clearness, generated weather and climates from measured weather."""

import copy
import pickle
import sys
from pathlib import Path

import numpy as np
import pytest
import ridethrough as rt
from ridethrough import _core, climate, weather_files

pd = pytest.importorskip("pandas")
pvlib = pytest.importorskip("pvlib")

DATA = Path(pvlib.__file__).parent / "data"
TMY3 = DATA / "723170TYA.CSV"
Z = 4.9  # standard errors: false alarm 1e-6


@pytest.fixture(scope="module")
def greensboro():
    return weather_files.read_weather(TMY3)


def steady(latitude=36.0, longitude=-80.0, clearness=0.5, **more):
    ghi = clearness * _core.monthly_h0_wh_m2(latitude) / 1000
    more = {"air_temp_c": [10.0] * 12, **more}
    return rt.Climate(latitude=latitude, longitude=longitude, ghi_kwh_m2_day=list(ghi), **more)


def from_hourly(frame, label="left", **more):
    more = {"latitude": 36.1, "longitude": -79.95, **more}
    return climate.from_hourly(rt.Climate, frame, label=label, **more)


def made_up(start="2021-01-01", hours=8760 * 2, tz="Etc/GMT+5", freq="h"):
    """Two plain years: clearness .5 in every hour, a temperature that counts hours of the day."""
    index = pd.date_range(start, periods=hours, freq=freq, tz=tz)
    utc = (index - pd.Timestamp(0, tz="UTC")).total_seconds().to_numpy() / 3600
    half = (index[1] - index[0]).total_seconds() / 7200
    cos_zenith, _, factor = _core.sun_position(utc + half, 36.1, -79.95)
    noise = np.random.default_rng(1).normal(0, 1, hours)
    ghi = 1361 * factor * np.maximum(cos_zenith, 0) * 0.5 * (1 + 0.1 * np.clip(noise, -2, 2))
    return pd.DataFrame({"ghi": ghi, "temp_air": 10 + index.hour / 10.0 + noise}, index=index)


# --- Clearness ------------------------------------------------------------------------------------------------------


def test_clearness_table_against_scipy():
    # Normal cdf of SciPy; the truncated exponential as scipy.stats.truncexpon (an independent quantile).
    scipy_stats = pytest.importorskip("scipy.stats")
    for mean in (0.3, 0.5, 0.7):
        gamma = _core.bendt_gamma(mean)
        low, high = 0.05, 0.6313 + 0.267 * mean - 11.9 * (mean - 0.75) ** 8
        u = scipy_stats.norm.cdf(np.linspace(-6.25, 6.25, 1001))
        width = high - low
        if gamma > 0:
            # Rising density: mirror the falling one.
            expected = high - scipy_stats.truncexpon.ppf(1 - u, b=gamma * width, scale=1 / gamma)
        else:
            expected = low + scipy_stats.truncexpon.ppf(u, b=-gamma * width, scale=-1 / gamma)
        assert np.allclose(_core.clearness_table(mean), expected, atol=2e-6)


# --- Generated weather ----------------------------------------------------------------------------------------------


def generate(c, month=11, days=30, trials=4000, seed=1, offset=-5):
    return _core.generate_weather(c, _core.day_number(2026, month, 1), days, trials, seed, utc_offset_h=offset)


@pytest.mark.parametrize("clearness", [0.3, 0.5, 0.7])
def test_generated_days_have_the_declared_statistics(clearness):
    n = 20000
    w = generate(steady(clearness=clearness), days=10, trials=n)
    k = w["clearness"]
    # Mean and sd of the Bendt/Huget distribution; its lag-1 in the clearness domain by Gauss-Hermite quadrature,
    # computed in an independent program.
    sd = {0.3: 0.1770, 0.5: 0.1936, 0.7: 0.1154}[clearness]
    lag1 = {0.3: 0.2754, 0.5: 0.2744, 0.7: 0.2551}[clearness]
    assert k[:, 0].mean() == pytest.approx(clearness, abs=Z * sd / np.sqrt(n))
    assert k[:, 9].std() == pytest.approx(sd, abs=Z * sd / np.sqrt(n))
    assert np.corrcoef(k[:, 4], k[:, 5])[0, 1] == pytest.approx(lag1, abs=Z / np.sqrt(n))


def test_a_month_of_days_varies_as_much_as_it_should():
    # 30-day means with lag-1 .29: sd 14.3, 9.4, 3.9 % of the mean, computed in an independent program. A realisation's
    # mean must not be forced to the normal.
    for clearness, percent in ((0.3, 14.3), (0.5, 9.4), (0.7, 3.9)):
        n = 8000
        means = generate(steady(clearness=clearness), trials=n)["clearness"].mean(axis=1)
        assert 100 * means.std() / clearness == pytest.approx(percent, abs=0.05 + Z * percent / np.sqrt(2 * n))


def test_hours_keep_the_days_sum_and_the_normals():
    c = steady(clearness=0.5, air_temp_c=[8.0] * 12)
    w = generate(c, trials=3000)
    h0 = _core.sky_days(_core.day_number(2026, 11, 1), 30, 36.0, -80.0, -5)["h0_wh_m2"]
    assert np.allclose(w["ghi_w_m2"].sum(axis=2), w["clearness"] * h0, rtol=1e-12)
    assert np.allclose(w["air_temp_c"].mean(axis=2), w["air_mean_c"], atol=1e-6)
    assert w["air_mean_c"][:, 5].std() == pytest.approx(3.5, abs=Z * 3.5 / np.sqrt(6000))
    assert w["air_mean_c"][:, 5].mean() == pytest.approx(8, abs=Z * 3.5 / np.sqrt(3000))
    # A flat panel never receives more than the horizontal.
    assert np.all(w["beam_w_m2"] + w["sky_w_m2"] <= w["ghi_w_m2"] * (1 + 1e-9))


def test_same_seed_same_bits_for_any_number_of_trials():
    many, few = generate(steady(), trials=21), generate(steady(), trials=5)
    for name, values in few.items():
        assert np.array_equal(values, many[name][:5])
    assert not np.array_equal(few["clearness"], generate(steady(), trials=5, seed=2)["clearness"])


def test_polar_night_yields_nothing():
    ghi = np.where(_core.monthly_h0_wh_m2(78.0) < 139, 0, 0.4 * _core.monthly_h0_wh_m2(78.0) / 1000)
    c = rt.Climate(latitude=78.0, longitude=15.0, ghi_kwh_m2_day=list(ghi), air_temp_c=[-10.0] * 12)
    w = generate(c, month=12, trials=20, offset=1)
    assert not w["ghi_w_m2"].any() and not w["beam_w_m2"].any()
    assert np.isfinite(w["air_temp_c"]).all()
    assert generate(c, month=6, trials=20, offset=1)["ghi_w_m2"].min() > 0  # midnight sun


def test_southern_hemisphere_mirrors_the_northern():
    # Solstices half a year apart, same clearness: the same shares of the day, 6.8 % more light near perihelion.
    north = _core.generate_weather(steady(40.0, 0.0), _core.day_number(2026, 6, 21), 1, 2000, 1, utc_offset_h=0)
    south = _core.generate_weather(steady(-40.0, 0.0), _core.day_number(2026, 12, 21), 1, 2000, 1, utc_offset_h=0)
    # Morning and evening taken together: the two dates' solar clocks are 4 minutes apart.
    day = [w["ghi_w_m2"].mean(axis=(0, 1)) for w in (north, south)]
    ratio = (day[1] + day[1][::-1])[6:12] / (day[0] + day[0][::-1])[6:12]
    assert np.allclose(ratio, 1.068, atol=0.005)


# --- Measured weather: Greensboro TMY3 (US public domain), read by pvlib ---------------------------------------------


def test_greensboro_normals(greensboro):
    # Sums over the file itself by plain NumPy; the rounded figures were computed by another program.
    frame, _ = pvlib.iotools.read_tmy3(TMY3, map_variables=True)
    assert np.sum(greensboro.record.ghi_w_m2) / 1000 == pytest.approx(frame["ghi"].sum() / 1000, abs=1e-9)
    assert np.sum(greensboro.record.ghi_w_m2) / 1000 == pytest.approx(1566, abs=0.5)
    assert greensboro.ghi_kwh_m2_day[0] == pytest.approx(2.41, abs=0.005)
    assert greensboro.ghi_kwh_m2_day[6] == pytest.approx(6.08, abs=0.005)
    assert greensboro.air_temp_c[0] == pytest.approx(0.3, abs=0.05)
    assert greensboro.air_temp_c[6] == pytest.approx(25.4, abs=0.05)
    assert (greensboro.latitude, greensboro.longitude) == (36.1, -79.95)
    assert greensboro.record.wraps and len(greensboro.record.splices) == 12


def test_greensboro_persistence(greensboro):
    # kt .516 and lag-1 .30 in the clearness domain are with FAO-56's extraterrestrial irradiation (Allen et al. 1998,
    # eqs 21-25), whose declination is up to a degree off: recomputed here, then with our own.
    ghi = np.array(greensboro.record.ghi_w_m2).reshape(365, 24).sum(axis=1)
    j, latitude = np.arange(1, 366), np.radians(36.1)
    declination = 0.409 * np.sin(2 * np.pi * j / 365 - 1.39)
    sunset = np.arccos(-np.tan(latitude) * np.tan(declination))
    h0 = 24 * 60 / np.pi * 0.0820 * (1 + 0.033 * np.cos(2 * np.pi * j / 365))
    h0 *= sunset * np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.sin(sunset)
    month = np.repeat(np.arange(12), [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    same_month = month[:-1] == month[1:]

    def lag1(kt):
        z = np.concatenate([(kt[month == m] - kt[month == m].mean()) / kt[month == m].std() for m in range(12)])
        return np.corrcoef(z[:-1][same_month], z[1:][same_month])[0, 1]

    fao = ghi * 0.0036 / h0
    ours = ghi / np.array(greensboro.record.i0_wh_m2).reshape(365, 24).sum(axis=1)
    assert fao.mean() == pytest.approx(0.516, abs=0.0005)
    assert lag1(fao) == pytest.approx(0.30, abs=0.005)
    assert ours.mean() == pytest.approx(0.516, abs=0.004)
    assert lag1(ours) == pytest.approx(0.30, abs=0.005)
    # Normal scores of one year: SciPy's, independently.
    scipy_stats = pytest.importorskip("scipy.stats")
    score = np.concatenate(
        [
            scipy_stats.norm.ppf((scipy_stats.rankdata(k, "ordinal") - 0.5) / len(k))
            for k in (ours[month == m] for m in range(12))
        ]
    )
    a, b = score[:-1][same_month], score[1:][same_month]
    assert greensboro.clearness_lag1 == pytest.approx(a @ b / np.sqrt(a @ a * (b @ b)), abs=1e-9)


def test_greensboro_hours_are_where_the_sun_is(greensboro):
    # The file carries its own extraterrestrial irradiation (solar constant 1367) for the hour that ends at the stamp.
    frame, _ = pvlib.iotools.read_tmy3(TMY3, map_variables=True)
    theirs = frame["ghi_extra"].to_numpy() * 1361 / 1367
    ours = np.array(greensboro.record.i0_wh_m2)
    assert np.abs(ours - theirs).max() < 12  # the cycle's year is not theirs: up to a day of declination
    for wrong in (-1, 1):
        assert np.abs(np.roll(ours, wrong) - theirs).max() > 150
    assert np.array_equal(greensboro.record.ghi_w_m2, frame["ghi"].to_numpy())
    assert np.allclose(np.array(greensboro.record.dhi_w_m2), frame["dhi"], atol=120)


def test_generated_greensboro_returns_its_normals(greensboro):
    w = _core.generate_weather(greensboro, _core.day_number(2027, 1, 1), 365, 400, 3, utc_offset_h=-5)
    days = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    monthly = np.add.reduceat(w["ghi_w_m2"].sum(axis=2), np.cumsum(days) - days, axis=1) / days / 1000
    error = monthly.std(axis=0) / np.sqrt(400)
    assert np.all(np.abs(monthly.mean(axis=0) - greensboro.ghi_kwh_m2_day) < Z * error + 0.003)
    air = np.add.reduceat(w["air_mean_c"], np.cumsum(days) - days, axis=1) / days
    assert np.all(np.abs(air.mean(axis=0) - greensboro.air_temp_c) < Z * air.std(axis=0) / 20 + 0.01)


def test_other_files():
    alaska = weather_files.read_weather(DATA / "703165TY.csv")
    miami = weather_files.read_weather(DATA / "12839.tm2")
    # Annual sums, January, July: computed from the files by another program.
    for c, annual, january, july, cold, warm in (
        (alaska, 829, 0.58, 5.00, 0.6, 11.8),
        (miami, 1793, 3.49, 5.99, 20.0, 28.0),
    ):
        assert np.sum(c.record.ghi_w_m2) / 1000 == pytest.approx(annual, abs=0.5)
        assert c.ghi_kwh_m2_day[0] == pytest.approx(january, abs=0.005)
        assert c.ghi_kwh_m2_day[6] == pytest.approx(july, abs=0.005)
        assert c.air_temp_c[0] == pytest.approx(cold, abs=0.05)
        assert c.air_temp_c[6] == pytest.approx(warm, abs=0.05)
    # Miami's hours are left-labelled by its reader: the file's own extraterrestrial column (solar constant 1367) agrees
    # in hours of full Sun; it counts the hours of sunrise and sunset up to 50 W/m2 higher.
    frame, _ = pvlib.iotools.read_tmy2(DATA / "12839.tm2")
    theirs = frame["ETR"].to_numpy() * 1361 / 1367
    full = theirs > 200
    assert np.abs(np.array(miami.record.i0_wh_m2) - theirs)[full].max() < 12
    for wrong in (-1, 1):
        assert np.abs(np.roll(miami.record.i0_wh_m2, wrong) - theirs)[full].max() > 150


def test_record_travels(greensboro):
    assert pickle.loads(pickle.dumps(greensboro)) == greensboro
    assert copy.deepcopy(greensboro.record) == greensboro.record
    starts = greensboro.record.starts(_core.day_number(2026, 11, 6), 6, -5, 15)
    assert len(starts) == 31


# --- from_hourly: every doubt is an error ---------------------------------------------------------------------------


def test_labels_shift_the_hours():
    frame = made_up()
    left = from_hourly(frame)
    for label, shift in (("right", "1h"), ("centre", "30min")):
        moved = frame.set_axis(frame.index + pd.Timedelta(shift))
        assert from_hourly(moved, label=label).record == left.record
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
    filled = from_hourly(holes, fill="interpolate").record
    before, after = frame["ghi"].iloc[499], frame["ghi"].iloc[502]
    assert filled.ghi_w_m2[500] == pytest.approx(before + (after - before) / 3)
    missing = frame.drop(frame.index[[700, 701]])
    with pytest.raises(rt.InputError, match="missing or not finite in 2 h, first 2021-01-30 04:00"):
        from_hourly(missing)
    assert from_hourly(missing, fill="interpolate").record.hours == 8760 * 2
    with pytest.raises(rt.InputError, match=r"gap of 4 h \(from 2021-01-30 04:00"):
        from_hourly(frame.drop(frame.index[700:704]), fill="interpolate")
    with pytest.raises(rt.InputError, match="fill = 'zero'"):
        from_hourly(frame, fill="zero")


def test_a_typical_year_is_recognised_and_leap_days_dropped():
    frame = made_up("2019-01-01", 24 * 731)  # 2019 and 2020
    january_2020 = frame.loc["2020-01-01":"2020-01-31"]
    february_2020 = frame.loc["2020-02-01":"2020-02-29"]
    rest = frame.loc["2019-03-01":"2019-12-31"]
    record = from_hourly(pd.concat([january_2020, february_2020, rest])).record
    assert record.wraps and record.hours == 8760
    assert record.air_temp_c[59 * 24] == rest["temp_air"].iloc[0]  # 1 March after 28 February
    # Right-labelled, every month ends with a stamp of the next.
    moved = pd.concat([january_2020, february_2020, rest])
    moved = moved.set_axis(moved.index + pd.Timedelta("1h"))
    assert from_hourly(moved, label="right").record == record
    with pytest.raises(rt.InputError, match="comes after"):
        from_hourly(pd.concat([january_2020.iloc[::-1], february_2020, rest]))
    with pytest.raises(rt.InputError, match="twelve months"):
        from_hourly(frame, typical_year=True)
    assert not from_hourly(frame).record.wraps
    assert from_hourly(frame).record.hours == 24 * 731  # leap day kept in an actual record


def test_finer_steps_are_averaged_and_zones_with_summer_time_are_laid_on_standard_time():
    frame = made_up(freq="15min", hours=8760 * 4)
    record = from_hourly(frame).record
    assert record.hours == 8760
    assert record.ghi_w_m2[12] == pytest.approx(frame["ghi"].iloc[48:52].mean())
    summer = frame.tz_convert("America/New_York")
    assert from_hourly(summer).record == record
    assert from_hourly(summer).record.utc_offset_h == -5
    assert from_hourly(made_up(tz="Asia/Kolkata")).record.utc_offset_h == 5.5
    india = made_up(tz="UTC", hours=8760 * 2).tz_convert("Asia/Kolkata")
    assert from_hourly(india).record.utc_offset_h == 6  # its hours are full in UTC only: nearest full-hour clock


def test_dni_gives_the_diffuse_part():
    frame = made_up()
    direct = from_hourly(frame.assign(dni=0.0)).record
    assert np.allclose(direct.dhi_w_m2, direct.ghi_w_m2)
    assert np.sum(from_hourly(frame.assign(dni=300.0)).record.dhi_w_m2) < np.sum(direct.dhi_w_m2)


def test_persistence_of_a_long_generated_record_is_recovered():
    # Forty years of a known process, daily: lag-1 .4, correlation and temperature persistence as declared.
    c = steady(36.1, -79.95, clearness_lag1=0.4, air_temp_lag1=0.7, clearness_temp_corr=[0.3] * 12)
    days = 3650
    w = _core.generate_weather(c, _core.day_number(2001, 1, 1), days, 4, 5, utc_offset_h=-5)
    found = []
    for trial in range(4):
        index = pd.date_range("2001-01-01", periods=days * 24, freq="h", tz="Etc/GMT+5")
        frame = pd.DataFrame(
            {"ghi": w["ghi_w_m2"][trial].ravel(), "temp_air": w["air_temp_c"][trial].ravel()}, index=index
        )
        f = from_hourly(frame)
        found.append((f.clearness_lag1, f.air_temp_lag1, np.mean(f.clearness_temp_corr), np.mean(f.air_temp_sd_c)))
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
    c = climate.from_daily(rt.Climate, frame, latitude=40.4, longitude=-101.7)
    assert c.record.utc_offset_h == -7
    hourly = np.array(c.record.ghi_w_m2).reshape(730, 24)
    assert np.allclose(hourly.sum(axis=1) / 1000, ghi, rtol=1e-9)
    air = np.array(c.record.air_temp_c).reshape(730, 24)
    assert np.allclose(air.mean(axis=1), low + 4.5, atol=1e-6)
    assert np.ptp(air, axis=1).mean() == pytest.approx(9, abs=1)
    with pytest.raises(rt.InputError, match="days must be in a row"):
        climate.from_daily(rt.Climate, frame.drop(index[7]), latitude=40.4, longitude=-101.7)
    with pytest.raises(rt.InputError, match="temp_max_c is not finite on 1 days, first 2021-01-04"):
        bad = frame.copy()
        bad.loc[index[3], "temp_max_c"] = np.nan
        climate.from_daily(rt.Climate, bad, latitude=40.4, longitude=-101.7)
    with pytest.raises(rt.InputError, match="no column temp_min_c"):
        climate.from_daily(rt.Climate, frame.drop(columns="temp_min_c"), latitude=40.4, longitude=-101.7)
    with pytest.raises(rt.InputError, match="below temp_min_c"):
        climate.from_daily(rt.Climate, frame.assign(temp_max_c=low - 1), latitude=40.4, longitude=-101.7)


# --- Files ----------------------------------------------------------------------------------------------------------


def test_files_must_exist_and_be_what_their_ending_says(tmp_path):
    with pytest.raises(rt.InputError, match="no such file"):
        weather_files.read_weather(tmp_path / "nothing.epw")
    (tmp_path / "a.txt").write_text("x")
    with pytest.raises(rt.InputError, match=r"unknown ending '\.txt'"):
        weather_files.read_weather(tmp_path / "a.txt")
    (tmp_path / "a.epw").write_bytes(TMY3.read_bytes()[:5000])
    with pytest.raises(rt.InputError, match="not a EPW file; its content looks like TMY3"):
        weather_files.read_weather(tmp_path / "a.epw")
    (tmp_path / "a.csv").write_text("time,ghi\n1,2\n")
    with pytest.raises(rt.InputError, match=r"not a TMY3 file$"):
        weather_files.read_weather(tmp_path / "a.csv")
    (tmp_path / "b.csv").write_bytes(TMY3.read_bytes()[:20000])
    with pytest.raises(rt.InputError):
        weather_files.read_weather(tmp_path / "b.csv")


def test_without_pvlib_the_error_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "pvlib", None)
    with pytest.raises(rt.InputError, match=r"ridethrough\[weather\]"):
        weather_files.read_weather(TMY3)


def test_epw_is_read_with_its_own_label(tmp_path, greensboro):
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
    assert c.record == greensboro.record
    assert c.name == "Greensboro"
