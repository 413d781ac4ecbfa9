"""The configuration classes, one for each declaration of the compiled core.

Every class is made from its declaration: keyword-only construction, read-only attributes, ``==``, hash, a ``repr``
that evaluates back, pickle, ``replace``, and plain dicts for scenario files. There is no second table here.
``classes.pyi`` holds their types; ``tests/make_stubs.py`` writes it from the same declarations.
"""

from __future__ import annotations

import inspect

import ridethrough._core as _core

from .configuration import Configuration
from .declaration_text import docstring, fields_of
from .load_changes import with_loads, without


def _make_class(schema: _core.Schema) -> type[Configuration]:
    parameters = [
        inspect.Parameter(
            field.name,
            inspect.Parameter.KEYWORD_ONLY,
            default=inspect.Parameter.empty if field.required else field.default_value,
        )
        for field in fields_of(schema)
    ]
    return type(
        schema.name,
        (Configuration,),
        {
            "__slots__": (),
            "__module__": "ridethrough",
            "__doc__": docstring(schema),
            "__signature__": inspect.Signature(parameters),
            "_declaration": schema,
        },
    )


CLASSES: dict[str, type[Configuration]] = {schema.name: _make_class(schema) for schema in _core.schemas()}
_core.Configuration._classes.update(CLASSES)
globals().update(CLASSES)
CLASSES["Van"].with_loads = with_loads  # type: ignore[attr-defined]
CLASSES["Van"].without = without  # type: ignore[attr-defined]

__all__ = ["CLASSES", *CLASSES]
