"""Parts of a van that several rooms ask for: its battery's kind and size, arrays, heaters, climate."""

from __future__ import annotations

import ridethrough._core as _core

from .classes import AgmBattery, Climate, GasFurnace, Heater, LfpBattery, PortableArray, Site, SolarArray, Van
from .places import with_climate
from .values import mean_value


def is_lithium(battery: AgmBattery | LfpBattery) -> bool:
    """Whether the battery is of lithium iron phosphate."""
    return isinstance(battery, LfpBattery)


def rated_ah(battery: AgmBattery | LfpBattery) -> float:
    """Rated capacity, a second battery's included [Ah]."""
    second = battery.second
    return mean_value(battery.capacity_ah) + (mean_value(second.capacity_ah) if second is not None else 0.0)


def arrays_of(van: Van) -> list[SolarArray | PortableArray]:
    """All arrays, the one on the roof first."""
    return [array for array in (van.solar, *van.more_solar) if array is not None]


def heaters_of(van: Van) -> list[Heater | GasFurnace]:
    """The loads that hold the cabin at a temperature."""
    return [load for load in van.loads if isinstance(load, Heater | GasFurnace)]


def climate_of(site: Site) -> Climate:
    """The site's climate, or the default one that it is simulated with."""
    climate = with_climate(site).climate
    if climate is None:
        raise _core.InputError("Site.climate is not given")
    return climate
