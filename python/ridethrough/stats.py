"""Estimates with intervals: of one share, and of the difference between two runs on the same trials."""

from ridethrough._core import Estimate, clopper_pearson, paired_difference, wilson

__all__ = ["Estimate", "clopper_pearson", "paired_difference", "wilson"]
