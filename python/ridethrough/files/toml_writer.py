"""Writes the part of TOML that scenario files need; the standard library only reads TOML."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from ..model import dict_format

WIDTH = 120  # of a line with its comment


def dumps(data: Mapping[str, Any], comments: Mapping[tuple[str, ...], str] | None = None) -> str:
    """TOML text of nested dicts of numbers, texts and lists.

    Spreads and what was measured go inline, False is written as "none".
    ``comments`` go by the keys that lead to a value or a table; those of a list of tables go with each.
    """
    return "\n".join(_lines((), data, comments or {})).strip() + "\n"


def _lines(
    at: tuple[str, ...], table: Mapping[str, Any], comments: Mapping[tuple[str, ...], str], head: str = "[{}]"
) -> Iterator[str]:
    """A table's own values, then its inner tables and lists of tables."""
    inner = {key: value for key, value in table.items() if _is_table(value) or _is_list_of_tables(value)}
    if at and (len(inner) < len(table) or not table or head != "[{}]"):
        yield ""
        yield from _with_comment(head.format(".".join(map(_key, at))), comments.get(at, ""))
    for key, value in table.items():
        if key not in inner:
            is_no = value is False and dict_format.is_flag_field(key)
            line = f"{_key(key)} = {'false' if is_no else value_text(value)}"
            yield from _with_comment(line, comments.get((*at, key), ""))
    for key, value in inner.items():
        if isinstance(value, Mapping):
            yield from _lines((*at, key), value, comments)
        else:
            for member in value:
                yield from _lines((*at, key), member, comments, "[[{}]]")


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping) and not _goes_inline(value)


def _is_list_of_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(_is_table(member) for member in value)


def _with_comment(line: str, comment: str) -> Iterator[str]:
    """Behind the line, or before it where that would be too long."""
    if comment and len(line) + len(comment) + 4 > WIDTH:
        yield f"# {comment}"
    yield line + (f"  # {comment}" if comment and len(line) + len(comment) + 4 <= WIDTH else "")


def _goes_inline(value: Mapping[str, Any]) -> bool:
    """Whether a mapping is a spread or what was measured, and no part or member of that name."""
    return isinstance(value.get(dict_format.MEASURED_ON), str) or any(
        isinstance(value.get(shape), list) for shape in dict_format.SPREAD_ARGUMENTS
    )


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else value_text(key)


def value_text(value: Any) -> str:
    """One value as TOML writes it, on one line; False says none."""
    if value is False:
        return '"none"'
    if value is True:
        return "true"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")  # TOML forbids a bare DEL
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(k)} = {value_text(v)}" for k, v in value.items()) + " }"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(value_text(v) for v in value) + "]"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return repr(value)
