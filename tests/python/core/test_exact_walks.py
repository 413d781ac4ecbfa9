"""Whole vans that come to a random walk, simulated by the real machinery, against the walk's exact answer.

The lattice and Gaussian figures are those of tests/cpp/ensemble/test_lattice.cpp (exact Markov chains and quadrature,
worked out apart from this program); the chain is propagated here again by other code. A day of these vans: a mains
charger gives a fixed charge in the afternoon, a load takes a random one at night, and nothing else happens.
"""

from __future__ import annotations

from typing import Any

import bench
import numpy as np
import pytest
import ridethrough as rt
import statcheck
from random_walks import LATTICES, capped_gaussian, chain, nightly
from ridethrough import _core
from scipy import stats

pytestmark = pytest.mark.filterwarnings("ignore:Van:UserWarning")  # benches, not vans


@pytest.mark.parametrize(("cap", "up", "down", "p_up", "days", "exact"), LATTICES)
def test_lattice_battery(cap: int, up: int, down: int, p_up: float, days: int, exact: float) -> None:
    ruin, _ = chain(cap, up, down, p_up, days)
    assert ruin == pytest.approx(exact, abs=1e-8)
    unit, charged = 12.0, 40.0
    night = rt.spreads.discrete([charged - up * unit, charged + down * unit], [p_up, 1 - p_up], per="day")
    # Half a unit less than the cap: the level is ruined at 0.5 units, and no lag of the wells gets that far.
    van, trip = nightly((cap - 0.5) * unit, charged, night, days)
    risk = rt.simulate(van, trip, trials=6000, seed=11)
    assert risk.cutout.events is not None
    assert statcheck.proportion_agrees(risk.cutout.events, risk.trials, exact, smallest_error=0.05)
    # And each trial by itself: its own nights through the recursion.
    charge = rt.simulate(van, trip, trials=400, seed=11, time_series=["soc"]).time_series_values["soc"]
    device = risk.columns["cutout_cause"][:400] > 0
    taken = -np.diff(charge, axis=1)[:, [h for h in range(24 * days - 1) if h % 24 == 5]] * 14  # an hour of each night
    taken *= (cap - 0.5) * unit + charged
    for trial in range(400):
        level = cap
        for day in range(days):
            step = round((charged - taken[trial, day]) / unit)
            assert step in (up, -down)
            level = min(cap, level + step)
            if level <= 0:
                break
        assert (level <= 0) == device[trial]


def test_gaussian_walk_with_a_cap() -> None:
    assert capped_gaussian(5, 0.2, 14, 0) == pytest.approx(0.0730360717, abs=1e-4)
    sd = 15.0
    charged = 5.2 * sd
    van, trip = nightly(5 * sd, charged, rt.spreads.normal(5 * sd, sd, per="day"), 14)
    # The available well of a lithium battery lags by (1 - c) / (c k) h of the current: it is empty that much earlier.
    exact = capped_gaussian(5, 0.2, 14, 0.1 / (0.9 * 2.0) / 14)
    assert 0.073 < exact < 0.077
    risk = rt.simulate(van, trip, trials=20_000, seed=3)
    assert risk.cutout.events is not None
    assert statcheck.proportion_agrees(risk.cutout.events, risk.trials, exact, smallest_error=0.015)  # no cap: .038


def test_reflected_walk() -> None:
    """Charge missing from a large battery that gains on average: the law of a walk reflected at full."""
    unit, charged, p_up, nights = 12.0, 40.0, 0.7, 40
    night = rt.spreads.discrete([charged - unit, charged + unit], [p_up, 1 - p_up], per="day")
    van, trip = nightly(80 * unit, charged, night, nights)
    trials = 4000
    risk = rt.simulate(van, trip, trials=trials, seed=5, time_series=["soc", "curtailed_w", "mains_w"])
    assert risk.cutout.events == 0
    missing = (1 - risk.time_series_values["soc"][:, -1]) * (80 * unit + charged) / unit  # at 17:00, after the charge
    steps = np.round(missing).astype(int)
    assert np.abs(missing - steps).max() < 0.06  # the last hour's current leaves the wells a little apart
    _, law = chain(80, 1, 1, p_up, nights)
    ratio = (1 - p_up) / p_up  # long-run law: geometric (Feller I, chapter XIV, the queue of a reflected walk)
    for k in range(5):
        assert law[80 - k] == pytest.approx((1 - ratio) * ratio**k, abs=2e-3)
        assert statcheck.proportion_agrees(int((steps == k).sum()), trials, float(law[80 - k]), smallest_error=0.06)


def solar_walk(good: np.ndarray, up: int, down: int, cap: int, days: int) -> tuple[rt.Van, rt.Trip]:
    """Days of light round the clock, or of none, in a record that starts in 1960."""
    unit, sun_w_m2 = 12.0, 300.0
    weather = bench.climate(
        5.0, np.repeat(np.where(good, sun_w_m2, 0.0), 24), first_hour=_core.day_number(1960, 1, 1) * 24
    )
    losses: dict[str, Any] = dict(soiling_loss=0.0, system_loss=0.0, controller_efficiency=1.0, mounting="framed")
    losses |= bench.FIXED_CELLS
    battery = bench.box_of_charge((cap - 0.5) * unit, (cap - 0.5) * unit)

    def van(rated_w: float, load_a: float) -> rt.Van:
        solar = rt.SolarArray(rated_w=rated_w, **losses)
        return bench.van(battery, solar=solar, loads=[rt.Standby(current_a=load_a)])

    trip = bench.trip(weather, days, start="2026-07-01 00:00", replay_window_d=182)
    # Ampere-hours of a good day per watt, from one of them into an emptier battery.
    bright = bench.trip(bench.climate(5.0, sun_w_m2), 1, start="2026-07-01 00:00")
    wide = bench.van(bench.box_of_charge(1000, 500), solar=rt.SolarArray(rated_w=100, **losses))
    per_w = -rt.simulate(wide, bright, trials=1, time_series=["battery_a"]).time_series_values["battery_a"].sum() / 100
    return van((up + down) * unit / per_w, down * unit / 24), trip


@pytest.mark.parametrize(
    ("cap", "up", "down", "stay", "back", "days", "exact"),
    [(4, 1, 1, 0.7, 0.45, 14, 0.40340972), (10, 3, 2, 0.645, 0.355, 14, 0.38525529)],
)
def test_markov_weather_replayed(
    cap: int, up: int, down: int, stay: float, back: float, days: int, exact: float
) -> None:
    """Good and bad days that a two-state chain drew into a record: in each trial the ruin is the recursion's."""
    rng = np.random.default_rng(20261125)
    years, u = 60, rng.random(60 * 365)
    good = np.empty(len(u), bool)
    good[0] = True
    for day in range(1, len(u)):
        good[day] = u[day] < (stay if good[day - 1] else back)
    van, trip = solar_walk(good, up, down, cap, days)
    trials = 3000
    risk = rt.simulate(van, trip, trials=trials, seed=2, time_series=["ghi_w_m2"])
    bright = risk.time_series_values["ghi_w_m2"][:, ::24] > 0
    level, ruined = np.full(trials, cap), np.zeros(trials, bool)
    for day in range(days):
        level = np.minimum(cap, level + np.where(bright[:, day], up, -down))
        ruined |= level <= 0
    assert np.array_equal(risk.columns["cutout_cause"] > 0, ruined)
    # Overlapping windows of one record: no more independent trips in it than windows that don't overlap.
    apart = years * 365 // days
    share = stats.norm.isf(statcheck.FALSE_ALARM / 2) * np.sqrt(exact * (1 - exact) / apart)
    assert share < 0.07  # independent days: .2465 and .2081
    assert abs(risk.cutout.value - exact) < share
