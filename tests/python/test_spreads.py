"""Spreads as distributions, checked against SciPy and NumPy, and as values."""

import copy
import math
import pickle

import numpy as np
import pytest
import ridethrough as rt
import scipy.stats
from ridethrough import spreads

U = np.concatenate([[1e-9, 1e-5], np.linspace(0.005, 0.995, 199), [1 - 1e-5, 1 - 1e-9]])


def quantiles(spread, low=-math.inf, high=math.inf):
    return [spread.quantile(u, low, high) for u in U]


@pytest.mark.parametrize("mode", [0.7, 0.7001, 0.9, 1.1, 1.5])
def test_triangular_and_pert_against_scipy(mode):
    low, high = 0.7, 1.5
    triangular = scipy.stats.triang((mode - low) / (high - low), low, high - low)
    np.testing.assert_allclose(quantiles(spreads.triangular(low, mode, high)), triangular.ppf(U), rtol=1e-12)
    assert spreads.triangular(low, mode, high).mean() == pytest.approx(triangular.mean(), rel=1e-14)
    # the PERT is this beta (Malcolm et al. 1959 with weight 4, from memory); its inverse is a table good to 3e-10
    a, b = 1 + 4 * (mode - low) / (high - low), 1 + 4 * (high - mode) / (high - low)
    beta = scipy.stats.beta(a, b, low, high - low)
    np.testing.assert_allclose(quantiles(spreads.pert(low, mode, high)), beta.ppf(U), rtol=0, atol=1e-9 * (high - low))
    assert spreads.pert(low, mode, high).mean() == pytest.approx(beta.mean(), rel=1e-14)


@pytest.mark.parametrize(("low", "high"), [(-math.inf, math.inf), (-1, 1.5), (0.2, 0.4), (0.3, math.inf), (-9, 9)])
def test_normal_against_scipy(low, high):
    mean, sd = 0.3, 0.5
    truncated = scipy.stats.truncnorm((low - mean) / sd, (high - mean) / sd, mean, sd)
    np.testing.assert_allclose(quantiles(spreads.normal(mean, sd), low, high), truncated.ppf(U), rtol=0, atol=1e-12)


def test_uniform_and_discrete_against_numpy():
    np.testing.assert_allclose(quantiles(spreads.uniform(-2, 6)), -2 + 8 * U, rtol=1e-14, atol=1e-15)
    values, weights = [0.1, 0.4, 2.0, 7.0], [1, 2, 4, 1]
    # NumPy's weighted quantile by inverted CDF needs NumPy 2; the same from the cumulated weights
    expected = np.array(values)[np.searchsorted(np.cumsum(weights) / np.sum(weights), U)].tolist()
    assert quantiles(spreads.discrete(values[::-1], weights[::-1])) == expected
    assert spreads.discrete(values, weights).mean() == pytest.approx(np.average(values, weights=weights))


@pytest.mark.parametrize(
    "spread",
    [
        spreads.uniform(0, 1),
        spreads.triangular(0.8, 0.9, 1, per="trial"),
        spreads.pert(0.1, 0.2, 0.9, per="day"),
        spreads.normal(1.5, 0.1, per="hour"),
        spreads.discrete([1, 2, 2.5], [0.2, 0.3, 0.5]),
    ],
    ids=lambda s: s.shape,
)
def test_spread_value_protocol(spread):
    for twin in (
        eval(repr(spread), vars(spreads).copy()),
        pickle.loads(pickle.dumps(spread)),
        copy.deepcopy(spread),
    ):
        assert twin == spread
        assert hash(twin) == hash(spread)
        assert (twin.shape, twin.arguments, twin.per) == (spread.shape, spread.arguments, spread.per)
    assert spread != spreads.uniform(0, 2)
    assert spread != 1.0
    with pytest.raises(AttributeError):
        spread.per = "day"


def test_a_name_of_an_earlier_version_says_where_it_is_now():
    with pytest.raises(AttributeError, match="triangular is now ridethrough.spreads.triangular"):
        getattr(rt, "triangular")  # noqa: B009
    with pytest.raises(AttributeError, match="wilson is now ridethrough.stats.wilson"):
        getattr(rt, "wilson")  # noqa: B009
    with pytest.raises(AttributeError, match="Stopped is now ridethrough.Interrupted"):
        getattr(rt, "Stopped")  # noqa: B009
    assert not hasattr(rt, "no_such_name")
