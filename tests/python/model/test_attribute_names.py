"""Attributes by wrong names tell the right one."""

import re
from typing import Any

import pytest
import ridethrough as rt
from ridethrough.model.classes import CLASSES
from ridethrough.model.former_names import former_names

OF_RESULTS = [
    (*old.split("."), now)
    for old, now in former_names().items()
    if isinstance(getattr(rt, old.partition(".")[0], None), type) and old.partition(".")[0] not in CLASSES
]


@pytest.mark.parametrize(("kind", "name", "now"), OF_RESULTS, ids=lambda text: text)
def test_every_former_attribute_of_a_result_tells_the_one_of_now(kind: str, name: str, now: str) -> None:
    made: Any = getattr(rt, kind)
    with pytest.raises(AttributeError, match=rf"^{kind}\.{name}: now {re.escape(now)}$"):
        getattr(made.__new__(made), name)
