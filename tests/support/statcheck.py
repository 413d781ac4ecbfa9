"""The one way a Python test compares a sampled figure with a known one: both error rates are declared, and a sample too
small to see the error it is meant to see is refused. tests/cpp/statcheck.hpp is its twin."""

from __future__ import annotations

import math

from scipy import stats

FALSE_ALARM = 1e-6  # two-sided, 4.9 sigma
MISSED = 0.01


def require_sensitive(sd_if_right: float, sd_if_wrong: float, smallest_error: float) -> None:
    """Refuse a sample in which an error of `smallest_error` would be missed more often than MISSED."""
    visible = stats.norm.isf(FALSE_ALARM / 2) * sd_if_right + stats.norm.isf(MISSED) * sd_if_wrong
    if not visible <= smallest_error:
        raise ValueError(f"sample too small: it shows errors from {visible:.3g}, the check is for {smallest_error:.3g}")


def proportion_agrees(events: int, trials: int, expected: float, *, smallest_error: float) -> bool:
    """Whether `events` of `trials` may come from probability `expected`; exact binomial tails where npq < 100."""

    def sd(p: float) -> float:
        return math.sqrt(p * (1 - p) / trials)

    # The error that is hardest to see is the one towards one half, where the spread is larger.
    wrong = expected + smallest_error if expected < 0.5 else expected - smallest_error
    require_sensitive(sd(expected), sd(wrong), smallest_error)
    if trials * expected * (1 - expected) >= 100:
        return bool(abs(events / trials - expected) <= stats.norm.isf(FALSE_ALARM / 2) * sd(expected))
    law = stats.binom(trials, expected)
    return bool(min(law.cdf(events), law.sf(events - 1)) > FALSE_ALARM / 2)


def mean_agrees(mean: float, sd: float, trials: int, expected: float, *, smallest_error: float) -> bool:
    """Whether `trials` values of this mean and standard deviation may come from a law of mean `expected`."""
    error = sd / math.sqrt(trials)
    require_sensitive(error, error, smallest_error)
    return bool(abs(mean - expected) <= stats.norm.isf(FALSE_ALARM / 2) * error)
