"""A van, a trip or a part of them as a table for notebooks: what is not at its default."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

import ridethrough._core as _core

from .declaration_text import fields_of

_MOST_CHARACTERS = 60


def configuration_html(configuration: _core.Configuration) -> str:
    """Path, value, unit and meaning of each value that is not at its default."""
    name = configuration.schema.name
    cells = ["".join(f"<td>{escape(cell)}</td>" for cell in row) for row in _rows(configuration, "")]
    body = "".join(f"<tr>{row}</tr>" for row in cells)
    head = "".join(f"<th>{cell}</th>" for cell in ("", "value", "unit", "what it is"))
    note = f"<p><small>All else has its default: explain('{name}') lists it.</small></p>"
    caption = f"<caption>{name}</caption>"
    return f"<div><table>{caption}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{note}</div>"


def _rows(part: _core.Configuration, prefix: str) -> Iterator[tuple[str, str, str, str]]:
    for field in fields_of(part.schema):
        if field.only_of:
            continue  # the list says it
        value = getattr(part, field.name)
        if value == field.default_value:
            continue
        if isinstance(value, _core.Configuration):
            yield from _part_rows(value, prefix + field.name, field.doc)
        elif field.type == "parts":
            for path, member in zip(part.paths_of(field.name), value, strict=True):
                yield from _part_rows(member, prefix + path, member.schema.doc)
            if not value:
                yield prefix + field.name, "none", "", _short(field.doc)
        else:
            yield prefix + field.name, _short(repr(value)), field.unit, _short(field.doc)


def _part_rows(part: _core.Configuration, path: str, doc: str) -> Iterator[tuple[str, str, str, str]]:
    yield path, part.schema.name, "", _short(doc)
    yield from _rows(part, f"{path}.")


def _short(text: str) -> str:
    return text if len(text) <= _MOST_CHARACTERS else f"{text[: _MOST_CHARACTERS - 4].rsplit(' ', 1)[0]} ..."
