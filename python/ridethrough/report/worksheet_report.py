"""The report of the days-of-autonomy worksheet."""

from __future__ import annotations

import ridethrough._core as _core

from ..studies.autonomy_worksheet import BatterySheet, Worksheet
from .registry import format_report


@format_report.register(BatterySheet)
def format_battery_sheet(b: BatterySheet) -> str:
    """The battery's lines of the worksheet."""
    return (
        f"{b.unadjusted_ah:.0f} Ah over the days of autonomy; by deepest discharge {b.for_depth_ah:.0f}, by daily "
        f"discharge {b.for_daily_depth_ah:.0f}, at end of life {b.for_end_of_life_ah:.0f} Ah; cold and margin: "
        f"{b.capacity_ah:.0f} Ah at the {b.rate_h:.0f} h rate. The worksheet has no probability."
    )


@format_report.register(Worksheet)
def format_worksheet(result: Worksheet) -> str:
    """What the worksheet asks for, and the risks."""
    b, van = result.battery, result.present.van
    has_ah = " + ".join(str(battery.capacity_ah) for battery in van.batteries)
    return "\n".join(
        [
            f"Worksheet, {result.days:g} days of autonomy (method of IEEE 1013 and 1562, own arithmetic):",
            f"  load {result.load_ah_per_day:.1f} Ah a day, simulated; {b.unadjusted_ah:.0f} Ah over those days",
            f"  by deepest discharge {b.for_depth_ah:.0f}, by daily discharge {b.for_daily_depth_ah:.0f}, at end of "
            f"life {b.for_end_of_life_ah:.0f} Ah; cold and margin: {b.capacity_ah:.0f} Ah at the {b.rate_h:.0f} h rate",
            f"  array {result.array_w:.0f} W, which gives {result.charge_ah_per_day_and_w * result.array_w:.1f} Ah on "
            "a day of mean sun",
            f"The van as it is ({has_ah} Ah, {van.arrays[0].rated_w} W) "
            f"{'passes' if result.passes else 'does not pass'} the worksheet; simulated: "
            f"{_core.chance_text(result.present.cutout)} ({_core.estimate_text(result.present.cutout)}).",
            f"The van that the worksheet sizes: {_core.chance_text(result.risk.cutout)} "
            f"({_core.estimate_text(result.risk.cutout)}).",
            "The worksheet has no probability; the interval is sampling error alone.",
        ]
    )
