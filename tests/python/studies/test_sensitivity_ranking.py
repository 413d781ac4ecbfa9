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
ISHIGAMI = {f"x{i}": UncertainInput(rt.spreads.uniform(-math.pi, math.pi), -10, 10) for i in (1, 2, 3)}
_V1, _V2, _V13 = (1 + B * math.pi**4 / 5) ** 2 / 2, A**2 / 8, B**2 * math.pi**8 * (1 / 18 - 1 / 50)
ISHIGAMI_FIRST = np.array([_V1, _V2, 0]) / (_V1 + _V2 + _V13)
ISHIGAMI_TOTAL = np.array([_V1 + _V13, _V2, _V13]) / (_V1 + _V2 + _V13)


def ishigami(x):
    return np.sin(x[:, 0]) + A * np.sin(x[:, 1]) ** 2 + B * x[:, 2] ** 4 * np.sin(x[:, 0])


# Sobol' g-function (Saltelli & Sobol' 1995): closed form.
G = np.array([0, 1, 4.5, 9, 99, 99, 99, 99])
_G_PARTS = 1 / (3 * (1 + G) ** 2)
_G_ALL = np.prod(1 + _G_PARTS) - 1
G_FIRST, G_TOTAL = _G_PARTS / _G_ALL, _G_PARTS / (1 + _G_PARTS) * (1 + _G_ALL) / _G_ALL


def g_function(x):
    return np.prod((np.abs(4 * x - 2) + G) / (1 + G), axis=1)


def twice(function, noise=0.0):
    rng = np.random.default_rng(3)
    return lambda x: tuple(function(x) + noise * rng.standard_normal(len(x)) for _ in range(2))


def test_the_closed_forms_are_those_that_are_published():
    """Figures as commonly quoted for the two functions."""
    assert pytest.approx([0.3139, 0.4424, 0], abs=5e-5) == ISHIGAMI_FIRST
    assert pytest.approx([0.5576, 0.4424, 0.2437], abs=5e-5) == ISHIGAMI_TOTAL
    assert pytest.approx([0.7162, 0.1790, 0.0237, 0.0072], abs=5e-5) == G_FIRST[:4]
    assert pytest.approx([0.7871, 0.2422, 0.0343, 0.0105], abs=5e-5) == G_TOTAL[:4]


@pytest.mark.parametrize(
    ("inputs", "function", "first", "total"),
    [
        (ISHIGAMI, ishigami, ISHIGAMI_FIRST, ISHIGAMI_TOTAL),
        ({f"x{i}": UncertainInput(rt.spreads.uniform(0, 1), 0, 1) for i in range(8)}, g_function, G_FIRST, G_TOTAL),
    ],
    ids=["Ishigami", "g"],
)
def test_sobol_indices_of_published_functions(inputs, function, first, total):
    found = analyse(inputs, twice(function), samples=2**13, seed=1)
    assert found.columns["first_order"] == pytest.approx(first, abs=0.01)
    assert found.columns["total"] == pytest.approx(total, abs=0.01)
    assert found.noise_share == 0


def test_noise_is_told_from_effect():
    """Noise of sd 3 on Ishigami's variance of 13.84: uncorrected total indices would be off by the noise's share."""
    found = analyse(ISHIGAMI, twice(ishigami, noise=3.0), samples=2**12, seed=1)
    share = 4.5 / (4.5 + _V1 + _V2 + _V13)  # the mean of two has half the variance
    assert found.noise_share == pytest.approx(share, abs=0.02)
    for name, exact in (("first_order", ISHIGAMI_FIRST), ("total", ISHIGAMI_TOTAL)):
        miss = np.abs(found.columns[name] - exact)
        assert (miss < 2.5 * found.columns[f"{name}_half_width"]).all(), name  # 4.9 of its standard errors
    assert found.columns["total"][2] < 0.5 * (0.2437 + share)  # the uncorrected one is .2437 (1 - share) + share


def test_noise_alone_is_refused_or_shows_nothing():
    rng = np.random.default_rng(8)
    with pytest.raises(rt.InputError, match="nothing to rank"):
        analyse(ISHIGAMI, lambda x: (np.zeros(len(x)),) * 2, samples=8)
    refused = 0
    for seed in range(8):
        try:
            found = analyse(ISHIGAMI, lambda x: tuple(rng.standard_normal((2, len(x)))), samples=64, seed=seed)
        except rt.InputError as error:
            assert "noise hides" in str(error)
            refused += 1
        else:
            assert found.noise_share > 0.6
    assert 0 < refused < 8  # half of them, by chance


def test_morris_of_a_line_and_of_a_published_function():
    """A line's elementary effects are its slopes, exactly; Ishigami's x2 acts by its square: mean near 0, size not."""
    slopes = np.array([3.0, -2.0, 0.0])
    inputs = {name: UncertainInput(rt.spreads.uniform(0, 1), 0, 1) for name in "abc"}
    line = analyse(inputs, twice(lambda x: x @ slopes), method="morris", samples=10, seed=1)
    assert line.columns["mu"] == pytest.approx(0.98 * slopes, abs=1e-9)  # across the middle 98 %
    assert line.columns["mu_star"] == pytest.approx(0.98 * np.abs(slopes), abs=1e-9)
    assert line.columns["sigma"] == pytest.approx(np.zeros(3), abs=1e-9)
    curve = analyse(ISHIGAMI, twice(ishigami), method="morris", samples=200, seed=1).columns
    assert curve["mu_star"][1] > 5 and abs(curve["mu"][1]) < 2 and curve["sigma"][1] > 5


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
