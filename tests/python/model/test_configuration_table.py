"""What a notebook shows of a van."""

from __future__ import annotations

from typing import Any

import ridethrough
from study_fixture import TRIP, VAN

rt: Any = ridethrough  # as calls here are wrong on purpose


def test_a_notebook_shows_what_is_not_at_its_default() -> None:
    html = VAN.replace(towed=True, dc_dc=None)._repr_html_()
    for cell in ("battery.capacity_ah", "80", "Ah", "solar.rated_w", "towed", "True", "dc_dc", "None", "explain("):
        assert cell in html, cell
    assert "cabin_heat_loss" not in html and "batteries" not in html
    assert "site.climate" in TRIP._repr_html_() and rt.Van(arrays=[])._repr_html_().count("none") == 1
