"""Clearness, generated weather and climates from measured weather."""

import copy
import pickle
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
import ridethrough._checks as _checks
from ridethrough import _core
from ridethrough.weather import weather_files

pvlib = pytest.importorskip("pvlib")

DATA = Path(pvlib.__file__).parent / "data"
TMY3 = DATA / "723170TYA.CSV"
Z = 4.9  # standard errors: false alarm 1e-6


@pytest.fixture(scope="module")
def greensboro():
    return weather_files.read_weather(TMY3)


def steady(latitude=36.0, longitude=-80.0, clearness=0.5, **more):
    ghi = clearness * _checks.monthly_h0_wh_m2(latitude) / 1000
    more = {"air_temp_c": [10.0] * 12, "air_temp_sd_c": [3.5] * 12, **more}
    return rt.Climate(latitude=latitude, longitude=longitude, ghi_kwh_m2_day=list(ghi), **more)


# --- Clearness ------------------------------------------------------------------------------------------------------


def test_bendt_table_against_scipy():
    # Normal cdf of SciPy; the truncated exponential as scipy.stats.truncexpon (an independent quantile).
    scipy_stats = pytest.importorskip("scipy.stats")
    for mean in (0.3, 0.5, 0.7):
        gamma = _checks.bendt_gamma(mean)
        low, high = 0.05, 0.6313 + 0.267 * mean - 11.9 * (mean - 0.75) ** 8
        u = scipy_stats.norm.cdf(np.linspace(-6.25, 6.25, 1001))
        width = high - low
        if gamma > 0:
            # Rising density: mirror the falling one.
            expected = high - scipy_stats.truncexpon.ppf(1 - u, b=gamma * width, scale=1 / gamma)
        else:
            expected = low + scipy_stats.truncexpon.ppf(u, b=-gamma * width, scale=-1 / gamma)
        assert np.allclose(_checks.bendt_table(mean), expected, atol=2e-6)


# --- Generated weather ----------------------------------------------------------------------------------------------


def generate(c, month=11, days=30, trials=4000, seed=1, offset=-5):
    return _checks.generate_weather(c, _core.day_number(2026, month, 1), days, trials, seed, utc_offset_h=offset)


@pytest.mark.parametrize("clearness", [0.3, 0.5, 0.7])
def test_generated_days_have_the_declared_statistics(clearness):
    n = 20000
    w = generate(steady(clearness=clearness, clearness_days="bendt"), days=10, trials=n)
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
        means = generate(steady(clearness=clearness, clearness_days="bendt"), trials=n)["clearness"].mean(axis=1)
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
    ghi = np.where(_checks.monthly_h0_wh_m2(78.0) < 139, 0, 0.4 * _checks.monthly_h0_wh_m2(78.0) / 1000)
    c = rt.Climate(latitude=78.0, longitude=15.0, ghi_kwh_m2_day=list(ghi), air_temp_c=[-10.0] * 12)
    w = generate(c, month=12, trials=20, offset=1)
    assert not w["ghi_w_m2"].any() and not w["beam_w_m2"].any()
    assert np.isfinite(w["air_temp_c"]).all()
    assert generate(c, month=6, trials=20, offset=1)["ghi_w_m2"].min() > 0  # midnight sun


def test_southern_hemisphere_mirrors_the_northern():
    # Solstices half a year apart, same clearness: the same shares of the day, 6.8 % more light near perihelion.
    north = _checks.generate_weather(steady(40.0, 0.0), _core.day_number(2026, 6, 21), 1, 2000, 1, utc_offset_h=0)
    south = _checks.generate_weather(steady(-40.0, 0.0), _core.day_number(2026, 12, 21), 1, 2000, 1, utc_offset_h=0)
    # Morning and evening taken together: the two dates' solar clocks are 4 minutes apart.
    day = [w["ghi_w_m2"].mean(axis=(0, 1)) for w in (north, south)]
    ratio = (day[1] + day[1][::-1])[6:12] / (day[0] + day[0][::-1])[6:12]
    assert np.allclose(ratio, 1.068, atol=0.005)


# --- Measured weather: Greensboro TMY3 (US public domain), read by pvlib ---------------------------------------------


def test_greensboro_normals(greensboro):
    # Sums over the file itself by plain NumPy; the rounded figures were computed by another program.
    frame, _ = pvlib.iotools.read_tmy3(TMY3, map_variables=True)
    assert np.sum(greensboro.weather_series.ghi_w_m2) / 1000 == pytest.approx(frame["ghi"].sum() / 1000, abs=1e-9)
    assert np.sum(greensboro.weather_series.ghi_w_m2) / 1000 == pytest.approx(1566, abs=0.5)
    assert greensboro.ghi_kwh_m2_day[0] == pytest.approx(2.41, abs=0.005)
    assert greensboro.ghi_kwh_m2_day[6] == pytest.approx(6.08, abs=0.005)
    assert greensboro.air_temp_c[0] == pytest.approx(0.3, abs=0.05)
    assert greensboro.air_temp_c[6] == pytest.approx(25.4, abs=0.05)
    assert (greensboro.latitude, greensboro.longitude) == (36.1, -79.95)
    assert greensboro.weather_series.wraps and len(greensboro.weather_series.splices) == 12


def test_greensboro_persistence(greensboro):
    # kt .516 and lag-1 .30 in the clearness domain are with FAO-56's extraterrestrial irradiation (Allen et al. 1998,
    # eqs 21-25), whose declination is up to a degree off: recomputed here, then with our own.
    ghi = np.array(greensboro.weather_series.ghi_w_m2).reshape(365, 24).sum(axis=1)
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
    ours = ghi / np.array(greensboro.weather_series.i0_wh_m2).reshape(365, 24).sum(axis=1)
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
    ours = np.array(greensboro.weather_series.i0_wh_m2)
    assert np.abs(ours - theirs).max() < 12  # the cycle's year is not theirs: up to a day of declination
    for wrong in (-1, 1):
        assert np.abs(np.roll(ours, wrong) - theirs).max() > 150
    assert np.array_equal(greensboro.weather_series.ghi_w_m2, frame["ghi"].to_numpy())
    assert np.allclose(np.array(greensboro.weather_series.dhi_w_m2), frame["dhi"], atol=120)


def test_generated_greensboro_returns_its_normals(greensboro):
    w = _checks.generate_weather(greensboro, _core.day_number(2027, 1, 1), 365, 400, 3, utc_offset_h=-5)
    days = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    monthly = np.add.reduceat(w["ghi_w_m2"].sum(axis=2), np.cumsum(days) - days, axis=1) / days / 1000
    error = monthly.std(axis=0) / np.sqrt(400)
    assert np.all(np.abs(monthly.mean(axis=0) - greensboro.ghi_kwh_m2_day) < Z * error + 0.003)
    air = np.add.reduceat(w["air_mean_c"], np.cumsum(days) - days, axis=1) / days
    assert np.all(np.abs(air.mean(axis=0) - greensboro.air_temp_c) < Z * air.std(axis=0) / 20 + 0.01)


def test_other_files():
    alaska: Any = weather_files.read_weather(DATA / "703165TY.csv")
    miami: Any = weather_files.read_weather(DATA / "12839.tm2")
    # Annual sums, January, July: computed from the files by another program.
    for c, annual, january, july, cold, warm in (
        (alaska, 829, 0.58, 5.00, 0.6, 11.8),
        (miami, 1793, 3.49, 5.99, 20.0, 28.0),
    ):
        assert np.sum(c.weather_series.ghi_w_m2) / 1000 == pytest.approx(annual, abs=0.5)
        assert c.ghi_kwh_m2_day[0] == pytest.approx(january, abs=0.005)
        assert c.ghi_kwh_m2_day[6] == pytest.approx(july, abs=0.005)
        assert c.air_temp_c[0] == pytest.approx(cold, abs=0.05)
        assert c.air_temp_c[6] == pytest.approx(warm, abs=0.05)
    # Miami's hours are left-labelled by its reader: the file's own extraterrestrial column (solar constant 1367) agrees
    # in hours of full Sun; it counts the hours of sunrise and sunset up to 50 W/m2 higher.
    frame, _ = pvlib.iotools.read_tmy2(DATA / "12839.tm2")
    theirs = frame["ETR"].to_numpy() * 1361 / 1367
    full = theirs > 200
    assert np.abs(np.array(miami.weather_series.i0_wh_m2) - theirs)[full].max() < 12
    for wrong in (-1, 1):
        assert np.abs(np.roll(miami.weather_series.i0_wh_m2, wrong) - theirs)[full].max() > 150


def test_record_travels(greensboro):
    assert pickle.loads(pickle.dumps(greensboro)) == greensboro
    assert copy.deepcopy(greensboro.weather_series) == greensboro.weather_series
    starts = greensboro.weather_series.starts(_core.day_number(2026, 11, 6), 6, -5, 15)
    assert len(starts) == 31
