"""The trip's clock in a sentence of the verdict."""

from __future__ import annotations

import ridethrough._core as _core

from ..model.clocks import clock_changes_of, offset_text
from ..model.time_zones import is_at_sea


def clock_text(of: _core.Compiled) -> str:
    """The verdict's line; the versions of the zone data stand in `clock_dict`."""
    clock = of.clock
    if not clock.zone:
        return f"Clock: {offset_text(clock.utc_offset_h)}, as given ({clock.source})."
    found = f"found from the {clock.source}" if clock.source == "coordinates" else clock.source
    sea = ", open sea" if is_at_sea(clock.zone) else ""
    text = f"Clock: {clock.zone} ({found}{sea}), {offset_text(clock.utc_offset_h)}"
    for change in clock_changes_of(of):
        same_day = change["from"][:10] == change["to"][:10]
        to = change["to"][11:] if same_day else change["to"]
        text += f"; on {change['from']} it goes to {to}, {offset_text(change['utc_offset_h'])}"
    return text + "."
