"""Stored figures of the model's own are those of the model as it is: a change of an answer makes them stale."""

from __future__ import annotations

import tomllib
from functools import cache

import pytest

pytest.importorskip("pandas")

import hindcast_tables  # noqa: E402
import hindcast_vans  # noqa: E402
from ridethrough.engine import model_error


@cache
def now() -> str:
    return hindcast_vans.model_stamp()


@pytest.mark.parametrize("part", hindcast_tables.PARTS)
def test_the_hindcast_is_of_this_model(part: str) -> None:
    assert hindcast_tables.stamp_of(part) == now(), "renew: python tests/long/hindcast.py --keep"


def test_the_known_errors_are_of_this_model() -> None:
    stored = tomllib.loads(model_error.TABLE.read_text(encoding="utf-8"))["model"]
    assert stored == now(), "renew: python tests/long/known_errors.py --keep"


def test_the_stamp_sees_a_change_of_one_van() -> None:
    fleet = {name: van for name, (van, _, _) in hindcast_vans.vans().items()}
    name = next(iter(fleet))
    fleet[name] = fleet[name].replace(**{"wiring.fridge_branch_mohm": 40.001})
    assert hindcast_vans.model_stamp(fleet) != now()
