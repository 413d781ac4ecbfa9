"""Contents of results: compared value by value, and as plain numbers and texts for JSON."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

import ridethrough._core as _core

from ..model.dict_format import configuration_to_dict


def same_content(a: Any, b: Any) -> bool:
    """Equality by content, NaN equal to NaN, also of arrays and labelled data."""
    if a is b:
        return True
    if isinstance(a, np.ndarray) or isinstance(b, np.ndarray):
        a, b = np.asarray(a), np.asarray(b)
        return a.shape == b.shape and bool(np.array_equal(a, b, equal_nan=a.dtype.kind == "f" and b.dtype.kind == "f"))
    if type(a) is not type(b):
        return False
    if hasattr(a, "identical"):  # xarray
        return bool(a.identical(b))
    if hasattr(a, "equals"):  # pandas
        return bool(a.equals(b))
    if isinstance(a, Mapping):
        return a.keys() == b.keys() and all(same_content(a[key], b[key]) for key in a)
    if isinstance(a, (list, tuple)):
        return len(a) == len(b) and all(map(same_content, a, b))
    if isinstance(a, float):
        return a == b or (math.isnan(a) and math.isnan(b))
    if is_dataclass(a) and not hasattr(a, "_content"):
        return all(same_content(getattr(a, f.name), getattr(b, f.name)) for f in fields(a))
    return bool(a == b)


def plain_content(value: Any) -> Any:
    """Dicts, lists, numbers and texts; None where a number does not exist."""
    if isinstance(value, _core.Estimate):
        names = ("value", "low", "high", "confidence", "events", "trials")
        return {name: plain_content(getattr(value, name)) for name in names}
    if isinstance(value, _core.Spread):
        return repr(value)
    if hasattr(value, "reset_index") and type(value).__module__.startswith("pandas"):  # a frame
        return plain_content(value.reset_index().to_dict(orient="list"))
    if isinstance(value, _core.Configuration):
        return plain_content(configuration_to_dict(value, hours=False))
    if hasattr(value, "_one_of_many"):
        return plain_content(value._one_of_many())  # a risk, for which nothing more is played
    if hasattr(value, "_content") or (hasattr(value, "to_dict") and not is_dataclass(value)):
        return plain_content(value.to_dict())  # results, configurations, price tables and datasets
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain_content(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, Mapping):
        return {_key(key): plain_content(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain_content(inner) for inner in value]
    if isinstance(value, (np.ndarray, np.generic)):
        return plain_content(value.tolist())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value if value is None or isinstance(value, (bool, int, str)) else str(value)


def _key(key: Any) -> str:
    return " | ".join(map(str, key)) if isinstance(key, tuple) else str(key)
