"""Whole trips of the reference model against the core: some random vans and wrong numbers.

All of them: tests/long/whole_trips.py."""

import pytest
from reference.compare_trip import compare
from twin_cases import CASES
from twin_trips import SEED, WRONG, assert_noticed, random_trips_agree


def test_random_vans_trips_and_climates(capsys):
    count = random_trips_agree(30, 0.1)
    with capsys.disabled():
        print(f"\nreference model, random vans: {count}")


@pytest.mark.parametrize(("module", "number", "case"), WRONG[::4], ids=lambda x: str(x))
def test_a_wrong_number_is_noticed(module, number, case, tmp_path):
    assert_noticed(module, number, case, tmp_path)


@pytest.mark.parametrize("name", [name for name in CASES if name.startswith("heater")])
def test_heaters(name):
    found = compare(*CASES[name], SEED, 16)
    assert found.agrees, (found.time_series, found.columns, found.cutouts_differ)
    failed, heater = found.twin.columns()["failed_starts"], found.twin.given.heater
    assert (found.twin.given.load_ah[:, heater.index] > 0).any()
    if "holds the cabin" in name:
        assert (failed > 0).any() and (failed == 0).any()


@pytest.mark.parametrize("name", [name for name in CASES if "smart" in name or name == "overwhelmed"])
def test_swinging_alternators(name):
    found = compare(*CASES[name], SEED, 32)
    assert found.agrees, (found.time_series, found.columns, found.cutouts_differ)


@pytest.mark.parametrize("name", [name for name in CASES if "clock goes" in name])
def test_trips_over_a_change_of_the_clock(name):
    found = compare(*CASES[name], SEED, 16)
    assert len(found.twin.calendar.clock.parts) == 2
    assert found.agrees, (found.time_series, found.columns, found.cutouts_differ)
    assert found.excused_near + found.excused_grown == 0
