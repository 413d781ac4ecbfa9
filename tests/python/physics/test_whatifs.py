"""What people change in a van and a trip, and what that does: sign and plausible size, for AGM and lithium, winter and
summer. Of the cabin: test_cabin_whatifs.py; of batteries and their chargers: test_battery_whatifs.py; of large loads:
test_heavy_loads.py.

No source gives such sizes. Each range is our own estimate, made before looking, from ampere-hours: a day takes some 50
to 60 Ah, five nights stand between a battery's charge and the Sun, and 5 % of a day's ampere-hours (2.5 to 3) move the
log odds by .2 to .4, as the spread of what trips take between vans is some 15 %.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
import ridethrough as rt
from what_ifs import BASE, TRIP, WhatIf, difference, log_odds, van_with

pytestmark = pytest.mark.filterwarnings("ignore:Van:UserWarning")


def unchanged(v: rt.Van) -> rt.Van:
    return v


def both(
    what: str,
    change: Callable[[rt.Van], rt.Van],
    winter: tuple[float, float],
    summer: tuple[float, float],
    why: str,
    **more: Any,
) -> list[WhatIf]:
    ranges = (("winter", winter), ("summer", summer))
    return [WhatIf(what, season, change, low, high, why, **more) for season, (low, high) in ranges]


SOUTH_STEEP = van_with(solar__tilt_deg=45.0, solar__azimuth_deg=180.0)
NORTH_STEEP = van_with(solar__tilt_deg=45.0, solar__azimuth_deg=0.0)
WHAT_IFS = [
    *both(
        "fridge branch of twice the resistance",
        lambda v: v.replace(**{"wiring.fridge_branch_mohm": 2 * 40.0}),
        (0.0, 0.6),
        (0.0, 0.6),
        "4 A over 40 mohm more are .16 V less at the fridge, which is 5 to 10 % of an AGM's charge near its end; "
        "lithium holds its voltage to the last few per cent",
        before=van_with(wiring__fridge_branch_mohm=40.0),
        lithium=(-0.02, 0.2),
    ),
    *both(
        "fridge cut-out at 11.4 V in place of 10.4 V",
        van_with(fridge__cutout_v=11.4, fridge__restart_v=12.3),
        (0.3, 1.6),
        (0.3, 1.6),
        "the last 10 to 20 % of an AGM's charge are not given",
        lithium=(-0.02, 0.4),
    ),
    *both(
        "fridge cut-out at 9.6 V in place of 10.4 V",
        van_with(fridge__cutout_v=9.6, fridge__restart_v=10.9),
        (-0.6, 0.0),
        (-0.6, 0.0),
        "an AGM below 10.4 V has a few per cent left; lithium nothing",
        lithium=(-0.15, 0.02),
    ),
    *both(
        "set point of 2 degC in place of 4",
        van_with(fridge__set_point_c=2.0),
        (0.05, 0.8),
        (0.2, 1.2),
        "10 % more of the fridge's 10 to 30 Ah a day",
    ),
    *both(
        "set point of 6 degC in place of 4",
        van_with(fridge__set_point_c=6.0),
        (-0.8, -0.05),
        (-1.2, -0.2),
        "10 % less of the fridge's 10 to 30 Ah a day",
    ),
    *both(
        "a fifth of the light lost to dirt",
        van_with(solar__soiling_loss=0.2),
        (0.2, 1.4),
        (0.4, 2.5),
        "15 to 18 % less sun than with a few per cent of dirt: 4 to 6 Ah a day in November, 8 to 10 in July",
    ),
    WhatIf(
        "panel tilted 45 degrees to the south",
        "winter",
        SOUTH_STEEP,
        -3.0,
        -0.4,
        "some 50 % more sun on clear days at 36 N in November, little on dull ones",
    ),
    WhatIf(
        "panel tilted 45 degrees to the south",
        "summer",
        SOUTH_STEEP,
        0.2,
        2.0,
        "10 to 15 % less at 36 N in July, when the noon Sun stands at 75 degrees",
    ),
    WhatIf(
        "panel tilted 45 degrees to the north",
        "winter",
        NORTH_STEEP,
        1.0,
        5.0,
        "no direct sun at all in November: half of the yield goes",
    ),
    WhatIf(
        "in a forest",
        "winter",
        unchanged,
        1.0,
        5.5,
        "most of the sun is gone, of which a third to a half of each day's ampere-hours come",
        trip=(("surroundings", "forest"),),
    ),
    WhatIf(
        "among scattered trees",
        "summer",
        unchanged,
        0.3,
        3.5,
        "a quarter to a third of the sun is gone; a forest takes so much that hardly a trip is left",
        trip=(("surroundings", "scattered_trees"),),
    ),
    *both(
        "on a plot with some trees",
        unchanged,
        (0.05, 1.0),
        (0.05, 1.5),
        "some 10 % of the sun",
        trip=(("surroundings", "park_plot"),),
    ),
    *both(
        ".2 A of standby more",
        van_with(loads__standby__current_a=0.1 + 0.2),
        (0.3, 1.6),
        (0.2, 1.8),
        "4.8 Ah a day",
        before=van_with(loads__standby__current_a=0.1),
    ),
    *both(
        "a battery of five years",
        van_with(battery__age_years=5.0),
        (0.3, 2.0),
        (0.3, 2.0),
        "an AGM has lost 15 to 25 % of its capacity, lithium 5 to 15 %",
        lithium=(0.1, 1.2),
    ),
    *both(
        "80 % full at the start in place of full",
        van_with(battery__initial_soc=0.8),
        (0.2, 1.6),
        (0.05, 1.6),
        "30 or 15 Ah fewer once, of which July's sun brings back some",
        before=van_with(battery__initial_soc=1.0),
    ),
    *both(
        "two hours on the road on day 3",
        unchanged,
        (-4.0, -0.4),
        (-4.0, -0.3),
        "40 to 60 Ah where there is room for them",
        before=van_with(dc_dc=rt.DcDcCharger(current_a=30)),
        trip=(("drives", (rt.Drive(days=[3], duration_h=2),)),),
    ),
    *both(
        "10 kg of warm food on day 2",
        unchanged,
        (0.0, 0.5),
        (0.02, 0.7),
        "10 kg of water cooled by 18 K are 210 Wh of heat, 6 to 9 Ah, once",
        trip=(("warm_food_kg", 10.0), ("warm_food_days", (2,))),
    ),
    *both(
        "a fridge of 85 l, upright",
        lambda v: v.replace(fridge=rt.Fridge(volume_l=85, form="upright")),
        (0.2, 1.8),
        (0.5, 3.0),
        "some 40 % more of the fridge's share",
    ),
    *both(
        "a sixth night",
        unchanged,
        (0.2, 1.2),
        (0.05, 1.2),
        "one more day of taking more than comes in",
        trip=(("nights", 6),),
    ),
    *both(
        "habits a tenth heavier",
        unchanged,
        (0.1, 0.8),
        (0.05, 0.8),
        "3 to 4 Ah a day",
        trip=(("habits_scale", rt.spreads.triangular(0.77, 1.1, 1.65)),),
    ),
]


@pytest.mark.parametrize("kind", ["AGM", "lithium"])
@pytest.mark.parametrize("case", WHAT_IFS, ids=[f"{w.what}, {w.season}" for w in WHAT_IFS])
def test_what_a_change_does(case: WhatIf, kind: str) -> None:
    low, high = case.range_for(kind)
    assert low <= difference(case, kind) <= high, case.why


def test_a_cold_locker_costs_lithium_its_charge() -> None:
    """In a box outside the cabin it takes no charge below freezing (d up to 2 in winter); AGM loses some capacity."""
    for kind, low, high in (("lithium", 0.05, 2.5), ("AGM", 0.0, 0.8)):
        cold = BASE[kind, "winter"].replace(**{"battery.location": "locker"})
        d = log_odds(cold, TRIP["winter"]) - log_odds(BASE[kind, "winter"], TRIP["winter"])
        print(f"winter, {kind}, in a locker: d {d:+.2f}")
        assert low <= d <= high
