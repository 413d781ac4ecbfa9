"""Whether a camper van's 12 V battery keeps the fridge on for a trip, and how sure that is."""

from ridethrough._core import InputError, Series, Spread, discrete, normal, pert, triangular, uniform

from .declarations import explain
from .records import CLASSES, Configuration

globals().update(CLASSES)

__all__ = [
    "Configuration",
    "InputError",
    "Series",
    "Spread",
    "discrete",
    "explain",
    "normal",
    "pert",
    "triangular",
    "uniform",
    *CLASSES,
]
