"""Spreads: how well a number is known, as a distribution. A parameter that varies takes one in place of a number."""

from ridethrough._core import Spread, discrete, normal, pert, triangular, uniform

__all__ = ["Spread", "discrete", "normal", "pert", "triangular", "uniform"]

Spread.__module__ = __name__  # where pickle and help() find it
