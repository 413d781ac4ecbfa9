"""A tuple of parts that are also found by their names: loads, arrays, stops."""

from __future__ import annotations

from typing import Any, SupportsIndex, TypeVar, overload

import ridethrough._core as _core

from .errors import NOT_GIVEN, bad_input, unknown_name

T_co = TypeVar("T_co", covariant=True)


class NamedParts(tuple[T_co, ...]):
    """``van.loads["kettle"]``, ``"kettle" in van.loads`` and ``van.loads.names`` beside all that a tuple does.

    Examples
    --------
    >>> van = rt.Van(loads=[rt.Lights(), rt.Kettle()])
    >>> van.loads.names, van.loads["kettle"] == van.loads[1], "heater" in van.loads
    (('lights', 'kettle'), True, False)
    """

    __slots__ = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Of all members, in their order; the place, counted from 1, of one that has no name."""
        return tuple(getattr(part, "name", None) or str(place) for place, part in enumerate(self, 1))

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
        """Find a member by its name.

        Parameters
        ----------
        name : str
            Of the member, or its place, counted from 1.
        path : str
            What an error is to call it.

        Returns
        -------
        int
            Its index, from 0 as in any tuple.

        Raises
        ------
        InputError
            No member or several of that name; with the nearest one.
        """
        names = list(self.names)
        if names.count(name) == 1:
            return names.index(name)
        if name.isdecimal() and 1 <= int(name) <= len(names):
            return int(name) - 1
        if name in names:
            places = ", ".join(str(i) for i, known in enumerate(names, 1) if known == name)
            reason = f"{names.count(name)} in the list are called {name!r}"
            raise bad_input(path or name, reason=reason, hint=f"say which by place: {places}")
        raise unknown_name(path or name, NOT_GIVEN, names, f"no {name!r} in the list", name=name)


_core.Configuration._parts = NamedParts
