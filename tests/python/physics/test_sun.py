"""Sun, split and planes against pvlib (an independent implementation) and published figures."""

import numpy as np
import pytest
import ridethrough._checks as _checks
from ridethrough import _core

pd = pytest.importorskip("pandas")
pvlib = pytest.importorskip("pvlib")

PLACES = [(36.1, -79.95), (0.0, 0.0), (-33.9, 18.4), (51.0, 10.0), (65.0, 25.0), (78.0, 15.0), (-54.8, -68.3)]


def hours_since_epoch(index):
    return (index - pd.Timestamp(0, tz="UTC")).total_seconds().to_numpy() / 3600


@pytest.mark.parametrize("year", [1951, 1988, 2026, 2049])
def test_position_is_within_a_hundredth_of_a_degree_of_spa(year):
    # NREL SPA (Reda & Andreas 2004) by pvlib, true (airless) zenith. Michalsky 1988 states 0.01 degrees.
    index = pd.date_range(f"{year}-01-01", f"{year}-12-31 23:00", freq="7h17min", tz="UTC")
    for latitude, longitude in PLACES:
        spa = pvlib.solarposition.spa_python(index, latitude, longitude)
        cos_zenith, azimuth, _ = _core.sun_position(hours_since_epoch(index), latitude, longitude)
        zenith = np.degrees(np.arccos(cos_zenith))
        assert np.abs(zenith - spa["zenith"]).max() < 0.013
        clear_of_zenith = (zenith > 5) & (zenith < 175)
        turned = (azimuth - spa["azimuth"] + 180) % 360 - 180
        assert np.abs(turned * np.sin(np.radians(zenith)))[clear_of_zenith].max() < 0.015


def test_distance_factor():
    # pvlib's own solar constant divided out; its nrel method is SPA's Earth-Sun distance.
    index = pd.date_range("2026-01-01 12:00", periods=365, tz="UTC")
    _, _, factor = _core.sun_position(hours_since_epoch(index), 0, 0)
    expected = pvlib.irradiance.get_extra_radiation(index, solar_constant=1, method="nrel")
    assert np.abs(factor - expected).max() < 2e-4


def test_worked_example_of_the_spa_paper():
    # Reda & Andreas 2004: zenith 50.11162, azimuth 194.34024 with refraction; pvlib's true zenith has none.
    index = pd.DatetimeIndex(["2003-10-17 12:30:30"]).tz_localize("Etc/GMT+7")
    spa = pvlib.solarposition.spa_python(
        index, 39.742476, -105.1786, altitude=1830.14, pressure=82000, temperature=11, delta_t=67
    )
    assert spa["apparent_zenith"].iloc[0] == pytest.approx(50.11162, abs=1e-4)
    cos_zenith, azimuth, _ = _core.sun_position(hours_since_epoch(index), 39.742476, -105.1786)
    assert np.degrees(np.arccos(cos_zenith[0])) == pytest.approx(spa["zenith"].iloc[0], abs=0.013)
    assert azimuth[0] == pytest.approx(194.34024, abs=0.013)


@pytest.mark.parametrize(("latitude", "longitude"), PLACES)
def test_hourly_extraterrestrial_against_one_minute_steps_of_spa(latitude, longitude):
    day = _core.day_number(2026, 4, 20)
    offset = round(longitude / 15)
    sky = _core.sky_days(day, 1, latitude, longitude, offset)
    index = pd.date_range("2026-04-20 00:00:30", periods=1440, freq="min", tz="UTC") - pd.Timedelta(hours=offset)
    spa = pvlib.solarposition.spa_python(index, latitude, longitude)
    extra = pvlib.irradiance.get_extra_radiation(index, solar_constant=1361, method="nrel")
    hourly = (extra * np.cos(np.radians(spa["zenith"])).clip(lower=0)).to_numpy().reshape(24, 60).mean(axis=1)
    # Twelve steps an hour against sixty: 0.3 W/m2 in full hours, a little more where the Sun rises or sets.
    assert np.abs(sky["i0_wh_m2"][0] - hourly).max() < 1.5
    assert sky["h0_wh_m2"][0] == pytest.approx(hourly.sum(), rel=1e-3)


def test_day_length_against_pvlib():
    # Geometric sunrise: pvlib's includes 0.8333 degrees of refraction and radius, so compare by zenith at our times.
    for latitude, longitude in PLACES[:5]:
        offset = round(longitude / 15)
        day = _core.day_number(2026, 9, 1)
        sky = _core.sky_days(day, 1, latitude, longitude, offset)
        for edge in ("sunrise_h", "sunset_h"):
            at = pd.Timestamp(0, tz="UTC") + pd.Timedelta(hours=day * 24 - offset + float(sky[edge][0]))
            spa = pvlib.solarposition.spa_python(pd.DatetimeIndex([at]), latitude, longitude)
            assert spa["zenith"].iloc[0] == pytest.approx(90, abs=0.15)


def test_erbs_against_pvlib():
    # pvlib: erbs(ghi 500, zenith 50, day 100) has kt .571625, dhi 251.322.
    erbs = pvlib.irradiance.erbs(500, 50, 100)
    assert erbs["kt"] == pytest.approx(0.571625, abs=1e-6)
    assert 500 * _checks.diffuse_share(np.array([erbs["kt"]]))[0] == pytest.approx(251.322, abs=1e-3)
    kt = np.linspace(0.001, 0.95, 200)
    ghi = kt * 1361 * 1.0
    reference = pvlib.irradiance.erbs(ghi, np.zeros(200), np.full(200, 94))
    share = _checks.diffuse_share(np.asarray(reference["kt"]))
    assert np.allclose(share, (reference["dhi"] / ghi), atol=1e-12)


@pytest.mark.parametrize(("tilt", "azimuth"), [(0, 180), (30, 180), (60, 90), (45, 315)])
def test_beam_factor_against_pvlib(tilt, azimuth):
    day, latitude, longitude = _core.day_number(2026, 3, 10), 36.1, -79.95
    factor = _checks.plane_factors(day, 1, latitude, longitude, -5, tilt, azimuth)["beam"][0]
    sky = _core.sky_days(day, 1, latitude, longitude, -5)
    index = pd.date_range("2026-03-10 00:00:30", periods=1440, freq="min", tz="Etc/GMT+5")
    spa = pvlib.solarposition.spa_python(index, latitude, longitude)
    cos_zenith = np.cos(np.radians(spa["zenith"])).clip(lower=0).to_numpy()
    aoi = pvlib.irradiance.aoi(tilt, azimuth, spa["zenith"], spa["azimuth"])
    received = np.cos(np.radians(aoi)).clip(lower=0) * pvlib.iam.ashrae(aoi, b=0.05)
    received = np.where(cos_zenith > 0, received, 0)
    expected = received.reshape(24, 60).sum(axis=1) / np.maximum(cos_zenith.reshape(24, 60).sum(axis=1), 1e-9)
    full = sky["up_fraction"][0] == 1
    # A plane that the Sun leaves within the hour is cut at a five-minute step; hence not tighter.
    assert np.abs(factor - expected)[full].max() < 0.01


def test_isotropic_factors_against_pvlib():
    # pvlib's isotropic and ground diffuse, without incidence modifier.
    for tilt in (0, 30, 60, 90):
        factors = _checks.plane_factors(20000, 1, 40, 0, 0, tilt, 180, 0.25, modifier=False)
        assert factors["sky"] == pytest.approx(pvlib.irradiance.isotropic(tilt, 1.0))
        assert factors["ground"] == pytest.approx(pvlib.irradiance.get_ground_diffuse(tilt, 1.0, 0.25), abs=1e-15)


def test_sky_modifier_against_pvlib_integral():
    # pvlib.iam.marion_diffuse integrates the modifier over the dome; the effective angle is an approximation to it.
    for tilt in (0, 30, 60):
        modified = _checks.plane_factors(20000, 1, 40, 0, 0, tilt, 180)["sky"]
        plain = _checks.plane_factors(20000, 1, 40, 0, 0, tilt, 180, modifier=False)["sky"]
        integral = pvlib.iam.marion_diffuse("ashrae", tilt)["sky"]
        assert modified / plain == pytest.approx(integral, abs=0.012)
