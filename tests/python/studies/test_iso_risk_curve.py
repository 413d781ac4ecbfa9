"""The curve of panels and batteries of one risk, and what fits on it."""

from __future__ import annotations

import pytest
import ridethrough as rt
from demo_studies import demo
from optional import there
from ridethrough.studies.sizing import Size

VAN, TRIP = demo()


def test_the_curve_falls_and_the_limits_hold():
    curve = rt.iso_risk(VAN, TRIP, [220, 300, 400], 0.05, roof_m2=1.8, payload_kg=12, step=10, trials=200, seed=1)
    sizes = [p.size.value or 0.0 for p in curve.points]
    assert sizes == sorted(sizes, reverse=True) and sizes[0] > sizes[-1]
    alone = rt.size(
        VAN.replace(**{"solar.rated_w": 300}), TRIP, "battery.capacity_ah", 0.05, step=10, trials=200, seed=1
    )
    assert isinstance(alone, Size) and curve.points[1].size.value == alone.value
    # Glued panels take .0053 m2 a watt by the table: 400 W are 2.1 m2, over the roof's 1.8.
    assert [p.roof_m2 for p in curve.points] == pytest.approx([1.166, 1.59, 2.12])
    assert not curve.points[2].fits and "m2 of 1.8 m2 roof" in curve.points[2].why_not
    for p in curve.points:
        assert p.fits == (p.roof_m2 <= 1.8 and there(p.mass_kg).high <= 12)
    assert curve.cheapest in curve.fitting and curve.lightest in curve.fitting
    pytest.importorskip("matplotlib")
    assert "200 trials" in curve.plot().alt
    with pytest.raises(rt.InputError, match="payload_kg = -1"):
        rt.iso_risk(VAN, TRIP, [200], payload_kg=-1)
