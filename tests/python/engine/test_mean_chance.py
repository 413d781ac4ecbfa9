"""The mean of chances on several trips with the same trials: its interval holds the truth as often as it says."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest
import ridethrough as rt
from ridethrough.engine.mean_chance import mean_chance

TRIALS, RUNS = 400, 2000


def made(chances: list[float], alike: float, seed: int) -> np.ndarray:
    """Runs, trips, trials: a trial fails where a score, of which a part is common to all trips, lies below a limit."""
    rng = np.random.default_rng(seed)
    common = rng.standard_normal((RUNS, 1, TRIALS))
    own = rng.standard_normal((RUNS, len(chances), TRIALS))
    limits = [NormalDist().inv_cdf(p) for p in chances]
    return np.sqrt(alike) * common + np.sqrt(1 - alike) * own < np.array(limits)[:, None]


@pytest.mark.parametrize("alike", [0.0, 0.5, 0.95])
@pytest.mark.parametrize("chances", [[0.3, 0.3], [0.02, 0.08, 0.05], [0.1] * 6])
def test_it_holds_the_truth(chances: list[float], alike: float) -> None:
    """95 of 100, with the score interval's own swing by a point or two (whole events) and four standard errors."""
    truth = float(np.mean(chances))
    found = [mean_chance(list(run)) for run in made(chances, alike, 5)]
    held = np.mean([one.low <= truth <= one.high for one in found])
    assert 0.93 < held < 0.985


def test_other_counts_of_trials_would_not_do() -> None:
    """Trials of all trips as if independent hold far too seldom where trips fail together."""
    runs, truth = made([0.1] * 6, 0.95, 7), 0.1
    together = [rt.stats.wilson(int(run.sum()), 6 * TRIALS) for run in runs]
    assert np.mean([one.low <= truth <= one.high for one in together]) < 0.75
    apart = [mean_chance(list(run)) for run in made([0.1] * 6, 0.0, 8)]
    once = rt.stats.wilson(TRIALS // 10, TRIALS)
    assert np.mean([one.high - one.low for one in apart]) < 0.5 * (once.high - once.low)


def test_at_the_ends_it_is_a_score_interval() -> None:
    rng = np.random.default_rng(1)
    fails = rng.random(TRIALS) < 0.2
    alone = rt.stats.wilson(int(fails.sum()), TRIALS)
    for trips in ([fails], [fails, fails, fails]):
        found = mean_chance(trips)
        assert (found.value, found.low, found.high) == pytest.approx((alone.value, alone.low, alone.high), abs=1e-12)
        assert found.trials == TRIALS and found.events is None
    for none in (False, True):
        alone = rt.stats.wilson(TRIALS * none, TRIALS)
        found = mean_chance([np.full(TRIALS, none)] * 3)
        assert (found.value, found.low, found.high) == pytest.approx((alone.value, alone.low, alone.high), abs=1e-12)
    turns = mean_chance([fails, ~fails])  # one trip or the other in each trial
    assert turns.value == 0.5 and 0 < turns.high - turns.low < 0.08
