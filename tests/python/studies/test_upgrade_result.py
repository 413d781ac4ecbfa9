"""The orders of a ranking, and what is shown to do better."""

from __future__ import annotations

import numpy as np
import pytest
import ridethrough as rt
from ranked_upgrades import INVERTER, LITHIUM, PANEL, TRIP, VAN, apart, ranked_upgrades


@pytest.fixture(scope="module")
def ranked():
    return ranked_upgrades()


def test_free_and_lighter_ones_come_first_and_without_ratios(ranked):
    assert [e.name for e in ranked.first] == [INVERTER] and [e.name for e in ranked.worse] == [LITHIUM]
    free = ranked[INVERTER]
    assert free.per_100 is None and free.per_10_kg is None and ranked[LITHIUM].per_10_kg is None
    text = str(ranked)
    assert "the model's own error may put the odds of a risk off" in " ".join(text.split())
    head, rest = text.split("To be bought")
    assert INVERTER in head and " per 100" not in head and "per 10 kg" not in head
    assert PANEL in rest and "per 10 kg" in rest
    assert "800 trials" in text and "no guarantee" in text


def test_equals_are_not_distinguishable():
    """The same panel offered twice, and one that is a watt larger."""

    def watts(more):
        return lambda van, trip: (van.replace(**{"solar.rated_w": 220 + more}), trip)

    parts = (rt.PricedPart("glued_panel", 100),)
    equals = [rt.Candidate(f"{w} W more", watts(w), parts) for w in (100, 101)]
    found = rt.upgrades(VAN, TRIP, equals, pairs=False, trials=400, seed=1)
    assert all(e.shown for e in found.all)
    assert not apart(found)
    assert "[no difference shown to the next]" in str(found)
    nothing = rt.upgrades(VAN, TRIP, [rt.Candidate("nothing", watts(0))], trials=400)
    assert "nothing: no difference shown" in str(nothing) and not nothing.front


def test_what_adds_risk_stands_last_under_its_own_heading():
    def watts(more):
        return lambda van, trip: (van.replace(**{"solar.rated_w": 220 + more}), trip)

    less, more = rt.Candidate("less panel", watts(-150)), rt.Candidate("more panel", watts(100))
    found = rt.upgrades(VAN, TRIP, [less, more], pairs=False, trials=400, seed=1)
    assert [e.name for e in found.worse] == ["less panel"] and [e.name for e in found.first] == ["more panel"]
    before, after = str(found).split("More risk than now:")
    assert "less panel" not in before and "less panel" in after and "Free, or lighter than now:" in before
    assert found.to_dataframe()["upgrade"].tolist() == ["more panel", "less panel"], "most risk removed first"


def test_nothing_on_the_front_is_beaten(ranked):
    def figures(e):
        return np.array([-e.removed.value, e.cost.value, e.mass_kg.value])

    for e in ranked.front:
        assert e.shown
        assert not any(
            (figures(o) <= figures(e)).all() and (figures(o) < figures(e)).any() for o in ranked.all if o.shown
        )
    left_out = [e for e in ranked.all if e.shown and e not in ranked.front]
    assert left_out
    assert all(any((figures(o) <= figures(e)).all() for o in ranked.front) for e in left_out)
