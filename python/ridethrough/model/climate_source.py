"""Where a climate comes from, and how far it may be off by its own account."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import ridethrough._core as _core

from .classes import Climate

# How the source of a default climate begins, and what stands before the reasons why its error is larger than elsewhere.
DEFAULT_CLIMATE, WIDER = "worldwide default climate", "; wider: "


@dataclass(frozen=True)
class ClimateSource:
    """``kind`` is "default", "normals" or "weather"; standard deviations are None where no error is drawn."""

    kind: str
    source: str
    less_sure: tuple[str, ...]  # reasons why a default is worth less here than elsewhere
    sun_sd: float | None  # share of the sun
    air_temp_sd_k: float | None

    def to_dict(self) -> dict[str, Any]:
        """Plain numbers and texts."""
        return {
            "kind": self.kind,
            "source": self.source or None,
            "less_sure": list(self.less_sure),
            "sun_sd": self.sun_sd,
            "air_temp_sd_k": self.air_temp_sd_k,
        }


def is_default(climate: Climate) -> bool:
    """Whether it is the worldwide default, which may have been changed since."""
    return climate.source.startswith(DEFAULT_CLIMATE)


def source_of(climate: Climate) -> ClimateSource:
    """What a climate says of itself."""
    head, _, why = climate.source.partition(WIDER) if is_default(climate) else (climate.source, "", "")
    kind = "weather" if climate.weather_series is not None else "normals"
    return ClimateSource(
        "default" if is_default(climate) else kind,
        head,
        tuple(why.split(", ")) if why else (),
        spread_sd(climate, "ghi_scale"),
        spread_sd(climate, "air_temp_offset_k"),
    )


def spread_sd(climate: Climate, name: str) -> float | None:
    """Half of the middle 68 % of a spread; None of a number."""
    value = getattr(climate, name)
    if not isinstance(value, _core.Spread):
        return None
    field = climate.schema.field(name)
    low, high = (value.quantile(share, field.low, field.high) for share in (0.1587, 0.8413))
    return round((high - low) / 2, 6)
