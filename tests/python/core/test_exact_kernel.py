"""Wells, the end of a charge and the thermostat inside a whole van, against solutions from outside: SciPy's
ODE solver and matrix exponential, and exponentials by hand."""

from __future__ import annotations

from typing import Any

import bench
import numpy as np
import pytest
import ridethrough as rt
from charge_curves import AGM, LFP, constant_current_then_voltage, linear_battery
from scipy import integrate

pytestmark = pytest.mark.filterwarnings("ignore:Van:UserWarning")  # benches, not vans


def by_kinetic_model(
    wells: float, c: float, k: float, start: float, out_a: np.ndarray, rest: Any
) -> tuple[np.ndarray, np.ndarray]:
    """Hour by hour, charge at the end and mean voltage behind the resistance at the 60 beginnings of its minutes.

    Manwell & McGowan 1993 as two differential equations; `out_a` is what leaves the wells, constant in each hour.
    """
    flow = k * c * (1 - c)  # their k' is flow / (c (1 - c))
    both = np.array([c, 1 - c]) * start * wells
    charge, volts = [], []
    for amps in out_a:

        def moves(t: float, q: np.ndarray, amps: float = amps) -> list[float]:
            across = flow * (q[1] / (1 - c) - q[0] / c)
            return [across - amps, -across]

        run = integrate.solve_ivp(moves, (0, 1), both, method="DOP853", rtol=1e-11, atol=1e-12, dense_output=True)
        volts.append(np.mean(rest(run.sol(np.arange(60) / 60)[0] / c / wells)))
        both = run.y[:, -1]
        charge.append(both.sum() / wells)
    return np.array(charge), np.array(volts)


@pytest.mark.parametrize("lithium", [False, True], ids=["agm", "lfp"])
def test_wells_against_an_ode_solver(lithium: bool) -> None:
    """24 hours of three currents, and for lithium of a charge at constant current, terminal voltage and charge."""
    stored = 0.99
    battery = (
        rt.LithiumBattery(**LFP, initial_soc=0.8, coulombic_efficiency=stored, charge_c_rate=3.0)
        if lithium
        else rt.AgmBattery(**AGM, initial_soc=1.0, polarisation_factor=0.0, end_of_discharge_drop_v=0.0)
    )
    loads = [rt.Standby(current_a=3.0), rt.BreathingMachine(night_ah=20.0, duration_h=5)]
    parts: dict[str, Any] = dict(mains=rt.MainsCharger(current_a=8.0), generator=rt.Generator(rated_w=5000))
    van = bench.van(battery, loads=loads, **(parts if lithium else {}))
    runs = [rt.GeneratorRun(days=2, start_h=8, duration_h=4)] if lithium else []
    trip = bench.trip(bench.climate(), 1, start="2026-03-01 18:00", step_min=1, generator_runs=runs)
    paths = {n: p[0] for n, p in rt.simulate(van, trip, trials=1, time_series=True).time_series_values.items()}
    amps = np.full(24, 3.0)
    amps[4:9] += 4  # from bedtime
    if lithium:
        amps[14:18] -= 8
    assert paths["battery_a"] == pytest.approx(amps, abs=1e-9)
    nodes = battery.open_circuit_soc if isinstance(battery, rt.LithiumBattery) else np.arange(11) / 10
    c, k = bench.WELLS[lithium]
    charge, volts = by_kinetic_model(
        bench.wells_ah(100, lithium=lithium),
        c,
        k,
        0.8 if lithium else 1.0,
        np.where(amps > 0, amps, stored * amps),
        lambda head: np.interp(head, nodes, battery.open_circuit_voltage_v),
    )
    assert paths["soc"] == pytest.approx(charge, abs=1e-9)
    assert paths["terminal_v"] == pytest.approx(volts - 0.0065 * amps, abs=1e-6)


def test_taper_against_the_analytic_curve() -> None:
    """The current is held through a step, so the miss falls with the step; the end is the same."""
    exact = constant_current_then_voltage(20)
    miss = {step: np.abs(linear_battery(step, 20) - exact) for step in (60, 15, 5, 1)}
    print({step: f"{100 * m.max():.3f} % of charge" for step, m in miss.items()})
    assert miss[1].max() < 1e-3
    assert 3 < miss[5].max() / miss[1].max() < 7  # first order
    assert 2 < miss[15].max() / miss[5].max() < 4
    assert miss[60].max() < 0.03
    assert all(m[-1] < 1e-3 for m in miss.values())


@pytest.mark.parametrize("step_min", [60, 1])
def test_ampere_hour_law_against_the_exponential(step_min: int) -> None:
    """An AGM at 25 degC that takes .2 A per Ah missing from a charger that could give more: what is missing decays, at
    any step."""
    battery = rt.AgmBattery(**AGM, initial_soc=0.5, polarisation_factor=0.0, acceptance_per_h=0.2)
    all_day = rt.ChargeProfile(absorption_limit_h=24, tail_current_c_rate=0.001)
    mains = rt.MainsCharger(current_a=100.0, charge_profile=all_day)
    van = bench.van(battery, mains=mains, generator=rt.Generator(rated_w=5000))
    run = rt.GeneratorRun(days=1, start_h=8, duration_h=12)
    trip = bench.trip(bench.climate(25.0), 1, start="2026-03-01 08:00", step_min=step_min, generator_runs=[run])
    charge = rt.simulate(van, trip, trials=1, time_series=["soc"]).time_series_values["soc"][0][:12]
    assert 1 - charge == pytest.approx(0.5 * np.exp(-0.2 * np.arange(1, 13)), abs=1e-9)


@pytest.mark.parametrize("start_s", [0, 90, 600])
def test_two_state_fridge_cycle(start_s: float) -> None:
    """UA 1 W/K, 30 kJ/K, 90 W of cooling, 32 degC around it, band 3 to 6 degC: off 3275.98 s, on 1440.28 s, by hand.
    A run is longer by what its start costs, for which the inside stays at the top of the band."""
    fridge = rt.Fridge(
        set_point_c=4.5,
        hysteresis_k=1.5,
        initial_inside_c=3.0,
        ua_w_per_k=1.0,
        heat_leak_factor=1.0,
        heat_capacity_kj_per_k=30.0,
        compressor_w=60.0,
        carnot_share=1.5 * (32 + 13 + 12) / 261.15,
        carnot_share_loss_per_k=0.0,
        vent_rise_k=0.0,
        start_loss_s=start_s,
        door_openings_per_day=0.0,
    )
    tau_s, hours = 30e3, 72
    off_s = tau_s * np.log((32 - 3) / (32 - 6))
    on_s = tau_s * np.log((6 + 58) / (3 + 58))  # it would get to 32 - 90 degC
    assert (off_s, on_s) == pytest.approx((3275.98, 1440.28), abs=0.01)
    assert on_s / (on_s + off_s) == pytest.approx(0.30539, abs=5e-6)

    def run_s(t: float) -> float:  # of the compressor, from the start
        cycles, rest = divmod(t, off_s + start_s + on_s)
        return float(cycles * (start_s + on_s) + max(rest - off_s, 0))

    def inside(t: float) -> float:
        rest = t % (off_s + start_s + on_s)
        cooled_s = max(rest - off_s - start_s, 0)
        return float(32 - 29 * np.exp(-rest / tau_s) if rest < off_s else -58 + 64 * np.exp(-cooled_s / tau_s))

    van = bench.van(bench.box_of_charge(2000, 2000), fridge=fridge)
    for step_min in (60, 5):
        risk = rt.simulate(van, bench.trip(bench.climate(32.0), 3, step_min=step_min), trials=1, time_series=True)
        ends = 3600.0 * np.arange(hours + 1)
        expected = 60 * np.diff([run_s(t) for t in ends]) / 3600
        assert risk.time_series_values["fridge_w"][0] == pytest.approx(expected, abs=1e-6)
        assert risk.time_series_values["fridge_c"][0] == pytest.approx([inside(t) for t in ends[1:]], abs=1e-6)
        assert risk.energy_balance_error < 1e-9
