"""The table at the head of a comparison: a row an option, in a screen's width."""

from __future__ import annotations

import ridethrough as rt
from demo_studies import demo
from ridethrough import _core
from ridethrough.report.comparison_table import comparison_table
from ridethrough.report.layout import WIDE
from verdict_text import one_line

VAN, TRIP = demo()
MORE = VAN.replace(**{"solar.rated_w": 260})


def test_an_option_has_a_row_with_the_numbers_of_its_run() -> None:
    short = TRIP.replace(nights=3)
    found = rt.compare(VAN, {"3 nights": (VAN, short), "more panel": MORE}, TRIP, trials=400, seed=1)
    rows, note = comparison_table(found)
    assert [row.split("  ")[0] for row in rows] == ["of 400 trips", "base", "3 nights", "more panel"]
    assert str(found).startswith(rows[0]) and max(map(len, rows)) <= WIDE
    for name, row in zip(("base", "3 nights", "more panel"), rows[1:], strict=True):
        risk = found.risks[name, "trip"]
        value = _core.estimate_text(risk.cutout).partition(";")[0]
        assert f"  {value} (" in row and f"  {risk.nights_at(0.05, model_error=True)} of {risk.nights}" in row
    gap = found["more panel"]["risk"].difference
    assert gap is not None
    assert f"{100 * gap.value:+.1f} ({100 * gap.low:+.1f} to {100 * gap.high:+.1f})" in rows[3]
    cost = found.cost["more panel"]
    assert f"+{cost.value:,.0f} ({cost.low:,.0f}-{cost.high:,.0f})" in rows[3]
    assert "both vans bought new at prices of" in note and "both vans bought new, 90 of 100" in one_line(str(found))
    assert "+" not in rows[1] and len(rows[2]) < len(rows[3])  # what costs the same has no price


def test_a_bundle_says_how_it_is_priced() -> None:
    found = rt.compare(VAN, {"lithium": rt.lithium_bundle(VAN)}, TRIP, trials=200, seed=1)
    _, note = comparison_table(found)
    assert "lithium: all that has to be bought and fitted" in note and "bought new" not in str(found)


def test_long_names_stand_above_their_numbers_and_trips_are_told_apart() -> None:
    name = "a panel of two hundred and sixty watts, glued on the roof"
    found = rt.compare(VAN, {name: MORE}, {"five": TRIP, "six": TRIP.replace(nights=6)}, trials=100, seed=1)
    rows, _ = comparison_table(found)
    assert max(map(len, rows)) <= WIDE and f"{name}, five" in rows and f"{name}, six" in rows


def test_none_in_so_many_trips_has_its_bound() -> None:
    safe = VAN.replace(**{"battery.capacity_ah": 400})
    found = rt.compare(safe, {"more panel": safe.replace(**{"solar.rated_w": 400})}, TRIP, trials=100, seed=1)
    assert "base          0 % (to 3.7)" in comparison_table(found)[0][1]  # Wilson 1927, 0 of 100
