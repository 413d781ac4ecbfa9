"""What results keep by name, which says what there is where a name is wrong."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Generic, NoReturn, TypeVar

import ridethrough._core as _core

from ..model.errors import renamed, unknown_key

K = TypeVar("K")
T = TypeVar("T")


class Named(dict[K, T]):
    """A dict whose wrong keys are InputErrors with the near ones, not KeyErrors; ``get`` and ``in`` are a dict's."""

    def __init__(self, what: str, values: Mapping[K, T]) -> None:
        super().__init__(values)
        self.what = what

    def __missing__(self, key: object) -> NoReturn:
        if now := _core.FORMER_RESULTS.get(str(key)):
            raise renamed(self.what, now, key)
        raise unknown_key(self.what, key, self)

    def __reduce__(self) -> tuple[object, ...]:
        return type(self), (self.what, dict(self))


class Keyed(Generic[K]):
    """Base of what is indexed by names: they can be gone through, counted and looked for, as those of a dict."""

    def _names(self) -> Collection[K]:
        raise NotImplementedError

    def __iter__(self) -> Iterator[K]:
        return iter(self._names())

    def __len__(self) -> int:
        return len(self._names())

    def __contains__(self, name: object) -> bool:
        return name in self._names()
