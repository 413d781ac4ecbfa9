"""What two vans are compared in."""

from __future__ import annotations

from ridethrough.model.outputs import RESULTS
from ridethrough.studies.outcomes_compared import OUTCOMES, SHARES, unit_and_label


def test_chances_are_points_in_reports_and_shares_in_tables() -> None:
    assert "risk" in SHARES and unit_and_label("risk") == ("1", "risk of a cut-out")
    assert all(unit_and_label(name)[0] == "1" for name in SHARES)


def test_columns_keep_the_unit_and_the_label_of_their_declaration() -> None:
    declared = [name for name in OUTCOMES if name in RESULTS and name not in SHARES]
    assert {"hours_off", "days_full", "curtailed_wh"} <= set(declared)
    for name in declared:
        assert unit_and_label(name)[0] == RESULTS[name].unit
    assert OUTCOMES["days_full"][0] == "days" and unit_and_label("hours_off") == ("h", RESULTS["hours_off"].label)
