"""Whole trips of the reference model against the core's double build: fixed vans, 200 random ones, wrong numbers.

.venv/bin/pytest tests/long/whole_trips.py
"""

import pytest
from reference.compare_trip import compare
from twin_cases import CASES
from twin_trips import SEED, WRONG, assert_noticed, random_trips_agree

_causes = set()


@pytest.mark.parametrize("name", CASES)
def test_hourly_state_and_outcomes(name):
    found = compare(*CASES[name], SEED, 32)
    _causes.update(found.twin.state.cutout_cause)
    assert found.agrees, (found.time_series, found.columns, found.cutouts_differ)
    assert found.excused_grown == 0


def test_the_cases_cut_out_in_every_way():
    """Else they would say nothing about cut-outs."""
    assert _causes == {0, 1, 2, 3}


def test_random_vans_trips_and_climates(capsys):
    count = random_trips_agree(200, 0.05)
    with capsys.disabled():
        print(f"\nreference model, random vans: {count}")


@pytest.mark.parametrize(("module", "number", "case"), WRONG, ids=lambda x: str(x))
def test_a_wrong_number_is_noticed(module, number, case, tmp_path):
    """By a thousandth. All numbers: tests/long/reference_mutations.py."""
    assert_noticed(module, number, case, tmp_path)
