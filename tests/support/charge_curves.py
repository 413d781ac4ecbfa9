"""The end of a charge on a battery of one well and no spread, simulated, and the solution from outside."""

from __future__ import annotations

from typing import Any

import bench
import numpy as np
import ridethrough as rt
from scipy import linalg, optimize

AGM: dict[str, Any] = dict(
    capacity_ah=100,
    state_of_health=1.0,
    open_circuit_voltage_offset_v=0.0,
    capacity_factor_0c=1.0,
    resistance_mohm_100ah=6.5,
)
LFP: dict[str, Any] = dict(AGM, charge_block_c=-20.0, charge_full_c=-15.0, **bench.PLAIN_LITHIUM)
TAPER_V, CHARGER_A, SLOPE_V = 14.4, 12.0, 4.0


def linear_battery(step_min: int, hours: int) -> np.ndarray:
    """Charge by the hour of a battery whose open-circuit voltage rises in a straight line, 12 V + 4 V x charge."""
    nodes = np.linspace(0, 1, 10)
    battery = rt.LithiumBattery(
        **{**LFP, "resistance_mohm_100ah": 100.0},
        initial_soc=0.2,
        coulombic_efficiency=1.0,
        charge_c_rate=3.0,
        open_circuit_soc=nodes,
        open_circuit_voltage_v=12 + SLOPE_V * nodes,
    )
    profile = rt.ChargeProfile(
        chemistry="lithium", absorption_v=TAPER_V, float_v=TAPER_V, absorption_limit_h=24, tail_current_c_rate=0.001
    )
    van = bench.van(
        battery,
        mains=rt.MainsCharger(current_a=CHARGER_A, charge_profile=profile),
        generator=rt.Generator(rated_w=5000),
    )
    trip = bench.trip(
        bench.climate(),
        1,
        start="2026-03-01 00:00",
        step_min=step_min,
        generator_runs=[rt.GeneratorRun(days=1, start_h=0, duration_h=24)],
        generator_allowed_from_h=0,
        generator_allowed_to_h=24,
    )
    return rt.simulate(van, trip, trials=1, time_series=["soc"]).time_series_values["soc"][0][:hours]


def constant_current_then_voltage(hours: int) -> np.ndarray:
    """The same by the matrix exponential: constant current up to 14.4 V, then I = (14.4 V - rest) / R."""
    wells, c, k, ohm = bench.wells_ah(100, lithium=True), *bench.WELLS[True], 0.1
    # State: charge, head of the available well over the bound one, 1. Discharge current I: q' = -I, h' = -k h - I / c.
    still = np.array([[0, 0, 0], [0, -k, 0], [0, 0, 0]])
    drawn = np.array([-1, -1 / c, 0])
    head = np.array([1 / wells, (1 - c) / wells, 0])  # relative
    one = np.array([0, 0, 1.0])
    constant = still + np.outer(drawn, -CHARGER_A * one)
    limited = still + np.outer(drawn, -((TAPER_V - 12) * one - SLOPE_V * head) / ohm)
    start = np.array([0.2 * wells, 0, 1])

    def spare_v(t: float) -> float:
        return float(TAPER_V - 12 - SLOPE_V * head @ linalg.expm(constant * t) @ start - ohm * CHARGER_A)

    knee = optimize.brentq(spare_v, 0, 10)
    assert 0.3 < knee < 2
    at_knee = linalg.expm(constant * knee) @ start
    charge = [
        (linalg.expm(constant * t) @ start if t < knee else linalg.expm(limited * (t - knee)) @ at_knee)[0] / wells
        for t in np.arange(1, hours + 1)
    ]
    return np.array(charge)
