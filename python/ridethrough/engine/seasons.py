"""The season that a month is of, by the temperatures of the place and not by its hemisphere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

SEASONS = ("winter", "spring", "summer", "autumn")
# Half of the year's swing of temperature from which on a place has seasons whole. Own choice, as in
# cpp/src/weather/climate.cpp: the stations of which the seasons are learned have more.
WHOLE_SWING_K = 4.0


@dataclass(frozen=True)
class Season:
    """A season's number from winter, 0, and how far a place has seasons at all: 1, or less near the equator."""

    number: int
    share: float

    @property
    def adjective(self) -> str:
        """Its name and a space, nothing where the place has hardly any seasons."""
        return f"{SEASONS[self.number]} " if self.share >= 0.5 else ""

    def of(self, sizes: Sequence[float]) -> float:
        """Its size among those of the four; where there are no seasons, which nobody has measured, the largest."""
        return self.share * sizes[self.number] + (1 - self.share) * max(sizes)


def season_of(air_temp_c: Sequence[float], month: int) -> Season:
    """Season of a month, 1 to 12, at a place with these twelve normals of temperature."""
    air = np.asarray(air_temp_c)
    swing_k = 2 * float(np.mean(air * np.cos(np.pi * (np.arange(12) - 6.5) / 6)))
    turned = 6 if swing_k < 0 else 0  # January warm
    return Season((month + turned) % 12 // 3, min(abs(swing_k) / WHOLE_SWING_K, 1.0))
