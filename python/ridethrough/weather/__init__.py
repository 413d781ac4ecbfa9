"""Climates from measured weather. Importing it gives ``Climate`` its constructors from weather."""

from ..model.classes import CLASSES
from .climate_from_data import from_daily, from_hourly

CLASSES["Climate"].from_hourly = classmethod(from_hourly)  # type: ignore[attr-defined]
CLASSES["Climate"].from_daily = classmethod(from_daily)  # type: ignore[attr-defined]

__all__ = ["from_daily", "from_hourly"]
