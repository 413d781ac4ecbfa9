"""A tuple of parts that are also found by their names: loads, arrays, stops."""

from __future__ import annotations

from typing import Any, SupportsIndex, TypeVar, overload

import ridethrough._core as _core

T_co = TypeVar("T_co", covariant=True)


class NamedParts(tuple[T_co, ...]):
    """``van.loads["kettle"]``, ``"kettle" in van.loads`` and ``van.loads.names`` beside all that a tuple does."""

    __slots__ = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Of all members, in their order; the place of one that has no name."""
        return tuple(str(getattr(part, "name", place)) for place, part in enumerate(self))

    @overload
    def __getitem__(self, at: SupportsIndex | str) -> T_co: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[T_co, ...]: ...
    def __getitem__(self, at: SupportsIndex | slice | str) -> T_co | tuple[T_co, ...]:
        """The member of a name, or as of any tuple."""
        return super().__getitem__(self.place_of(at)) if isinstance(at, str) else super().__getitem__(at)

    def __contains__(self, part: Any) -> bool:
        """Whether there is this member, or one of this name."""
        return part in self.names if isinstance(part, str) else super().__contains__(part)

    def place_of(self, name: str, path: str = "") -> int:
        """Place of the member of a name; InputError with the nearest name where there is none."""
        names = list(self.names)
        if name in names:
            return names.index(name)
        near = _core.nearest_name(name, names)
        hint = f"did you mean {near!r}?" if near else f"it has {names}"
        raise _core.InputError(f"{path or name}: no {name!r} in the list; {hint}")


_core.Configuration._parts = NamedParts
