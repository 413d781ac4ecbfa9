"""Numbers by name, which say what there is where a name is wrong."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NoReturn, TypeVar

import ridethrough._core as _core

from ..model.errors import renamed, unknown_name

T = TypeVar("T")


class Named(dict[str, T]):
    """A dict whose wrong names are InputErrors with the near ones, not KeyErrors; ``get`` and ``in`` are a dict's."""

    def __init__(self, what: str, values: Mapping[str, T]) -> None:
        super().__init__(values)
        self.what = what

    def __missing__(self, name: object) -> NoReturn:
        if now := _core.FORMER_RESULTS.get(str(name)):
            raise renamed(self.what, now, name)
        raise unknown_name(self.what, name, list(self), "there is none of that name")

    def __reduce__(self) -> tuple[object, ...]:
        return type(self), (self.what, dict(self))
