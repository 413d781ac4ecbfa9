"""A charge that an owner keeps to: trips that fall below it count in the nights and in what would help."""

from __future__ import annotations

import numpy as np
import pytest
import ridethrough as rt
from ridethrough.engine.error_estimates import error_at, nights_within
from ridethrough.engine.model_error import model_error_of
from ridethrough.engine.run_options import RunOptions
from ridethrough.files.scenario import demo_path
from ridethrough.studies import charge_kept, suggestions
from verdict_text import one_line


@pytest.fixture(scope="module")
def demo() -> rt.Risk:
    scenario = rt.load_scenario(demo_path())
    return rt.simulate(scenario.van, scenario.trip, trials=2000, seed=1, progress=False)


def test_a_limit_of_the_charge_counts_in_nights_and_in_what_helps(demo: rt.Risk) -> None:
    """Against the columns of the runs themselves."""
    limit = 0.6
    found = demo.suggestions(charge_limit="60 %")
    assert found is demo.suggestions(charge_limit=limit) and found is not demo.suggestions() and found.base is not None
    n = found.base.trials
    failed = np.asarray(demo.columns["cutout_cause"][:n] > 0) | (np.floor(demo.columns["min_soc"][:n] * 400) < 240)
    assert found.base.events == failed.sum() > demo.cutout.value * n
    more = next(s for s in found.tried if s.name == "100 W more panel")
    other = rt.simulate(demo.van.replace(**{"solar.rated_w": 320}), demo.trip, trials=n, seed=demo.seed, progress=False)
    fails = (other.columns["cutout_cause"] > 0) | (np.floor(other.columns["min_soc"] * 400) < 240)
    assert more.risk == rt.stats.wilson(int(fails.sum()), n)
    assert more.change == rt.stats.paired_difference(fails, failed)
    lithium = next(s for s in found.tried if s.group == suggestions.LITHIUM)
    plain = next(s for s in demo.suggestions().tried if s.group == suggestions.LITHIUM)
    assert lithium.risk == plain.risk and lithium.name == f"{plain.name}, to its cut-out"
    for level, nights in zip((0.05, 0.1, 0.2), found.nights, strict=True):
        assert nights <= demo.nights_at(level)
    text = one_line(demo.verdict(charge_limit=limit))
    assert " Above 60 % charge: " in text and f"WHAT WOULD HELP MOST TO STAY ABOVE 60 % ({n:,} of these trips)" in text
    assert found.to_dict()["nights_above_limit"] == list(found.nights)
    assert "Above 60 %" not in demo.verdict(charge_limit=limit, suggest=False)  # nothing is played for it


def test_nights_are_those_of_shorter_trips(demo: rt.Risk) -> None:
    """The first days of a trip are the same ones in a shorter trip, whose lowest charge is a column.

    The range is that of this van, as the verdict's other nights have it: two counts of nights beside each other that
    know the van's causes and do not know them would not be comparable.
    """
    limit, expected = 0.6, []
    n = demo.suggestions(charge_limit=limit).base.trials  # type: ignore[union-attr]
    for nights in range(1, demo.nights + 1):
        short = rt.simulate(demo.van, demo.trip.replace(nights=nights), trials=n, seed=demo.seed, progress=False)
        low = np.floor(short.columns["min_soc"] * 400) < 240
        lost = rt.stats.wilson(int((low | (short.columns["cutout_cause"] > 0)).sum()), n)
        expected.append(error_at(demo, lost.value, nights).together(lost)[1])
    kept = [next((i for i, most in enumerate(expected) if most > level), demo.nights) for level in (0.05, 0.1, 0.2)]
    assert list(demo.suggestions(charge_limit=limit).nights) == kept


def test_nights_count_the_error_of_this_van(demo: rt.Risk) -> None:
    """A chance whose range with the error of vans in general ends within a risk, and with this van's own does not."""
    last = demo.nights  # over which enough trials fail for the van's own causes to be sized
    own = error_at(demo, 0.1, last)
    general = model_error_of(demo.van, demo.trip, demo.compiled, 0.1, last)
    safe, chance = rt.stats.wilson(0, 4000), rt.stats.wilson(400, 4000)
    ends = sorted(error.together(chance)[1] for error in (own, general))
    assert own.effects and not general.effects and ends[1] - ends[0] > 0.001, "else this test tells nothing"
    between = sum(ends) / 2
    holds = own.together(chance)[1] < between
    assert nights_within(demo, [safe] * (last - 1) + [chance], between) == (last if holds else last - 1)
    assert nights_within(demo, [], 0.5) == 0


def test_a_charge_that_is_never_the_limit_keeps_the_nights_of_a_cutout(demo: rt.Risk) -> None:
    """Below an empty battery nothing is added, so both counts are of the same trials and must agree."""
    few = rt.simulate(demo.van, demo.trip, trials=2000, seed=1, progress=False)
    kept = charge_kept.nights_kept(few, RunOptions(trials=few.trials, seed=few.seed), -1.0)
    assert list(kept) == [few.nights_at(level, model_error=True) for level in (0.05, 0.1, 0.2)]
