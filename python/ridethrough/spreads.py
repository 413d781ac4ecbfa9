"""Spreads: what is not known of a number, as a distribution. Give one wherever a parameter takes it."""

from ridethrough._core import Spread, discrete, normal, pert, triangular, uniform

__all__ = ["Spread", "discrete", "normal", "pert", "triangular", "uniform"]

Spread.__module__ = __name__  # where pickle and help() find it
