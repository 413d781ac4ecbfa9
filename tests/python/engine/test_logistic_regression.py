"""Logistic regression against closed forms and SciPy."""

from __future__ import annotations

import numpy as np
import pytest
from ridethrough.engine.logistic_regression import RIDGE, fit_logistic
from scipy.optimize import minimize


def test_two_by_two_is_the_log_of_the_odds_ratio() -> None:
    """Standard error of a log odds ratio: root of the sum of the four inverse counts (Woolf 1955)."""
    counts = {(0.0, True): 300, (0.0, False): 1700, (1.0, True): 900, (1.0, False): 1100}
    column = np.concatenate([np.full(n, x) for (x, _), n in counts.items()])
    happened = np.concatenate([np.full(n, y) for (_, y), n in counts.items()])
    fit = fit_logistic(column[:, None], happened)
    assert fit.effects[0] == pytest.approx(np.log(900 / 1100 * 1700 / 300), rel=0.01)  # the ridge takes .5 %
    assert np.sqrt(fit.covariance[0, 0]) == pytest.approx(np.sqrt(sum(1 / n for n in counts.values())), rel=0.01)
    assert fit.intercept == pytest.approx(np.log(300 / 1700), abs=0.02)


def test_many_columns_as_scipy_finds_them() -> None:
    rng = np.random.default_rng(1)
    x = rng.standard_normal((4000, 6))
    true = np.array([0.6, -0.4, 0.2, 0.0, 0.1, -0.3])
    y = rng.random(4000) < 1 / (1 + np.exp(1.5 - x @ true))
    fit = fit_logistic(x, y)

    def loss(b: np.ndarray) -> float:
        eta = b[0] + x @ b[1:]
        return float(np.logaddexp(0, eta).sum() - eta[y].sum() + RIDGE / 2 * b[1:] @ b[1:])

    best = minimize(loss, np.zeros(7), method="BFGS", options={"gtol": 1e-6}).x
    assert [fit.intercept, *fit.effects] == pytest.approx(best, abs=1e-5)
    z = (fit.effects - true) / np.sqrt(np.diag(fit.covariance))
    assert (z**2).sum() < 22.5  # chi-squared of 6: 1 in 1,000


def test_a_column_that_parts_them_wholly_has_a_finite_effect() -> None:
    x = np.linspace(-2, 2, 400)[:, None]
    fit = fit_logistic(x, x[:, 0] > 0)
    assert np.isfinite(fit.effects).all() and 1 < fit.effects[0] < 20
