"""Sensitivity: published test functions through the very code that ranks a van's inputs, noise told from effect."""

import dataclasses
import math
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from ridethrough.studies.sensitivity_indices import UncertainInput, analyse
from study_fixture import SITE, TRIP, VAN

pytest.importorskip("SALib")


pytest.importorskip("xarray")


# Ishigami & Homma 1990, a = 7, b = 0.1: closed form.
A, B = 7.0, 0.1


_V1, _V2, _V13 = (1 + B * math.pi**4 / 5) ** 2 / 2, A**2 / 8, B**2 * math.pi**8 * (1 / 18 - 1 / 50)


# Sobol' g-function (Saltelli & Sobol' 1995): closed form.
G = np.array([0, 1, 4.5, 9, 99, 99, 99, 99])


_G_PARTS = 1 / (3 * (1 + G) ** 2)


_G_ALL = np.prod(1 + _G_PARTS) - 1


def test_the_van_s_indices_are_those_of_its_simulations():
    spreads = {
        "battery.state_of_health": rt.spreads.uniform(0.5, 1.0),
        "solar.soiling_loss": rt.spreads.uniform(0.04, 0.06),
    }
    how: dict[str, Any] = {"method": "morris", "samples": 2, "trials": 60, "seed": 3}
    found = rt.sensitivity(VAN, TRIP, spreads, **how, outcome="hours_below_half", progress=False)
    points = []

    def evaluate(values):
        both = []
        for seed in (3, 4):
            outcome = []
            for health, dirt, level, lag1 in values:
                van = VAN.replace(
                    **{
                        "battery.state_of_health": health,
                        "solar.soiling_loss": dirt,
                        "battery.open_circuit_voltage_offset_v": level,
                    }
                )
                trip = TRIP.replace(**{"site.climate.clearness_lag1": lag1})
                outcome.append(rt.simulate(van, trip, trials=60, seed=seed).means["hours_below_half"])
            both.append(np.array(outcome))
        points.append(len(values))
        return both

    inputs = {
        "battery.state_of_health": UncertainInput(spreads["battery.state_of_health"], 0.2, 1.1),
        "solar.soiling_loss": UncertainInput(spreads["solar.soiling_loss"], 0, 1),
        "battery.open_circuit_voltage_offset_v": UncertainInput(rt.spreads.normal(0, 0.05), -0.5, 0.5),
        "trip.site.climate.clearness_lag1": UncertainInput(rt.spreads.triangular(0.2, 0.29, 0.5), 0, 0.9),
    }
    by_hand = analyse(inputs, evaluate, method="morris", samples=2, seed=3)
    for i, name in enumerate(inputs):
        for key in ("mu_star", "sigma", "mu_star_noise"):
            assert float(found.dataset[key].sel(input=name)) == pytest.approx(by_hand.columns[key][i], rel=1e-9)
    assert found.dataset.attrs["points"] == points[0] == 10
    assert found.ranking[0] == "battery.state_of_health"


def test_what_matters_most_is_named(tmp_path):
    """A planted case: half to full capacity unknown, all else known well."""
    spreads = {
        "battery.state_of_health": rt.spreads.uniform(0.4, 1.0),
        "solar.soiling_loss": rt.spreads.uniform(0.049, 0.051),
    }
    how = {"samples": 16, "trials": 60, "seed": 1, "progress": False, "store": tmp_path}
    found = rt.sensitivity(VAN, TRIP, spreads, **how)
    assert found.ranking[0] == "battery.state_of_health" and found.measure_first == ["battery.state_of_health"]
    assert (
        "battery.open_circuit_voltage_offset_v" in found.ranking and "trip.site.climate.clearness_lag1" in found.ranking
    )
    text = str(found)
    assert text.startswith("Matters most of what is not known: battery.state_of_health. Go and measure it: capacity")
    assert "total: share of the outcome's variance that the input causes with all its interactions." in text
    assert "95 % interval" in text and "2 x 60 trials" in text and "96 points" in text
    assert "no guarantee" in text
    assert found.dataset.unit.sel(input="battery.open_circuit_voltage_offset_v") == "V"
    assert rt.sensitivity(VAN, TRIP, spreads, **how).dataset.identical(found.dataset)  # out of its store


def test_what_nobody_can_measure_is_not_sent_to_be_measured():
    """Habits and the model's own numbers matter, and only the van's can be measured."""
    spreads = {"trip.habits_scale": rt.spreads.uniform(0.6, 2.0), "solar.soiling_loss": rt.spreads.uniform(0.04, 0.05)}
    found = rt.sensitivity(
        VAN, TRIP, spreads, method="morris", samples=6, trials=60, seed=1, progress=False, outcome="hours_below_half"
    )
    assert found.measure_first[0] == "trip.habits_scale" and found.measurable == []
    assert "None of these can be measured on a van" in found.advice and "Go and measure" not in found.advice
    assert dict(zip(found.ranking, found.dataset["owner"].values, strict=True))["trip.habits_scale"] == "person"
    for place in range(len(found.ranking)):  # the mean of sizes is not below 0
        value, low, high = found.interval("mu_star", place)
        assert 0 <= low <= value <= high
    assert "mu_star: mean size of the outcome's change across the middle 98 % of the input, h." in str(found)
    assert "triangular(0.2, 0.29, 0.5)" in found.dataset["spread"].values


def test_a_long_list_of_equals_is_cut_short():
    spreads = {f"loads.{name}.current_a": rt.spreads.uniform(0.1, 0.1001) for name in ("lights", "fan", "standby")}
    found = rt.sensitivity(VAN, TRIP, spreads, method="morris", samples=2, trials=30, progress=False)
    equals = dataclasses.replace(found, dataset=found.dataset.copy(deep=True))
    equals.dataset["mu_star"][:] = 1.0
    equals.dataset["mu_star_half_width"][:] = 0.5
    assert len(equals.measure_first) == 5 and " and 1 more. " in equals.advice


def test_inputs_by_default_are_all_spreads_and_the_two_that_are_always_there():
    from ridethrough.studies.sensitivity_ranking import _inputs

    lithium = VAN.replace(battery=rt.LithiumBattery(capacity_ah=80))
    known = VAN.replace(**{"battery.open_circuit_voltage_offset_v": 0.02})
    drawn = set(_inputs(VAN, TRIP, None))
    assert {"battery.state_of_health", "trip.habits_scale", "loads.standby.current_a"} <= drawn
    assert {"battery.open_circuit_voltage_offset_v", "trip.site.climate.clearness_lag1"} <= drawn
    assert "battery.open_circuit_voltage_offset_v" in _inputs(known, TRIP, {})
    assert "battery.open_circuit_voltage_offset_v" in _inputs(lithium, TRIP, {})
    stops = TRIP.replace(site=None, nights=None, stops=[rt.Stop(name=n, site=SITE, nights=1) for n in ("sea", "hill")])
    assert "trip.stops.*.site.climate.clearness_lag1" in _inputs(VAN, stops, {})
    rt.sensitivity(VAN, stops, {}, method="morris", samples=2, trials=40, outcome="hours_below_half", progress=False)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"spreads": {"battery.capacity_ah": 3}}, "must be a spread"),
        ({"spreads": {"battery.capacity_ah": rt.spreads.uniform(1, 9)}}, "capacity_ah.*5 to 2000 Ah"),
        ({"spreads": {"battery.capacity": rt.spreads.uniform(50, 90)}}, "capacity_ah"),
        ({"method": "fast"}, "'sobol', 'morris'"),
        ({"samples": 100}, "powers of two"),
        ({"samples": 1}, "whole numbers 2 to 1,000,000"),
        ({"trials": 0}, "trials = 0"),
    ],
)
def test_bad_arguments(changes, words):
    with pytest.raises(rt.InputError, match=words):
        rt.sensitivity(VAN, TRIP, **changes, progress=False)


def test_an_outcome_that_is_not_one_number():
    with pytest.raises(rt.InputError, match="outcome = 'risk_by_night'.*risk_low"):
        rt.sensitivity(VAN, TRIP, {}, method="morris", samples=2, trials=5, outcome="risk_by_night", progress=False)


def test_inputs_keep_their_order() -> None:
    """Points of a design mean the same ever after: named fields first, then as components are compiled."""
    compiled = rt.simulate(rt.Van(), TRIP, trials=1).compiled
    paths = [compiled.parameter_paths[i] for i in compiled.spread_parameters]
    assert paths[:2] == ["battery.state_of_health", "battery.initial_soc"]
    first = ["wiring.shared_mohm", "solar.soiling_loss", "fridge.heat_leak_factor", "cabin_person_heat_w"]
    last = [
        "trip.habits_scale",
        "loads.lights.current_a",
        "loads.heater.full_current_a",
        "solar.controller_starts_above_battery_v",
    ]
    places = [paths.index(path) for path in [*first, *last]]
    assert places == sorted(places)
