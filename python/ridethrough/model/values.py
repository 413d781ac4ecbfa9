"""Values of parameters: the mean of a spread, and NumPy's and dates' values as those of Python."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import numpy as np

import ridethrough._core as _core


def mean_value(value: float | _core.Spread) -> float:
    """A number, or the mean of a spread."""
    return float(value.mean()) if isinstance(value, _core.Spread) else float(value)


def to_python_value(value: Any) -> Any:
    """NumPy's scalars as Python's, and dates and times (also NumPy's and pandas') as the text that a trip takes."""
    if isinstance(value, np.datetime64):
        days = np.datetime_data(value)[0] in ("D", "W", "M", "Y")
        value = value.astype("datetime64[D]" if days else "datetime64[us]").item()
    elif isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, datetime) and value == value:  # pandas has times that are none
        whole = value.utcoffset() is None and not (value.second or value.microsecond)
        return value.strftime("%Y-%m-%d %H:%M") if whole else value.isoformat()
    return value.isoformat() if isinstance(value, date) and value == value else value
