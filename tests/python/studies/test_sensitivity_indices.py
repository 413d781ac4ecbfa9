"""Sobol's and Morris' indices of functions whose indices are published."""

import math

import numpy as np
import pytest
import ridethrough as rt
from ridethrough.studies.sensitivity_indices import UncertainInput, analyse

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
