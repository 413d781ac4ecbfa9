"""Errors of bad input carry their facts: where, which value, what is allowed, what was probably meant.

The core sets them on its errors; those raised in Python are made here, in the same words.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import wraps
from typing import ParamSpec, TypeVar

import numpy as np

import ridethrough._core as _core

from .former_names import name_now

FACTS = ("path", "value", "allowed", "suggestion", "hint")
NOT_GIVEN = object()


def bad_input(
    path: str,
    value: object = NOT_GIVEN,
    *,
    reason: str = "",
    allowed: str = "",
    choices: Sequence[str] = (),
    hint: str = "",
    suggestion: str = "",
    quoted: bool = False,
) -> _core.InputError:
    """An error that names the input, its value, what is allowed and what was probably meant.

    Its text is ``path = value: reason; allowed ...; hint; did you mean ...?``; ``choices`` are what is allowed where
    the text has no room for it.
    """
    given = value is not NOT_GIVEN
    meant = f"did you mean {repr(suggestion) if quoted else suggestion}?" if suggestion else ""
    said = "; ".join(filter(None, [reason, f"allowed {allowed}" if allowed else "", hint, meant]))
    error = _core.InputError(f"{path} = {_shown(value)}: {said}" if given else f"{path}: {said}")
    error.path, error.allowed = path, allowed or ", ".join(choices)
    error.suggestion, error.hint = suggestion, hint
    if given:
        error.value = value
    return error


def _shown(value: object) -> str:
    text = repr(value)
    if "\n" in text:  # a table
        return f"a {type(value).__name__}"
    return text if len(text) <= 300 else f"{text[:297]}..."


def require_whole_characters(path: str, text: str) -> None:
    """InputError where a text has half a character, such as Python makes of a file name in another encoding."""
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise bad_input(path, text, allowed="a text of whole characters") from None


def renamed(path: str, now: str, value: object = NOT_GIVEN) -> _core.InputError:
    """An error of who uses a former name."""
    error = bad_input(path, value, reason=f"now {now}")
    error.suggestion = now
    return error


def unknown_name(
    path: str,
    value: object,
    known: Sequence[str],
    what: str,
    *,
    name: str | None = None,
    quoted: bool = True,
    hint: str = "",
) -> _core.InputError:
    """An error of a name, the value if not another, that is not among those there are: the nearest, or all of them."""
    near = _core.nearest_name(str(value) if name is None else name, list(known))
    allowed = "" if near else ", ".join(known) or "none"
    return bad_input(
        path, value, reason=what, allowed=allowed, choices=known, hint=hint, suggestion=near, quoted=quoted
    )


_ROOM = 160  # a list of so many characters stands beside the nearest name; a longer one in ``allowed`` alone


def unknown_key(what: str, key: object, known: Iterable[object], *, hint: str = "") -> _core.InputError:
    """An error of who asks a result for what it does not have: the nearest of what it has, and the list of it.

    A key is a text, a number, or a tuple of these such as (van, trip); a part of a tuple leads to the tuples with it.
    """
    keys = list(known)
    texts = [_key_text(one) for one in keys]
    meant = _nearest(key, keys)
    near = "" if meant is None else _key_text(meant)
    listed = ", ".join(texts) or "none"
    return bad_input(
        what,
        key,
        reason="there is none of that name",
        allowed="" if near and len(listed) > _ROOM else listed,
        choices=texts,
        hint=hint,
        suggestion=near,
        quoted=isinstance(meant, str),
    )


def _key_text(key: object) -> str:
    return key if isinstance(key, str) else repr(key)


def _nearest(key: object, keys: Sequence[object]) -> object:
    """The key that was probably meant; None where none is near."""
    if isinstance(key, tuple):
        alike = [one for one in keys if isinstance(one, tuple) and len(one) == len(key)]
        for place, part in enumerate(key):
            there = [one for one in alike if one[place] == part]
            alike = there or [one for one in alike if one[place] == _nearest(part, [one[place] for one in alike])]
        return alike[0] if alike else None
    if not isinstance(key, str):
        return None
    parts = {part: one for one in reversed(keys) if isinstance(one, tuple) for part in one if isinstance(part, str)}
    names = {one: one for one in keys if isinstance(one, str)} | parts
    near = key if key in names else _core.nearest_name(key, list(names))
    return names.get(near) if {*near} & {*key} else None


def with_prefix(prefix: str, error: _core.InputError) -> _core.InputError:
    """The error with something before its text, such as the file it was found in; its facts stay."""
    return _like(error, f"{prefix}: {error}", error.path)


def with_new_path(old: str, new: str, error: _core.InputError) -> _core.InputError:
    """The error for a reader who knows a part by another path, such as that of a file's table."""
    first, _, rest = error.path.partition(".")
    path = ".".join(filter(None, [new, rest if first == old else error.path]))
    text = str(error)
    known = bool(error.path) and text.startswith(error.path)
    return _like(error, path + text.removeprefix(error.path) if known else f"{path}: {text}", path)


def with_more_hint(error: _core.InputError, more: str) -> _core.InputError:
    """The error with another hint at its end; its facts stay."""
    made = _like(error, f"{error}; {more}", error.path)
    made.hint = f"{error.hint}; {more}" if error.hint else more
    return made


def _like(error: _core.InputError, text: str, path: str) -> _core.InputError:
    made = _core.InputError(text)
    for fact in FACTS:
        setattr(made, fact, getattr(error, fact))
    made.path = path
    return made


def missing_package(what: str, install: str) -> _core.InputError:
    """An error of an optional package that is not installed."""
    error = _core.InputError(f"{what}: {install}")
    error.hint = install
    return error


_core.InputError.__doc__ = """Raised for every bad input, before any work starts; a ValueError.

Attributes
----------
path : str
    The input that is wrong, such as ``AgmBattery.capacity_ah`` or ``trials``.
value : object
    Its value; text where that has no other form, None where there is none.
allowed : str
    What is allowed: a range, or all names that there are; empty where there is nothing to say.
suggestion : str
    The name or the value that was probably meant, to be put in place of the wrong one; empty where none is near.
hint : str
    What else may help, as a sentence.

Examples
--------
>>> try:
...     rt.Fridge(volume=60)
... except rt.InputError as error:
...     print(error.path, error.value, error.suggestion, sep=", ")
Fridge.volume, 60, volume_l
"""

P = ParamSpec("P")
T = TypeVar("T")


def checked_class(kind: type[T]) -> type[T]:
    """The class, which is made with arguments that fit or refuses them with an InputError."""
    kind.__init__ = checked_call(kind.__init__, kind.__name__)  # type: ignore[method-assign]
    return kind


def checked_call(function: Callable[P, T], name: str = "") -> Callable[P, T]:
    """The function, whose calls with arguments that do not fit are InputErrors and not Python's TypeErrors."""
    signature = inspect.signature(function)
    flags = [key for key, of in signature.parameters.items() if of.annotation in (bool, "bool")]

    @wraps(function)
    def call(*arguments: P.args, **named: P.kwargs) -> T:
        try:
            given = signature.bind(*arguments, **named).arguments
        except TypeError:
            raise _wrong_call(name or function.__name__, signature, arguments, named) from None
        for flag in flags:
            if flag in given and not isinstance(given[flag], (bool, np.bool_)):
                raise bad_input(flag, given[flag], allowed="True or False")
        return function(*arguments, **named)

    return call


_KNOWN_AS = {  # what other libraries call these arguments
    "n_jobs": "threads",
    "workers": "threads",
    "random_state": "seed",
    "rng": "seed",
    "n": "trials",
    "n_trials": "trials",
    "iterations": "trials",
    "dtype": "precision",
    "verbose": "progress",
    "target": "target_risk",
}


def _wrong_call(
    name: str, signature: inspect.Signature, arguments: Sequence[object], named: Mapping[str, object]
) -> _core.InputError:
    """What is wrong with arguments that do not fit a function."""
    known = {key: of for key, of in signature.parameters.items() if key not in ("self", "cls")}
    by_place = [key for key, of in known.items() if of.kind is of.POSITIONAL_OR_KEYWORD]
    given = len(arguments) - (len(signature.parameters) - len(known))
    needed = [key if key in by_place else f"{key}=..." for key, of in known.items() if of.default is of.empty]
    usage = f"call it as {name}({', '.join([*needed, '...'] if len(needed) < len(known) else needed)})"
    for key in named:
        if key not in known:
            path, what = f"{name}.{key}", "no such argument"
            if now := name_now(path):
                return renamed(path, now)
            meant = _KNOWN_AS.get(key) if _KNOWN_AS.get(key) in known else key
            return unknown_name(path, named[key], list(known), what, name=meant, quoted=False, hint=usage)
        if key in by_place[:given]:
            return bad_input(f"{name}.{key}", named[key], reason="given twice, by place and by name", hint=usage)
    if given > len(by_place):
        extra = arguments[len(arguments) - given + len(by_place)]
        takes = f"only {' and '.join(by_place)} go by place" if by_place else "all go by name"
        return bad_input(name, extra, reason=f"an argument without its name; {takes}", hint=usage)
    if arguments and all(hasattr(arguments[0], part) for part in needed):  # a scenario
        usage = f"call it as {name}({', '.join(f'scenario.{part}' for part in needed)}, ...)"
    left = [key for key, of in known.items() if of.default is of.empty and key not in [*named, *by_place[:given]]]
    return bad_input(f"{name}.{left[0]}" if left else name, reason="must be given", hint=usage)
