"""Facts of the trade on the default AGM van and the default lithium van: common practice, no source, or from memory.

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
def test_vans_show_what_the_trade_expects(subject: Callable[[], list[trade_facts.Fact]]) -> None:
    print("\n" + trade_facts.HEAD)
    for fact in subject():
        print(fact.row())
        assert len(fact.readings) >= 9 and np.isfinite(fact.readings).all(), fact.what
        assert fact.holds != bool(fact.missed), fact.row()


def test_what_is_missed_is_these() -> None:
    """No new fact may be called missed without a change here."""
    missed = [fact.what for subject in trade_facts.SUBJECTS for fact in subject() if fact.missed]
    assert missed == [
        "lithium on the mains, charge where the current begins to fall",
        "fridge off in 33 degC: from 0 degC, after 5 h",
    ]
