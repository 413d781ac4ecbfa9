"""The report of means over a trip."""

from __future__ import annotations

from ..engine.quasi_monte_carlo import TripMeans
from ..model.cautions import CAUTION
from ..model.outputs import RESULTS
from .registry import format_report


def means_rows(result: TripMeans) -> list[tuple[str, str]]:
    """What each mean is of, and the mean with its interval and unit."""
    return [
        (RESULTS[name].label, f"{mean.value:.4g} ({mean.low:.4g} to {mean.high:.4g}) {RESULTS[name].unit}".rstrip(" 1"))
        for name, mean in result.items()
    ]


@format_report.register(TripMeans)
def format_trip_means(result: TripMeans) -> str:
    """Every mean with its interval."""
    head = f"Means of a trip, {result.trials:,} trials in {result.replicates} replicates (95 %, Student):"
    return "\n".join([head, *(f"  {label}: {mean}" for label, mean in means_rows(result)), CAUTION])
