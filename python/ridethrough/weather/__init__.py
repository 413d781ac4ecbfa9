"""Climates from measured weather, and a default one for any place.

Importing it gives ``Climate`` its constructors from weather, a site without a climate the default one, and a trip what
is told of places that hardly can be meant.
"""

from ..model import places
from ..model.classes import CLASSES
from .climate_from_data import from_daily, from_hourly
from .place_checks import place_warnings
from .world_climate import climate_at, climate_of_site

CLASSES["Climate"].from_hourly = classmethod(from_hourly)  # type: ignore[attr-defined]
CLASSES["Climate"].from_daily = classmethod(from_daily)  # type: ignore[attr-defined]

places.default_climate = climate_of_site
places.place_warnings = place_warnings

__all__ = ["climate_at", "from_daily", "from_hourly"]
