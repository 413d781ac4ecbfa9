"""What holds for every van whatever its parts: both ledgers, told from the paths outside, and the ways to run it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import ridethrough as rt
import ridethrough._checks as _checks
from random_vans import random_case
from ridethrough import _core
from ridethrough.model import clocks

pytestmark = pytest.mark.filterwarnings("ignore:Van:UserWarning")  # vans as they come

CASES = range(30)


@pytest.mark.parametrize("seed", CASES)
def test_energy_and_charge_close_hour_by_hour(seed: int) -> None:
    """Kirchhoff's laws over the printed hours, not the core's own sums: what comes in goes out, and no Ah is made."""
    van, trip = random_case(seed)
    risk = rt.simulate(van, trip, trials=24, seed=seed, time_series=True)
    assert risk.charge_balance_error < 1e-12 and risk.energy_balance_error < 1e-12
    p = risk.time_series_values
    made = p["solar_w"] + p["dc_dc_w"] + p["mains_w"] + p["battery_w"]
    used = p["fridge_w"] + p["other_loads_w"] + p["wiring_w"]
    assert np.abs(made - used).max() < 1e-9 * max(float(used.max()), 1)
    # Ah: in an hour without chargers the charge falls by the current over the same wells, all through a trial.
    idle = (p["solar_w"] + p["dc_dc_w"] + p["mains_w"])[:, 1:] == 0
    fall, amps = -np.diff(p["soc"], axis=1), p["battery_a"][:, 1:]
    for trial in range(24):
        drawn = idle[trial] & (amps[trial] > 0.05)
        if drawn.any():
            wells = amps[trial][drawn] / fall[trial][drawn]
            assert wells == pytest.approx(np.full(len(wells), wells[0]), rel=1e-9)
            # Never more Ah stored than came in.
            gained, came = -fall[trial] * wells[0], -amps[trial]
            charging = came > 0
            assert (gained[charging] <= came[charging] + 1e-9).all()
    assert np.isfinite([p[name] for name in p]).all()


@pytest.mark.parametrize("seed", CASES[::3])
def test_the_same_bits_however_it_is_run(seed: int) -> None:
    """Threads, task size, lane width, and pieces that begin anywhere."""
    compiled = clocks.compile_with_clock(*random_case(seed))
    rng = np.random.default_rng(seed)
    trials = 300

    def run(first: int, count: int, **how: Any) -> dict[str, np.ndarray]:
        columns: dict[str, np.ndarray] = _core.simulate(compiled, count, 9, first_trial=first, **how)["columns"]
        return columns

    whole = run(0, trials, threads=1, trials_per_task=trials)
    for _ in range(4):
        first = int(rng.integers(0, trials - 1))
        count = int(rng.integers(1, trials - first + 1))
        how = dict(
            threads=int(rng.integers(1, 6)),
            trials_per_task=int(rng.integers(1, 90)),
            instruction_set=str(rng.choice(_checks.instruction_sets())),
        )
        part = run(first, count, **how)
        assert list(part) == list(whole)
        for name, column in part.items():
            assert np.array_equal(column, whole[name][first : first + count]), (name, first, count, how)


def test_the_cases_are_not_all_one_kind() -> None:
    """The draw reaches both chemistries, every charger and charge controller, and vans that fail, hold, and stand
    between."""
    cases = [random_case(seed) for seed in CASES]
    vans = [van for van, _ in cases]
    assert {type(van.battery) for van in vans} == {rt.AgmBattery, rt.LithiumBattery}
    assert {type(van.dc_dc) for van in vans} == {rt.DcDcCharger, rt.AlternatorCable, type(None)}
    assert {array.charge_controller for van in vans for array in van.arrays} == {"mppt", "pwm"}
    assert any(trip.shore_power for _, trip in cases) and any(trip.drives for _, trip in cases)
    shares = np.array([rt.simulate(*case, trials=100, seed=1).cutout.value for case in cases])
    assert (shares < 0.02).any() and (shares > 0.98).any() and ((shares > 0.05) & (shares < 0.95)).sum() >= 5
