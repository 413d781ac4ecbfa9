"""Logistic regression by Newton's method with a weak ridge, for a few dozen columns and some thousand trials."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
RIDGE = (
    1.0  # precision of the effects before any trial is seen: an effect of over 3 of log odds a score is not expected
)
MOST_STEPS = 50
SETTLED = 1e-9


class LogisticFit(NamedTuple):
    """Log odds = intercept + columns @ effects, with the covariance of the effects."""

    intercept: float
    effects: Array
    covariance: Array


def fit_logistic(columns: Array, happened: NDArray[np.bool_]) -> LogisticFit:
    """The fit of whether something happened on columns of scores.

    Parameters
    ----------
    columns : ndarray, shape (trials, effects)
        Scores of about mean 0 and standard deviation 1.
    happened : ndarray of bool, shape (trials,)
        In which trials it did: in some, not in all.

    Returns
    -------
    LogisticFit
        Intercept, effects and their covariance.
    """
    x = np.column_stack([np.ones(len(columns)), columns])
    y = happened.astype(np.float64)
    penalty = np.diag([0.0] + [RIDGE] * columns.shape[1])
    beta = np.zeros(x.shape[1])
    beta[0] = np.log(y.mean() / (1 - y.mean()))
    loss = _loss(x, y, beta, penalty)
    for _ in range(MOST_STEPS):
        p = 1 / (1 + np.exp(-np.clip(x @ beta, -30, 30)))
        information = (x * (p * (1 - p))[:, None]).T @ x + penalty
        step = np.linalg.solve(information, x.T @ (y - p) - penalty @ beta)
        size = 1.0
        while _loss(x, y, beta + size * step, penalty) > loss and size > 1e-6:  # a whole step may go too far
            size /= 2
        beta = beta + size * step
        loss = _loss(x, y, beta, penalty)
        if np.abs(size * step).max() < SETTLED:
            break
    covariance = np.linalg.inv(information)
    return LogisticFit(float(beta[0]), beta[1:], covariance[1:, 1:])


def _loss(x: Array, y: Array, beta: Array, penalty: Array) -> float:
    """Negative log likelihood with the ridge."""
    eta = x @ beta
    return float(np.logaddexp(0, eta).sum() - y @ eta + 0.5 * beta @ penalty @ beta)
