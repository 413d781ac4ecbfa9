"""Totals of a day in twelve vans, each within a range that was set down before; what is out of it is known and told."""

from __future__ import annotations

import pytest
import twelve_vans

pytestmark = pytest.mark.filterwarnings("ignore::UserWarning")


@pytest.mark.parametrize("case", twelve_vans.CASES, ids=lambda case: case.name)
def test_a_day_in_a_van(case: twelve_vans.Case) -> None:
    found = list(twelve_vans.totals(case))
    print([f"{t.what} {t.value:.1f} {t.unit} ({t.low:g} to {t.high:g})" for t in found])
    assert {t.what for t in found if not t.holds} == set(case.missed)


def test_the_table_tells_them_all() -> None:
    lines = list(twelve_vans.table())
    assert len(lines) == 2 + len(twelve_vans.CASES)
    assert sum(line.count("missed") for line in lines) == sum(len(case.missed) for case in twelve_vans.CASES)
