"""Starts as texts, dates and times of Python, NumPy and pandas."""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest
import ridethrough as rt

NORMALS: dict[str, Any] = {"ghi_kwh_m2_day": [2.0] * 12, "air_temp_c": [12.0] * 12}


SITE = rt.Site(latitude=36.1, longitude=-79.95, climate=rt.Climate(**NORMALS))


TRIP = rt.Trip(site=SITE, start="2026-11-06 08:00", nights=5)  # a Friday


UTC_18 = datetime(2026, 11, 6, 18, tzinfo=UTC)


@pytest.mark.parametrize(
    ("start", "clock"),
    [
        ("2026-11-06", "2026-11-06 15:00"),
        (date(2026, 11, 6), "2026-11-06 15:00"),
        (np.datetime64("2026-11-06"), "2026-11-06 15:00"),
        (datetime(2026, 11, 6, 9), "2026-11-06 09:00"),
        (pd.Timestamp("2026-11-06"), "2026-11-06 00:00"),
        (np.datetime64("2026-11-06T09"), "2026-11-06 09:00"),
        ("2026-11-06T09:00", "2026-11-06 09:00"),
        (UTC_18, UTC_18.astimezone(ZoneInfo("America/New_York")).strftime("%Y-%m-%d %H:%M")),
        (pd.Timestamp("2026-11-06 09:00", tz="America/New_York"), "2026-11-06 09:00"),
        (pd.Timestamp("2026-07-10 22:00", tz="Europe/Paris"), "2026-07-10 16:00"),
        ("2026-11-06T18:00:00+00:00", "2026-11-06 13:00"),
    ],
)
def test_starts_are_times_of_all_kinds(start, clock):
    assert TRIP.replace(start=start).start == clock
    assert rt.Trip(stops=[rt.Stop(name="a", site=SITE)], start=start).start == clock


def test_a_start_with_a_zone_goes_by_the_site():
    fixed = SITE.replace(utc_offset_h=5.75)
    assert rt.Trip(site=fixed, start=UTC_18 + timedelta(minutes=15), nights=1).start == "2026-11-07 00:00"
    with pytest.raises(rt.InputError, match="must be a full hour"):
        rt.Trip(site=fixed, start=UTC_18, nights=1)
    # New York puts its clock back at 2:00 on 1 November, so that it shows 1:00 twice.
    assert TRIP.replace(start=datetime(2026, 11, 1, 5, tzinfo=UTC)).start == "2026-11-01 01:00"
    with pytest.raises(rt.InputError, match="shows 2026-11-01 01:00 twice"):
        TRIP.replace(start=datetime(2026, 11, 1, 6, tzinfo=UTC))
    with pytest.raises(rt.InputError, match="allowed a site beside it"):
        rt.Trip(start=UTC_18, nights=1)
