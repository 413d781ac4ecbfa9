"""Questions about batteries that several parts of the package ask."""

from __future__ import annotations

from .classes import AgmBattery, LfpBattery
from .values import mean_value


def is_lithium(battery: AgmBattery | LfpBattery) -> bool:
    """Whether the battery is of lithium iron phosphate."""
    return isinstance(battery, LfpBattery)


def rated_ah(battery: AgmBattery | LfpBattery) -> float:
    """Rated capacity, a second battery's included [Ah]."""
    second = battery.second
    return mean_value(battery.capacity_ah) + (mean_value(second.capacity_ah) if second is not None else 0.0)
