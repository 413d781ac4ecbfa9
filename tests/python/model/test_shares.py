"""A share that is refused is told its range in the unit in which it was given."""

from __future__ import annotations

import pytest
import ridethrough as rt
from ridethrough.model.shares import require_share

PER_CENT = "allowed 0.1 % to 90 %, such as 5 %"
NUMBER = "allowed 0.001 to 0.9, such as 0.05"
EITHER = "allowed 0.001 to 0.9, or 0.1 % to 90 %, such as 0.05"


@pytest.mark.parametrize("given", [0.05, "5 %", "5%", "0.05", "5 percent"])
def test_a_number_or_per_cent(given: object) -> None:
    assert require_share("target_risk", given, (0.001, 0.9), 0.05) == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("150%", f"'150%': {PER_CENT}"),
        (1.5, f"1.5: {NUMBER}; is per cent meant? write 0.015"),
        (5, f"5: {NUMBER}; is per cent meant? write 0.05"),
        (150, f"150: {NUMBER}"),
        ("5", f"'5': {EITHER}; is per cent meant? write \"5 %\""),
        ("low", "'low': allowed a number, or a share such as 62 %"),
        ("0,05", "'0,05': decimals are written with a point: 0.05"),
        ("5 Ah", "'5 Ah': Ah measures a charge, and this is a pure number; allowed a number, or a share such as 62 %"),
        (float("nan"), f"nan: {NUMBER}"),
        (True, f"True: {NUMBER}"),
        (None, f"None: {NUMBER}"),
    ],
)
def test_what_is_refused(given: object, said: str) -> None:
    with pytest.raises(rt.InputError) as refused:
        require_share("target_risk", given, (0.001, 0.9), 0.05)
    assert str(refused.value) == f"target_risk = {said}" and refused.value.path == "target_risk"
