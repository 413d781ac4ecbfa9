"""A day's energies add up, and hard days are harder than middling ones."""

import pytest
import ridethrough as rt
from study_fixture import TRIP, VAN


def test_the_balance_closes_and_hard_days_need_more_of_the_battery() -> None:
    middling, hard = rt.simulate(VAN, TRIP, trials=300, seed=2).day_balances
    for day in (middling, hard):
        given = day.solar_wh + day.dc_dc_wh + day.mains_wh + day.battery_wh
        assert given == pytest.approx(day.fridge_wh + day.other_loads_wh + day.cables_wh, rel=1e-6)
        assert day.sun_wh == day.solar_wh + day.curtailed_wh >= day.solar_wh
        assert day.drawn_wh == day.fridge_wh + day.other_loads_wh + day.cables_wh
        assert 0 <= day.soc_after <= 1 and 0 <= day.left_out < 1 and day.days > 0
    assert hard.battery_wh - hard.curtailed_wh > middling.battery_wh - middling.curtailed_wh
