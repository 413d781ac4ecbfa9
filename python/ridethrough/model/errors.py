"""Errors of bad input carry their facts: where, which value, what is allowed, what was probably meant.

The core's errors are texts of one form, ``path = value: allowed ...; did you mean ...?``, from which the facts are
read; those raised in Python are made of them. Importing this module gives ``InputError`` its attributes.
"""

from __future__ import annotations

import re
from typing import Any

import ridethrough._core as _core

FACTS = ("path", "value", "allowed", "suggestion")
_PATH = re.compile(r"(?P<path>[A-Za-z_][\w.\[\]' -]*?)(?: = (?P<value>.*?))?: (?P<rest>.*)", re.DOTALL)
_ALLOWED = re.compile(r"\ballowed (?P<allowed>.*?)(?:; did you mean|; |$)", re.DOTALL)
_SUGGESTION = re.compile(r"(?:did you mean (?P<suggestion>.*?)\?|: now (?P<now>\w+)$)")


def bad_input(
    path: str, value: Any = ..., *, allowed: str = "", reason: str = "", suggestion: str = "", quoted: bool = False
) -> _core.InputError:
    """An error that names the input, its value, what is allowed and what was probably meant."""
    text = path if value is ... else f"{path} = {value!r}"
    said = [reason, f"allowed {allowed}" if allowed else ""]
    said.append(f"did you mean {f'{suggestion!r}' if quoted else suggestion}?" if suggestion else "")
    error = _core.InputError(f"{text}: {'; '.join(filter(None, said))}")
    facts = {"path": path, "value": None if value is ... else value, "allowed": allowed, "suggestion": suggestion}
    vars(error).update({name: fact for name, fact in facts.items() if fact not in (None, "")})
    return error


def with_prefix(prefix: str, error: _core.InputError) -> _core.InputError:
    """The error with something before its text, such as the file it was found in; its facts stay."""
    return _with_text(f"{prefix}: {error}", error)


def with_new_path(old: str, new: str, error: _core.InputError) -> _core.InputError:
    """The error for a reader who knows a part by another path, such as that of a file's table."""
    text = re.sub(rf"\b{old}\.(?=\w)", f"{new}.", str(error))
    moved = _with_text(text if text != str(error) else f"{new}: {error}", error)
    path = re.sub(rf"^{old}\b", new, error.path)
    vars(moved)["path"] = path if path.startswith(new) else ".".join(filter(None, [new, path]))
    return moved


def _with_text(text: str, error: _core.InputError) -> _core.InputError:
    made = _core.InputError(text)
    vars(made).update({name: getattr(error, name) for name in FACTS} | vars(error))
    return made


def _read(error: _core.InputError, name: str) -> str:
    """A fact from the text of an error of the core; "" where it says nothing of the kind."""
    text = str(error)
    if name in ("path", "value"):
        found = _PATH.match(text)
        return (found[name] or "") if found else ""
    found = (_ALLOWED if name == "allowed" else _SUGGESTION).search(text)
    return (found[name] or found.groupdict().get("now") or "") if found else ""


def _fact(name: str, meaning: str) -> property:
    def get(self: _core.InputError) -> Any:
        return vars(self)[name] if name in vars(self) else _read(self, name)

    def put(self: _core.InputError, value: Any) -> None:  # unpickling sets attributes one by one
        vars(self)[name] = value

    return property(get, put, doc=meaning)


for _name, _meaning in zip(
    FACTS,
    (
        "The input that is wrong, such as ``AgmBattery.capacity_ah`` or ``trials``.",
        "Its value; as text, where the core found the error.",
        "What is allowed.",
        "What was probably meant.",
    ),
    strict=True,
):
    setattr(_core.InputError, _name, _fact(_name, _meaning))
