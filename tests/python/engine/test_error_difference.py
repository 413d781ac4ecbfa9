"""The model's error of a difference: what is common to both vans cancels, as far as it does the same to both."""

from __future__ import annotations

from typing import Any

import pytest
import ridethrough as rt
from demo_studies import demo
from ridethrough.engine.error_difference import difference_range

VAN, TRIP = demo()
HOW: Any = {"trials": 4000, "seed": 1, "precision": "single", "progress": False}


@pytest.fixture(scope="module")
def found() -> rt.Comparison:
    vans = {"250 W": VAN.replace("solar.rated_w", 250), "large": VAN.replace("battery.capacity_ah", 480)}
    return rt.compare(VAN, vans, TRIP, **HOW)


def test_the_same_van_differs_by_nothing(found: rt.Comparison) -> None:
    base = found.risks["base", "trip"]
    none = rt.stats.paired_difference(base.columns["cutout_cause"] > 0, base.columns["cutout_cause"] > 0)
    low, high = difference_range(base, base, none) or (1.0, 1.0)
    assert low == pytest.approx(none.low, abs=1e-3) and high == pytest.approx(none.high, abs=1e-3)


def test_it_is_narrower_than_both_ranges_and_wider_than_sampling(found: rt.Comparison) -> None:
    base, more = found.risks["base", "trip"], found.risks["250 W", "trip"]
    difference: Any = found["250 W"]["risk"].difference
    low, high = difference_range(base, more, difference) or (0.0, 0.0)
    assert low < difference.low < difference.value < difference.high < high
    apart = more.likely_range[1] - base.likely_range[0] - (more.likely_range[0] - base.likely_range[1])
    assert high - low < 0.5 * apart
    assert high < 0  # more panel is better whatever is not known
    assert "with the model's error" in " ".join(str(found).split())
    vans = found.to_dict()["vans"]
    told = vans["250 W"]["trips"]["trip"]["risk_difference_with_model_error"]
    assert told == {"low": low, "high": high} and f"{100 * low:+.1f} to {100 * high:+.1f} points" in str(found)
    assert vans["large"]["trips"]["trip"]["risk_difference_with_model_error"] is None


def test_nothing_is_said_where_one_van_hardly_fails(found: rt.Comparison) -> None:
    safe = found.risks["large", "trip"]
    assert safe.cutout.value < 0.01
    difference: Any = found["large"]["risk"].difference
    assert difference_range(found.risks["base", "trip"], safe, difference) is None
