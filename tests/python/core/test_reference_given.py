"""The reference model's draws, sun, weather, light and loads against the core: two programs from the same equations.

Both use the formulas of the papers named in the headers; what these checks catch is a slip in either program.
"""

import numpy as np
import pytest
import ridethrough as rt
import ridethrough._checks as _checks
from hypothesis import HealthCheck, given, settings
from optional import there
from random_cases import cases
from reference import draws, marginal, module, plane, replay, sun, weather
from reference.compare_given import first_hour_misses, misses
from reference.places import Calendar
from reference_cases import CASES, FIRST_HOURS, FOLDING, SITE, SOUTH, first_hour, record, solar, trip
from ridethrough import _core

TRIALS, SEED, CLOSE = 8, 5, 1e-9
SPREADS = [
    rt.spreads.uniform(2, 5),
    rt.spreads.triangular(0, 1, 4),
    rt.spreads.triangular(1, 1, 4),
    rt.spreads.triangular(0, 4, 4),
    rt.spreads.normal(10, 3),
    rt.spreads.normal(1, 8),
    rt.spreads.discrete([3, 1, 2], [1, 2, 4]),
]


def test_words_and_what_they_mean():
    for name in ("weather.clearness", "spread.battery.capacity_ah"):
        assert draws.purpose(name) == _core.purpose_hash(name)
        mine = draws.Draws(SEED, [0, 3, 2**33], 4).daily_draws(name, 2)
        for row, trial in zip(mine, [0, 3, 2**33], strict=True):
            np.testing.assert_array_equal(row.ravel(), _checks.stream_draws(SEED, name, trial, 10))
    many = _checks.stream_draws(1, "reference", 0, 100_000)
    np.testing.assert_array_equal(draws.uniform_of(many), _checks.uniforms(many))
    np.testing.assert_allclose(draws.normal_of(many), _checks.normals(many), rtol=0, atol=1e-14)


@pytest.mark.parametrize("spread", SPREADS, ids=repr)
def test_spreads(spread):
    u = draws.uniform_of(_checks.stream_draws(2, "reference", 0, 2000))
    core = [spread.quantile(x, 0.0, 20.0) for x in u]
    np.testing.assert_allclose(draws.quantile(spread, u, 0.0, 20.0), core, rtol=0, atol=1e-12)


@pytest.mark.parametrize("numbers", [(0, 1, 4), (0, 0, 3), (80, 100, 130)])
def test_the_cores_table_of_the_pert_is_good_to_a_billionth_of_its_width(numbers):
    spread, u = rt.spreads.pert(*numbers), draws.uniform_of(_checks.stream_draws(2, "reference", 0, 2000))
    core = [spread.quantile(x, 0.0, 200.0) for x in u]
    np.testing.assert_allclose(draws.quantile(spread, u, 0, 200), core, rtol=0, atol=1e-9 * (numbers[2] - numbers[0]))


@pytest.mark.parametrize("place", [(36.1, -79.95, -5), (68, 20, 1), (-42, 147, 10), (0, 179.5, 12), (52, 5, -3)])
def test_sky(place):
    days = 20400 + np.arange(0, 366)
    mine, core = sun.sky(days, *place), _core.sky_days(20400, 366, *place)
    for name, value in {
        "i0_wh_m2": mine.i0,
        "mean_sin_altitude": mine.sin_altitude,
        "profile": mine.profile,
        "sunrise_h": mine.sunrise,
        "sunset_h": mine.sunset,
        "solar_minus_clock_h": mine.solar_minus_clock,
    }.items():
        np.testing.assert_allclose(value, core[name], rtol=0, atol=CLOSE, err_msg=name)
    monthly = _checks.monthly_h0_wh_m2(place[0])
    np.testing.assert_allclose(sun.monthly_extraterrestrial(place[0]), monthly, rtol=0, atol=CLOSE)


@pytest.mark.parametrize("mean", [0.03, 0.1, 0.3, 0.4, 0.55, 0.8])
def test_marginals(mean):
    np.testing.assert_allclose(marginal.bendt(mean), _checks.bendt_table(mean), rtol=0, atol=1e-12)
    for air_c in (-5.0, 15.0, 26.0):
        core = _checks.clearness_table(mean, air_c)
        # In the far tails a bin holds so little that the last digit of its rank shows.
        far = np.abs(marginal.SCORES) > 4.5
        np.testing.assert_allclose(marginal.learned(mean, air_c)[~far], core[~far], rtol=0, atol=1e-10)
        np.testing.assert_allclose(marginal.learned(mean, air_c), core, rtol=0, atol=1e-5)


@pytest.mark.parametrize("days", ["bendt", "record"])
def test_the_other_kinds_of_days(days):
    measured, *_ = record()
    climate = there(SITE.climate).replace(weather_series=measured, clearness_days=days)
    found = misses(rt.Van(), trip(site=SITE.replace(climate=climate)), SEED, TRIALS)
    assert max(found.values()) < CLOSE, found


def test_normals_of_the_air():
    for site in (SITE, SOUTH):
        nodes = _core.mid_month_nodes(there(site.climate).air_temp_c)
        days = np.arange(20400, 21200)  # a leap year inside
        core = _core.along_year(nodes, sun.day_of_year(days))
        np.testing.assert_allclose(weather.air_normals(site.climate, days), core, rtol=0, atol=CLOSE)


@pytest.mark.parametrize("model", plane.MODELS)
def test_skies_of_tilted_planes(model):
    chance = np.random.default_rng(1)
    for _ in range(300):
        tilt, share = chance.uniform(0, 90), chance.uniform(0, 1)
        cos_incidence, cos_zenith = chance.uniform(-0.3, 1), chance.uniform(0.01, 1)
        i0 = 1361 * cos_zenith
        ghi = i0 * chance.uniform(0, 0.9)
        half = np.radians(tilt) / 2
        hours = plane.PlaneHours(
            received=np.array(max(cos_incidence, 0)),
            cos_zenith=np.array(cos_zenith),
            sky=np.cos(half) ** 2,
            ground=np.sin(half) ** 2 * 0.2,
            band=np.sin(2 * half),
            cube=np.sin(half) ** 3,
            i0=np.array(i0),
        )
        mine = sum(plane.MODELS[model](hours, ghi * (1 - share), ghi * share))
        sky = {"tilt_deg": tilt, "cos_incidence": cos_incidence, "cos_zenith": cos_zenith, "i0": i0}
        core = _checks.plane_light(model, **sky, direct=ghi * (1 - share), diffuse=ghi * share)
        assert mine == pytest.approx(core, abs=CLOSE)


def test_module():
    chance = np.random.default_rng(1)
    light, cell_c, volts = 10 ** chance.uniform(-1, 3.1, 300), chance.uniform(-20, 90, 300), chance.uniform(-9, 24, 300)
    dark_share, loss_per_k = chance.uniform(0, 1, 300), chance.uniform(0.001, 0.008, 300)
    mine = module.module_at(light, module.equivalent_cell_c(cell_c, loss_per_k), dark_share)
    where = list(zip(light, cell_c, dark_share, loss_per_k, strict=True))
    current = [_checks.module_current_a(v, *at) for v, at in zip(volts, where, strict=True)]
    np.testing.assert_allclose(mine.current_a(volts), current, rtol=0, atol=1e-11)
    np.testing.assert_allclose(mine.peak()[0], [_checks.module_most_w(*at) for at in where], rtol=0, atol=1e-11)
    np.testing.assert_allclose(mine.open_v(), [_checks.module_open_v(*at) for at in where], rtol=0, atol=1e-11)


@pytest.mark.parametrize("case", CASES)
def test_what_the_steps_are_given(case):
    found = misses(*CASES[case], SEED, TRIALS)
    assert max(found.values()) < CLOSE, found


@pytest.mark.parametrize("case", FIRST_HOURS)
def test_charge_controllers_that_look_at_the_battery(case):
    for hour in (8, 10, 12, 15):
        for month in (1, 7):
            found = first_hour_misses(*first_hour(case, hour, month), SEED, TRIALS)  # type: ignore[call-arg]
            assert max(found.values()) < CLOSE, (hour, month, found)


@pytest.mark.parametrize("made", [{"hours": 8760, "wraps": True}, {}, {"utc_offset_h": 2.0, "diffuse": False}])
@pytest.mark.parametrize("start", ["2026-11-06 15:00", "2027-12-28 06:00", "2028-02-29 00:00"])
def test_replayed_days(made, start):
    measured, ghi, dhi, i0 = record(**made)
    ghi, dhi = replay.split(ghi, i0, dhi)
    np.testing.assert_allclose(measured.ghi_w_m2, ghi, rtol=0, atol=CLOSE)
    np.testing.assert_allclose(measured.dhi_w_m2, dhi, rtol=0, atol=CLOSE)
    place = SITE.replace(climate=there(SITE.climate).replace(weather_series=measured), albedo=0.4)
    again = trip(start, site=place, weather="replayed", replay_window_d=9)
    calendar = Calendar(again)
    core = measured.starts(calendar.first_day, calendar.days, calendar.utc_offset_h, 9)
    np.testing.assert_array_equal(replay.starts(measured, calendar, 9), core)
    upright = rt.SolarArray(name="upright", tilt_deg=60, sky_model="hdkr")
    found = misses(solar([FOLDING, upright], tilt_deg=30), again, SEED, TRIALS)
    assert max(found.values()) < CLOSE, found


@settings(max_examples=200, derandomize=True, deadline=None, suppress_health_check=list(HealthCheck))
@given(case=cases())
def test_what_the_steps_of_random_trips_are_given(case):
    found = misses(*case, SEED, 3)  # type: ignore[call-arg]
    assert max(found.values()) < CLOSE, found
