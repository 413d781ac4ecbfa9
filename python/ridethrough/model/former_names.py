"""What was renamed: who still uses the former name of an argument or an output is told the one of now.

Former names of fields and classes stand beside their declarations in the core, those of outputs beside its results.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from typing import Any, ParamSpec, TypeVar

import ridethrough._core as _core

from .errors import renamed

P = ParamSpec("P")
R = TypeVar("R")


def renamed_arguments(**now: str) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Decorate a function whose arguments were renamed: ``renamed_arguments(former="now")``."""

    def decorate(function: Callable[P, R]) -> Callable[P, R]:
        @functools.wraps(function)
        def call(*args: P.args, **kwargs: P.kwargs) -> R:
            for former in now.keys() & kwargs.keys():
                raise renamed(former, now[former])
            return function(*args, **kwargs)

        return call

    return decorate


def field_now(declaration: Any, name: str) -> str:
    """The name of now of a declaration's field; "" where none was called so."""
    return next((str(field.name) for field in declaration.fields if name and field.former_name == name), "")


def class_now(name: str) -> str:
    """The same of a configuration class."""
    return next((str(schema.name) for schema in _core.schemas() if name and schema.former_name == name), "")


def output_now(path: str) -> str:
    """The same of a result or a time series, ``columns.device``, or of all these."""
    of, _, name = path.partition(".")
    if of in ("columns", "time_series", "paths") and name in _core.FORMER_RESULTS:
        return _core.FORMER_RESULTS[name]
    return "time_series" if of == "paths" else ""


def former_classes() -> Mapping[str, str]:
    """Former name and name of now of the configuration classes."""
    return {schema.former_name: schema.name for schema in _core.schemas() if schema.former_name}
