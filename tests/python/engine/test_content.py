"""Contents are compared value by value."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from ridethrough.engine.content import same_content

pytest.importorskip("xarray")


pytestmark = pytest.mark.filterwarnings("ignore::UserWarning")


@pytest.mark.parametrize(
    ("a", "b", "same"),
    [
        ([1.0, float("nan")], [1.0, float("nan")], True),
        (np.array([1.0, np.nan]), np.array([1.0, np.nan]), True),
        (np.array([1.0]), np.array([2.0]), False),
        ({"a": 1}, {"b": 1}, False),
        (1, 1.0, False),
        ((1, 2), (1, 2, 3), False),
    ],
)
def test_sameness(a: Any, b: Any, same: bool) -> None:
    assert same_content(a, b) is same
