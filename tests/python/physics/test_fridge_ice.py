"""Ice in the fridge: what it saves, how long food stays cold with it, and that its mass closes with its heat.

Water melts at 0 degC with 333.55 kJ/kg (handbooks): 92.65 Wh each kilogram.
"""

from __future__ import annotations

from typing import Any

import bench
import numpy as np
import pytest
import ridethrough as rt
from verdict_text import verdict

pytestmark = pytest.mark.filterwarnings("ignore:Van:UserWarning")  # a bench, not a van
WH_PER_KG = 333.55 / 3.6
PLAIN: dict[str, Any] = {
    "ua_w_per_k": 1.0,
    "heat_leak_factor": 1.0,
    "vent_rise_k": 0.0,
    "door_openings_per_day": 0.0,
    "initial_inside_c": 4.0,
}
OFF: dict[str, Any] = {**PLAIN, "set_point_c": 12.0, "hysteresis_k": 5.0}  # does not run below 17 degC


def play(fridge: rt.Fridge, air_c: float, nights: int = 5, trials: int = 1, **more: Any) -> rt.Risk:
    van = bench.van(bench.box_of_charge(2000, 2000), fridge=fridge)
    risk = rt.simulate(van, bench.trip(bench.climate(air_c), nights, **more), trials=trials, seed=3, time_series=True)
    assert max(risk.charge_balance_error, risk.energy_balance_error) < 1e-9
    return risk


@pytest.mark.parametrize("air_c", [20, 25, 32])
def test_two_kilograms_save_about_eight_ampere_hours(air_c: float) -> None:
    """185 Wh that the compressor need not carry off, over its coefficient of performance: that is 24 h x UA x (air -
    inside) over a day's energy where starts cost nothing. With one near 2 some 8 Ah at 12 V."""
    random_phase = {**PLAIN, "initial_inside_c": None}

    def saved_wh(**fridge: Any) -> tuple[float, float]:
        without = play(rt.Fridge(**random_phase, **fridge), air_c, trials=300).means["fridge_wh"]
        risk = play(rt.Fridge(**random_phase, **fridge, ice_kg=2), air_c, trials=300)
        assert risk.columns["ice_left_kg"].max() == 0
        return without, without - risk.means["fridge_wh"]

    without, saved = saved_wh(start_loss_s=0.0)
    performance = 5 * 24 * (air_c - 4) / without
    assert saved == pytest.approx(2 * WH_PER_KG / performance, abs=3)
    assert 6 < saved_wh()[1] / 12 < 10


def test_mass_closes_with_heat() -> None:
    """No compressor: what comes in through the walls warms the inside or melts ice, to the hour."""
    for coupling, kg in ((1.0, 2.0), (3.0, 0.7)):
        fridge = rt.Fridge(**OFF, heat_capacity_kj_per_k=30, ice_kg=kg, ice_coupling_w_per_k=coupling)
        for nights, step_min in ((1, 60), (1, 5), (2, 60)):
            risk = play(fridge, 12, nights=nights, step_min=step_min)
            assert risk.means["fridge_wh"] == 0
            inside, left = risk.time_series_values["fridge_c"][0], float(risk.columns["ice_left_kg"][0])
            # The exact end by hand: two exponentials, with ice and, once it is gone, without.
            tau_h, rest_c = 30 / 3.6 / (1 + coupling), 12 / (1 + coupling)
            hours = np.linspace(0, 24 * nights, 200_001)
            with_ice = rest_c + (4 - rest_c) * np.exp(-hours / tau_h)
            melted = coupling * (rest_c * hours + tau_h * (4 - with_ice)) / WH_PER_KG
            if melted[-1] < kg:
                assert left == pytest.approx(kg - melted[-1], abs=1e-6)
                assert inside[-1] == pytest.approx(with_ice[-1], abs=1e-9)
            else:
                gone_h = float(np.interp(kg, melted, hours))
                from_c = rest_c + (4 - rest_c) * np.exp(-gone_h / tau_h)
                end_c = 12 + (from_c - 12) * np.exp(-(24 * nights - gone_h) / (30 / 3.6))
                assert left == 0
                assert inside[-1] == pytest.approx(end_c, abs=1e-6)


def test_food_stays_cold_for_longer_without_power() -> None:
    """A set point out of reach stands for a cut-out. Settled with ice the inside is at U Ta / (U + G), here 20/5 = 4
    degC, until 2 kg have taken 185 Wh at 16 W: 11.6 h; without it passes 5 degC after C/U ln (16/15) = .54 h."""
    warm, iced = (
        play(rt.Fridge(**OFF, heat_capacity_kj_per_k=30, ice_kg=kg, ice_coupling_w_per_k=4), 20, nights=1)
        for kg in (0, 2)
    )
    first = [24 - float(risk.columns["hours_above_5c"][0]) for risk in (warm, iced)]
    lag_h = 30 / 3.6 * np.log(16 / 15)
    assert first[0] == pytest.approx(lag_h, abs=1e-5)
    assert first[1] == pytest.approx(2 * WH_PER_KG / 16 + lag_h, abs=1e-4)


@pytest.mark.filterwarnings("ignore:Trip:UserWarning")
def test_ice_in_a_trip_with_a_cut_out_keeps_food_and_battery() -> None:
    """Ice is never a loss: with it every trial is at most as warm, and takes at most as much."""
    small = bench.van(bench.box_of_charge(15, 15), fridge=rt.Fridge())
    trip = bench.trip(bench.climate(25), 2)
    plain, iced = (
        rt.simulate(small.replace(**{"fridge.ice_kg": kg}), trip, trials=300, seed=3, time_series=False)
        for kg in (0.0, 3.0)
    )
    assert plain.cutout.value > 0.5
    later = iced.columns["first_cutout_h"] - plain.columns["first_cutout_h"]
    off = plain.columns["cutout_cause"] > 0
    assert np.mean(later[off] > 0) > 0.95
    assert iced.means["hours_above_5c"] < plain.means["hours_above_5c"] - 1


def test_below_freezing_ice_stays() -> None:
    """Left out below 0 degC: it melts while the inside cools down to that, and no more."""
    risk = play(rt.Fridge(**OFF, ice_kg=1), -10, nights=2)
    left = float(risk.columns["ice_left_kg"][0])
    tau_h, rest_c = 30 / 3.6 / 2, -5.0  # with 1 W/K into the ice
    until_h = tau_h * np.log((4 - rest_c) / (0 - rest_c))
    melted = (rest_c * until_h + tau_h * 4) / WH_PER_KG
    assert left == pytest.approx(1 - melted, abs=1e-6)
    after_h = 48 - until_h
    assert risk.time_series_values["fridge_c"][0][-1] == pytest.approx(
        -10 + 10 * np.exp(-after_h / (30 / 3.6)), abs=1e-6
    )


def test_ice_and_a_freezer_box_are_refused_together() -> None:
    with pytest.raises(rt.InputError, match=r"Fridge.ice_kg = 2 kg: no ice beside a freezer box.*allowed 0 kg"):
        rt.Fridge(ice_kg=2, freezer_box=rt.FreezerBox())
    with pytest.raises(rt.InputError, match=r"Fridge.ice_kg = 60 kg: allowed 0 to 50 kg"):
        rt.Fridge(ice_kg=60)


def test_ice_is_told_of_and_goes_through_a_file(tmp_path: Any) -> None:
    van, trip = bench.van(bench.box_of_charge(200, 200), fridge=rt.Fridge(ice_kg=2)), bench.trip(bench.climate(20), 1)
    risk = rt.simulate(van, trip, trials=10)
    assert "4 degC, with 2 kg of ice" in verdict(risk)
    assert risk.to_dict()["van"]["fridge"]["ice_kg"] == 2
    assert "ice_left_kg" in risk.columns
    plain = rt.simulate(van.replace(**{"fridge.ice_kg": 0.0}), trip, trials=10)
    assert " ice" not in str(plain)
    assert "ice_left_kg" not in plain.columns
