"""Parts of a van that several rooms ask for: its batteries' kind and size, heaters, climate."""

from __future__ import annotations

from .classes import AgmBattery, Climate, GasFurnace, Heater, LithiumBattery, Site, SolarArray, Van
from .errors import bad_input
from .places import with_climate
from .values import mean_value


def in_common(van: Van) -> AgmBattery | LithiumBattery:
    """The battery whose fields hold for all of the van's: kind, place, charge at the start; each has its own size."""
    return van.batteries[0]


def is_lithium(van: Van) -> bool:
    """Whether the batteries are of lithium iron phosphate."""
    return isinstance(in_common(van), LithiumBattery)


def rated_ah(van: Van) -> float:
    """Rated capacity of all batteries [Ah]."""
    return sum(mean_value(battery.capacity_ah) for battery in van.batteries)


def roof_array(van: Van) -> tuple[str, SolarArray] | None:
    """Path and array of the first that lies on the roof; None where there is none."""
    on_roof = [
        (path, a) for path, a in zip(van.paths_of("arrays"), van.arrays, strict=True) if isinstance(a, SolarArray)
    ]
    return on_roof[0] if on_roof else None


def heaters_of(van: Van) -> list[Heater | GasFurnace]:
    """The loads that hold the cabin at a temperature."""
    return [load for load in van.loads if isinstance(load, Heater | GasFurnace)]


def climate_of(site: Site) -> Climate:
    """The site's climate, or the default one that it is simulated with."""
    climate = with_climate(site).climate
    if climate is None:
        raise bad_input("Site.climate", reason="must be given")
    return climate
