"""Facts of the trade on the default AGM van and the default lithium van: common practice, no source.

The table is printed with `pytest -s`. A fact holds where the median of the vans lies in its band; the spread about it
is that of the defaults. What the model is known to miss is asserted to be missed, so that a mend is noticed.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import trade_facts

pytestmark = pytest.mark.filterwarnings("ignore:Van:UserWarning")  # benches, not vans


@pytest.mark.parametrize("subject", trade_facts.SUBJECTS, ids=lambda f: f.__name__)
def test_meters_show_what_the_trade_expects(subject: Callable[[], list[trade_facts.Fact]]) -> None:
    print("\n" + trade_facts.HEAD)
    for fact in subject():
        print(fact.row())
        assert len(fact.readings) >= 9 and np.isfinite(fact.readings).all(), fact.what
        assert fact.holds != bool(fact.missed), fact.row()


def test_the_display_of_a_worn_battery_shows_too_much() -> None:
    """Ah left on a display are those it was told: with 100 Ah entered for a battery that has 70, the hours are 70 %."""
    import ridethrough as rt

    worn = trade_facts.lfp(capacity_ah=100, state_of_health=0.7, start_charge=0.6, capacity_factor_0c=1.0)
    meters = trade_facts.watch(
        worn, 1, 25.0, fridge=trade_facts.COLD_BOX, loads=[rt.Standby(current_a=6.0)], trip={"step_min": 1}
    )
    shown = 100 * 0.6 / 6.0
    assert np.median(meters.first_cutout_h) / shown == pytest.approx(0.70, abs=0.02)
