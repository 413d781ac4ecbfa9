"""Text in lines of a width: headings, sentences, labelled sentences, and rows of a table."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

WIDE, NARROW = 96, 45  # columns: of a terminal with room to spare, of a phone
_KEPT_TOGETHER = "\u00a0"
_BEFORE_A_UNIT = re.compile(r" (?=%)|(?<=\d) (?=(?:l|degC|Ah|Wh|kWh|W|A|V|h|kg)\b)")


@dataclass(frozen=True)
class Rows:
    """Rows of two cells, which stand beside each other where there is room."""

    rows: Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Section:
    """A heading, which may be empty, with what stands under it: sentences, labelled ones, rows."""

    heading: str
    content: Sequence[str | tuple[str, str] | Rows]


def lay_out(sections: Iterable[Section], width: int) -> str:
    """The sections in lines of at most so many columns; sections with a heading are indented where there is room."""
    blocks = []
    for section in sections:
        indent = "  " if section.heading and width >= WIDE else ""
        lines = [section.heading] if section.heading else []
        for part in section.content:
            lines += _part(part, indent, width)
        blocks.append("\n".join(lines))
    return "\n".join(block for block in blocks if block)


def fill(text: str, width: int, first: str = "", later: str = "") -> list[str]:
    """A text in lines; a number stays with its unit, and what can't be printed is left out."""
    joined = _BEFORE_A_UNIT.sub(_KEPT_TOGETHER, " ".join(printable(text).split()))
    lines = textwrap.wrap(joined, width, initial_indent=first, subsequent_indent=later, break_on_hyphens=False)
    return [line.replace(_KEPT_TOGETHER, " ") for line in lines]


def printable(text: str) -> str:
    """The text without what can't be printed, such as marks that turn it around."""
    return "".join(c if c.isprintable() else " " for c in text)


def fit(text: str, width: int) -> str:
    """Lines as they are where they fit, such as those of a table, the others broken."""
    return "\n".join(
        part for line in text.split("\n") for part in ([line] if len(line) <= width else fill(line, width))
    )


def _part(part: str | tuple[str, str] | Rows, indent: str, width: int) -> list[str]:
    if isinstance(part, str):
        return fill(part, width, indent, indent)
    if isinstance(part, Rows):
        return _rows(part.rows, indent, width)
    label, text = part
    return fill(text, width, f"{indent}{label:<4} ", f"{indent}     ")


def _rows(rows: Sequence[tuple[str, str]], indent: str, width: int) -> list[str]:
    cells = max((len(name) for name, _ in rows), default=0)
    others = max((len(text) for _, text in rows), default=0)
    if len(indent) + cells + 2 + others <= width:
        return [f"{indent}{name:<{cells}}  {text}" for name, text in rows]
    lines: list[str] = []
    for name, text in rows:
        lines += [*fill(name, width, indent, indent), *fill(text, width, indent + "  ", indent + "  ")]
    return lines
