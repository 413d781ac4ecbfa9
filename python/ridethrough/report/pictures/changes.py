"""What would help most: usual changes tried on the same trips, ranked."""

from __future__ import annotations

from ...engine.risk import Risk
from ...studies.suggestions import LITHIUM, Suggestion
from ..chance_text import why_lithium_is_worse
from ..sentences import NONE_SHOWN
from .drawing import drawn
from .facts import NO_MODEL_ERROR, chance_with_interval, facts, spoken
from .picture import Picture
from .rows import Row, draw_rows
from .sheet import Sheet
from .style import SOFT

_TITLE = "What would change the risk most"


@drawn
def draw_changes(risk: Risk, size: str, name: str) -> Picture:
    """Most risk taken off first; a sentence where nothing was tried."""
    found = risk.suggestions()
    sheet = Sheet(size, _TITLE, facts(risk), name)
    if found.base is None or not found.tried:
        why = found.reason or "no usual change fits this van and trip"
        none = f"There is nothing to draw: {why}."
        sheet.text(none, points=sheet.size.text_pt)
        return sheet.finish(spoken(risk, _TITLE, none))
    sheet.text(
        f"On the first {found.base.trials:,} of these trips, which without a change have "
        f"{chance_with_interval(found.base)}. {NO_MODEL_ERROR}"
    )
    sheet.skip(0.3)
    label = f"Change of the risk of a cut-out, points, with 95 % intervals; left of 0: less risk; open: {NONE_SHOWN}"
    draw_rows(sheet, [_row(one) for one in found.tried], xlabel=label, zero=True)
    for one in found.tried:
        if one.note and not one.harms:
            sheet.text(f"{one.name}: {one.note}.", colour=SOFT)
    worse = [f"{one.name}: {_why_worse(risk, one)}" for one in found.tried if one.harms and one.group == LITHIUM]
    for text in worse:
        sheet.text(text, colour=SOFT)
    first = found.tried[0]
    shown = f"First: {first.name}, {_note(first)}." if first.helps else f"No change is shown to help: {NONE_SHOWN}."
    return sheet.finish(spoken(risk, _TITLE, " ".join([shown, *worse])))


def _why_worse(risk: Risk, one: Suggestion) -> str:
    return why_lithium_is_worse(risk, one.risk).replace("trials", "trips")


def _row(one: Suggestion) -> Row:
    change = (100 * one.change.value, 100 * one.change.low, 100 * one.change.high)
    return Row(one.name, change, _note(one), filled=one.helps or one.harms)


def _note(one: Suggestion) -> str:
    gap = one.change
    ends = f"{100 * gap.low:+.1f} to {100 * gap.high:+.1f}"
    shown = f"{100 * gap.value:+.1f} points ({ends})" if one.helps or one.harms else f"{NONE_SHOWN} ({ends} points)"
    return f"{shown}, leaves {chance_with_interval(one.risk)}"
