"""Intervals against SciPy and published tables; the words against the figures they stand for."""

from __future__ import annotations

import math
import pickle
import re
import warnings
from collections.abc import Callable

import numpy as np
import pytest
import ridethrough._checks as checks
import statcheck
from hypothesis import given, reject
from hypothesis import strategies as st
from ridethrough import _core as core
from scipy import special, stats

COUNTS = [
    (k, n) for n in (1, 2, 7, 29, 148, 1000, 20_000, 1_000_000) for k in {0, 1, 2, n // 9, n // 2, n - 1, n} if k <= n
]
CONFIDENCES = (0.5, 0.9, 0.95, 0.99, 0.999999)


@pytest.mark.parametrize("confidence", CONFIDENCES)
@pytest.mark.parametrize(("name", "method"), [("wilson", "wilson"), ("clopper_pearson", "exact")])
def test_proportion_intervals_equal_scipy(name: str, method: str, confidence: float) -> None:
    for k, n in COUNTS:
        ours = getattr(core, name)(k, n, confidence)
        theirs = stats.binomtest(k, n).proportion_ci(confidence, method=method)
        assert ours.low == pytest.approx(theirs.low, abs=1e-8), (k, n)
        assert ours.high == pytest.approx(theirs.high, abs=1e-8), (k, n)
        assert (ours.value, ours.events, ours.trials, ours.confidence) == (k / n, k, n, confidence)


def test_zero_event_bound_equals_scipy() -> None:
    for n in (1, 20, 100, 1000, 1_000_000):
        theirs = stats.binomtest(0, n, alternative="less").proportion_ci(0.95, method="exact")
        assert checks.zero_event_bound(n) == pytest.approx(theirs.high, rel=1e-9)


@given(a=st.floats(0.5, 1e6), b=st.floats(0.5, 1e6), p=st.floats(1e-9, 1 - 1e-9))
def test_incomplete_beta_and_its_inverse_equal_scipy(a: float, b: float, p: float) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            x = stats.beta.ppf(p, a, b)
        except RuntimeWarning:  # SciPy's own root finding gave up
            reject()
    assert checks.beta_quantile(p, a, b) == pytest.approx(x, abs=1e-8)
    assert checks.incomplete_beta(a, b, x) == pytest.approx(special.betainc(a, b, x), abs=1e-8)


@pytest.mark.parametrize("q", [0.02, 0.25, 0.5, 0.9])
@pytest.mark.parametrize("n", [1, 5, 6, 99, 100, 2000])
def test_quantile_interval_equals_scipy(n: int, q: float) -> None:
    column = np.random.default_rng(n).exponential(size=n)
    ours = core.quantile_interval(column, q)
    theirs = stats.quantile_test(column, q=0, p=q).confidence_interval(0.95)  # NaN where a side has no limit
    assert ours.value == np.quantile(column, q, method="inverted_cdf")
    assert ours.low == (-math.inf if math.isnan(theirs.low) else theirs.low)
    assert ours.high == (math.inf if math.isnan(theirs.high) else theirs.high)
    assert ours.events is None
    assert ours.trials == n


def test_quantile_interval_covers_as_often_as_it_must() -> None:
    n, q, samples = 101, 0.3, 20_000
    ranks = core.quantile_interval(np.arange(1.0, n + 1), q)  # of 1..n the limits are their own ranks
    law = stats.binom(n, q)
    exact = law.cdf(ranks.high - 1) - law.cdf(ranks.low - 1)
    assert exact >= 0.95

    columns = np.random.default_rng(1).normal(size=(samples, n))
    truth = stats.norm.ppf(q)
    covered = 0
    for column in columns:
        e = core.quantile_interval(column, q)
        covered += e.low <= truth <= e.high
    assert statcheck.proportion_agrees(covered, samples, exact, smallest_error=0.015)


def test_paired_difference_of_numbers_equals_scipy() -> None:
    rng = np.random.default_rng(2)
    for n in (2, 3, 10, 1000, 100_000):
        shared = rng.normal(size=n)
        a, b = shared + rng.exponential(size=n), shared + rng.normal(size=n)
        for confidence in (0.8, 0.95, 0.999):
            ours = core.paired_difference(a, b, confidence)
            theirs = stats.ttest_rel(a, b).confidence_interval(confidence)
            assert ours.value == pytest.approx(np.mean(a - b), rel=1e-9)
            assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), rel=1e-8, abs=1e-9)


@pytest.mark.parametrize(
    ("both", "first", "second", "neither", "low", "high"),
    [
        # Newcombe 1998, Statistics in Medicine 17:2635-2650, method 10 (as quoted by the R package propint).
        (36, 12, 2, 0, 0.0569, 0.3404),
        (18, 12, 2, 18, 0.0562, 0.3290),
        (53, 0, 0, 1, -0.0729, 0.0729),
        (0, 30, 0, 0, 0.8395, 1.0),
        # Cavo et al. 2012 in Fagerland, Lydersen and Laake, Statistical Analysis of Contingency Tables, chapter 8.
        (59, 6, 16, 80, -0.1186, -0.0046),
    ],
)
def test_paired_difference_of_risks_published(
    both: int, first: int, second: int, neither: int, low: float, high: float
) -> None:
    a = np.repeat([True, True, False, False], [both, first, second, neither])
    b = np.repeat([True, False, True, False], [both, first, second, neither])
    e = core.paired_difference(a, b)
    assert e.value == pytest.approx((first - second) / len(a))
    assert (e.low, e.high) == pytest.approx((low, high), abs=5.1e-5)


def test_paired_difference_of_risks_against_a_bootstrap() -> None:
    # Brute force: resample the pairs. At 5,000 pairs the two agree to a few per cent of the width; an interval that
    # forgets the pairing is more than twice too wide.
    cells, n = np.array([700, 120, 40, 4140]), 5000
    a = np.repeat([True, True, False, False], cells)
    b = np.repeat([True, False, True, False], cells)
    e = core.paired_difference(a, b)
    again = np.random.default_rng(3).multinomial(n, cells / n, size=100_000)
    low, high = np.quantile((again[:, 1] - again[:, 2]) / n, [0.025, 0.975])
    assert (e.low, e.high) == pytest.approx((low, high), abs=0.04 * (high - low))
    unpaired = math.hypot(core.wilson(820, n).half_width, core.wilson(740, n).half_width)
    assert unpaired > 2 * e.half_width


def test_blocks_until_the_half_width_is_reached() -> None:
    events = trials = 0
    source = np.random.default_rng(4)
    added = []
    while n := core.next_block(events, trials, half_width=0.005, block=1024):
        events += int((source.random(n) < 0.13).sum())
        trials += n
        added.append(n)
    e = core.wilson(events, trials)
    assert core.half_width_reached(e, 0.005)
    assert all(n % 1024 == 0 for n in added)
    needed = stats.norm.ppf(0.975) ** 2 * e.value * (1 - e.value) / 0.005**2
    assert needed <= trials <= needed + 3 * 1024  # not many more than a textbook sample-size formula asks
    assert core.next_block(50, 100, half_width=0.005, max_trials=100) == 0
    assert not core.half_width_reached(core.wilson(50, 100), 0.005)


def test_estimate_is_a_value() -> None:
    for e in (core.wilson(3, 20), core.quantile_interval(np.arange(100.0), 0.5)):
        assert eval(repr(e), {"Estimate": core.Estimate}) == e
        assert pickle.loads(pickle.dumps(e)) == e
        assert hash(pickle.loads(pickle.dumps(e))) == hash(e)
        with pytest.raises(AttributeError):
            setattr(e, "value", 0.5)  # noqa: B010
    assert core.wilson(3, 20) != core.wilson(3, 21)
    assert core.wilson(3, 20).half_width == pytest.approx((core.wilson(3, 20).high - core.wilson(3, 20).low) / 2)


@given(data=st.data(), trials=st.integers(1, 2_000_000))
def test_words_and_figures_say_what_is_true(data: st.DataObject, trials: int) -> None:
    events = data.draw(st.integers(0, trials))
    e = core.wilson(events, trials)
    value, low, high = (float(x) for x in re.findall(r"(\S+) %;.* (\S+)-(\S+) %", core.estimate_text(e))[0])
    assert low <= value <= high
    assert value == pytest.approx(100 * e.value, rel=0.06)  # two significant digits at the least
    assert (value in (0, 100)) == (events in (0, trials))

    text = core.chance_text(e)
    number = [int(x.replace(",", "")) for x in re.findall(r"\d[\d,]*", text)]
    if text.startswith("About 1 in"):
        assert 1 / number[1] == pytest.approx(e.value, rel=0.2)
        assert e.value <= 1 / 3
    elif text.startswith("About"):
        assert number[1] == 10
        assert number[0] / 10 == pytest.approx(e.value, abs=0.05 + 1e-9)
    elif text.startswith("Fewer"):
        assert events == 0
        assert 1 / number[1] >= checks.zero_event_bound(trials)
    elif text.startswith("Nearly all"):
        assert 0.95 <= e.value < 1
    elif text.startswith("All of"):
        assert number == [events]
        assert events == trials
        assert ("too few" in text) == (checks.zero_event_bound(trials) > 0.5)
    else:
        assert re.fullmatch(rf"None in {trials} trials?, too few to say", text)
        assert checks.zero_event_bound(trials) > 0.5


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: core.wilson(5, 4), "events = 5"),
        (lambda: core.wilson(-1, 4), "events = -1"),
        (lambda: core.clopper_pearson(0, 0), "trials = 0"),
        (lambda: checks.zero_event_bound(-3), "trials = -3"),
        (lambda: core.wilson(1, 2, math.nan), "confidence = nan"),
        (lambda: core.wilson(1, 2, 1.0), "confidence = 1"),
        (lambda: core.quantile_interval([], 0.5), "trials = 0"),
        (lambda: core.quantile_interval([1.0, math.nan], 0.5), "NaN"),
        (lambda: core.quantile_interval([[1.0]], 0.5), "2 dimensions"),
        (lambda: core.quantile_interval([1.0], 1.0), "q = 1"),
        (lambda: core.quantile_interval(["a"], 0.5), "numbers"),
        (lambda: core.paired_difference([1.0, 2.0], [1.0]), "2 and 1"),
        (lambda: core.paired_difference([True, False], [1.0, 2.0]), "bool"),
        (lambda: core.paired_difference([1.0, math.inf], [1.0, 2.0]), "finite"),
        (lambda: core.next_block(1, 10, half_width=math.nan), "half_width = nan"),
        (lambda: core.next_block(1, 10, half_width=0.01, block=0), "block = 0"),
        (lambda: core.chance_text(core.quantile_interval([1.0], 0.5)), "value = 1"),
        (lambda: core.Estimate(value=0.5, low=0.6, high=0.7, events=5, trials=10), "value = 0.5"),
    ],
)
def test_bad_input_is_named(call: Callable[[], object], message: str) -> None:
    with pytest.raises(core.InputError, match=re.escape(message)):
        call()


def test_the_statistical_check_refuses_a_small_sample() -> None:
    with pytest.raises(ValueError, match="sample too small"):
        statcheck.proportion_agrees(25, 100, 0.25, smallest_error=0.05)
    with pytest.raises(ValueError, match="sample too small"):
        statcheck.mean_agrees(0.0, 1.0, 100, 0.0, smallest_error=0.1)
    assert statcheck.proportion_agrees(24_649, 100_000, 0.24649, smallest_error=0.012)
    assert not statcheck.proportion_agrees(24_649, 100_000, 0.25849, smallest_error=0.012)
    assert statcheck.proportion_agrees(29, 100_000, 1e-4, smallest_error=0.001)
    assert not statcheck.proportion_agrees(30, 100_000, 1e-4, smallest_error=0.001)
