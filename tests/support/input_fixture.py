"""Places and trips of odd input, for the tests of what a refusal and a warning say."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import ridethrough as rt
from study_fixture import GREENSBORO

PLACE: dict[str, Any] = {"latitude": GREENSBORO.latitude, "longitude": GREENSBORO.longitude}
GHI: list[float] = list(GREENSBORO.ghi_kwh_m2_day)
AIR: list[float] = list(GREENSBORO.air_temp_c)


def climate(ghi: Sequence[float] = GHI, air: Sequence[float] = AIR, **more: Any) -> rt.Climate:
    return rt.Climate(**{**PLACE, **more}, ghi_kwh_m2_day=ghi, air_temp_c=air)


def site(of: rt.Climate | None = None, **more: Any) -> rt.Site:
    of = of or climate()
    place: dict[str, Any] = {"latitude": of.latitude, "longitude": of.longitude}
    return rt.Site(**place, climate=of, **more)


def trip(where: rt.Site | None = None, start: str = "2026-11-06 15:00", nights: int = 2) -> rt.Trip:
    return rt.Trip(site=where or site(), start=start, nights=nights)
