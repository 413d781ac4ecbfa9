"""Writes the part of TOML that scenario files need; the standard library only reads TOML."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from ..model import dict_format


def dumps(data: Mapping[str, Any]) -> str:
    """TOML text of nested dicts of numbers, texts and lists; spreads go inline, False is written as "none"."""
    return "\n".join(_lines("", data)).strip() + "\n"


def _lines(where: str, table: Mapping[str, Any]) -> Iterator[str]:
    """A table's own values, then its inner tables."""
    inner = {key: value for key, value in table.items() if _is_table(value) or _is_list_of_tables(value)}
    if where and (len(inner) < len(table) or not table):
        yield f"\n[{where}]"
    for key, value in table.items():
        if key not in inner:
            is_no = value is False and dict_format.is_flag_field(key)
            yield f"{_key(key)} = {'false' if is_no else _value(value)}"
    for key, value in inner.items():
        inside = f"{where}.{_key(key)}" if where else _key(key)
        if isinstance(value, Mapping):
            yield from _lines(inside, value)
            continue
        for member in value:
            yield f"\n[[{inside}]]"
            for name, one in member.items():
                yield f"{_key(name)} = {_value(one)}"


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping) and not _is_spread(value)


def _is_list_of_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(map(_is_table, value))


def _is_spread(value: Mapping[str, Any]) -> bool:
    return any(isinstance(value.get(shape), list) for shape in dict_format.SPREAD_ARGUMENTS)


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _value(key)


def _value(value: Any) -> str:
    if value is False:
        return '"none"'
    if value is True:
        return "true"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")  # TOML forbids a bare DEL
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + " }"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_value(v) for v in value) + "]"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return repr(value)
