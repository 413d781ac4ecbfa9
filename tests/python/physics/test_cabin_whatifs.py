"""What the cabin, its fan and its heater do to a trip: sign and plausible size, for AGM and lithium, winter and summer.

Ranges are from memory where no other source is named.
"""

from __future__ import annotations

import pytest
from what_ifs import WhatIf, difference, van_with

pytestmark = pytest.mark.filterwarnings("ignore:Van:UserWarning")

WHAT_IFS = [
    WhatIf(
        "fan taken away",
        "summer",
        lambda v: v.without("fan"),
        -2.0,
        -0.2,
        "its 7 Ah a day are saved (1.2 Ah of standby are d .1 to .2), most on the hottest days, and the fridge stands "
        "up to 1 K warmer (1.5 K are d .65)",
    ),
    WhatIf("fan taken away", "winter", lambda v: v.without("fan"), -0.05, 0.05, "it stands still"),
    WhatIf(
        "windows never opened, no fan",
        "summer",
        van_with(window_ventilation=0.0),
        0.3,
        3.0,
        "the fridge stands 1 to 5 K warmer, of which 1.5 K are d .65",
        before=lambda v: v.without("fan"),
    ),
    WhatIf(
        "windows never opened",
        "winter",
        van_with(window_ventilation=0.0),
        -0.05,
        0.15,
        "they are shut but for warm days",
    ),
    WhatIf(
        "more and larger openings",
        "summer",
        van_with(window_ventilation=6.0),
        -1.0,
        -0.1,
        "the fridge stands about 1 K cooler and the fan runs less",
    ),
    WhatIf(
        "heater taken away",
        "winter",
        lambda v: v.without("heater"),
        -6.0,
        -1.0,
        "5 to 15 Ah a day of some 60 are saved, and the fridge stands cold",
    ),
    WhatIf("heater taken away", "summer", lambda v: v.without("heater"), -0.02, 0.02, "it is not switched on"),
    WhatIf(
        "heater off at night",
        "winter",
        van_with(loads__heater__all_night=False),
        -2.5,
        -0.1,
        "nine hours on low, of .2 to .7 A each, are saved",
    ),
    WhatIf(
        "3 K warmer by day",
        "winter",
        van_with(loads__heater__set_point_c=22.0),
        0.2,
        1.5,
        "150 W more heat for half of the day, 2 Ah, and a fridge 1 to 2 K warmer",
    ),
]


@pytest.mark.parametrize("kind", ["AGM", "lithium"])
@pytest.mark.parametrize("case", WHAT_IFS, ids=[f"{w.what}, {w.season}" for w in WHAT_IFS])
def test_what_a_change_does(case: WhatIf, kind: str) -> None:
    low, high = case.range_for(kind)
    assert low <= difference(case, kind) <= high, case.why
