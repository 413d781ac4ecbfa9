"""Whole trips of the reference model against the core: some random vans and wrong numbers.

All of them: tests/long/whole_trips.py."""

import pytest
from twin_trips import WRONG, assert_noticed, random_trips_agree


def test_random_vans_trips_and_climates(capsys):
    count = random_trips_agree(30, 0.1)
    with capsys.disabled():
        print(f"\nreference model, random vans: {count}")


@pytest.mark.parametrize(("module", "number", "case"), WRONG[::4], ids=lambda x: str(x))
def test_a_wrong_number_is_noticed(module, number, case, tmp_path):
    assert_noticed(module, number, case, tmp_path)
