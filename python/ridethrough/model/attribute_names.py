"""Attributes by wrong names: who reads a former one is told the one of now, who mistypes one the nearest."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, NoReturn

import ridethrough._core as _core

from .former_names import name_now


def no_attribute(owner: object, name: str, guesses: dict[str, str]) -> AttributeError:
    """The error of a name that an object has not; ``guesses`` are what people try, with what there is."""
    kind = type(owner).__name__
    if now := name_now(f"{kind}.{name}"):
        return AttributeError(f"{kind}.{name}: now {now}")
    if name.startswith("_"):
        return AttributeError(f"{kind!r} object has no attribute {name!r}")
    meant = guesses.get(name) or _core.nearest_name(name, [known for known in dir(owner) if known[0] != "_"])
    return AttributeError(f"{kind!r} object has no attribute {name!r}" + (f"; did you mean {meant}?" if meant else ""))


class ToldNames:
    """Base of classes that say what a wrong or former name of an attribute should be."""

    _guesses: ClassVar[dict[str, str]] = {}

    if not TYPE_CHECKING:  # a type checker is to see a name that is not there

        def __getattr__(self, name: str) -> NoReturn:
            """Only reached by a name that is not there."""
            raise no_attribute(self, name, self._guesses)
