"""Where the energy of a day came from and went: a middling day beside a hard one, as a staircase."""

from __future__ import annotations

from collections.abc import Sequence

from ...engine.energy_balance import SAMPLE, DayBalance
from ...engine.risk import Risk
from .drawing import drawn
from .facts import facts, spoken
from .picture import Picture
from .sheet import Sample, Sheet, text_width
from .style import BLUE, BLUE_MIDDLE, HATCH, INK, RULE, RUST, RUST_LIGHT, SOFT, Style

_TITLE = "Energy of a day"
_IN: Style = {"facecolor": BLUE_MIDDLE, "edgecolor": BLUE, "linewidth": 0.8}
_OUT: Style = {"facecolor": RUST_LIGHT, "edgecolor": RUST, "linewidth": 0.8}
_REST: Style = {"facecolor": INK, "edgecolor": INK, "linewidth": 0.8}
_SPARE: Style = {"facecolor": "none", "edgecolor": SOFT, "linewidth": 0.8, "hatch": HATCH}
_ROW, LEAST_WH = 0.235, 0.5


def steps(day: DayBalance, days: Sequence[DayBalance]) -> list[tuple[str, float, float, str]]:
    """Name, from, to [Wh] and kind of each stair, from the top; what is 0 on all days is left out."""
    found, level = [], 0.0
    for name, key in (("sun", "solar_wh"), ("driving", "dc_dc_wh"), ("plug, generator", "mains_wh")):
        if name == "sun" or max(getattr(one, key) for one in days) >= LEAST_WH:
            found.append((name, level, level + getattr(day, key), "in"))
            level += getattr(day, key)
    for name, wh in (("fridge", day.fridge_wh), ("other loads", day.other_loads_wh), ("cables", day.cables_wh)):
        found.append((name, level, level - wh, "out"))
        level -= wh
    found.append(("into the battery" if level >= 0 else "from the battery", level, 0.0, "rest"))  # brings it to 0
    if max(one.curtailed_wh for one in days) >= LEAST_WH:
        found.append(("sun curtailed", day.solar_wh, day.solar_wh + day.curtailed_wh, "spare"))
    return found


@drawn
def draw_ledger(risk: Risk, size: str, name: str, *, short: bool = False) -> Picture:
    """Both days on one scale."""
    days = risk.day_balances
    sheet = Sheet(size, _TITLE, facts(risk, short=short), name)
    sheet.key(
        [
            Sample("comes in", area=_IN),
            Sample("goes out", area=_OUT),
            Sample("what the battery gives (+) or takes (−)", area=_REST),
            Sample("sun curtailed: it found no room in the battery", area=_SPARE),
        ]
    )
    ends = [end for day in days for _, a, b, _ in steps(day, days) for end in (a, b)]
    low, high = min(0.0, *ends), max(ends)
    side_by_side = sheet.size.width_in > 6
    top, bottoms = sheet.top, []
    for i, day in enumerate(days):
        sheet.top = top if side_by_side else sheet.top
        _stairs(sheet, steps(day, days), day, (low, high), (0.52 * i, 0.48 + 0.52 * i) if side_by_side else (0.0, 1.0))
        bottoms.append(sheet.top)
    sheet.top = max(bottoms)
    looked = min(SAMPLE, risk.trials)
    note = (
        f"Means, Wh a day of 24 h from the start, of the first {looked:,} trips. Middling days are the middle tenth, "
        "hard days the tenth that leaves most to the battery to give."
    )
    if days[0].left_out:
        note += f" Days on which the fridge was off for a time ({max(100 * days[0].left_out, 1):.0f} %) are left out."
    sheet.text(note, colour=SOFT)
    shown = " ".join(
        f"{_head(day)}: {', '.join(f'{n} {_signed(b - a, k)} Wh' for n, a, b, k in steps(day, days))}." for day in days
    )
    return sheet.finish(spoken(risk, _TITLE, shown))


def _head(day: DayBalance) -> str:
    return f"{day.title[:1].upper()}{day.title[1:]}"


def _signed(wh: float, kind: str) -> str:
    number = f"{abs(wh):,.0f}"
    if kind == "spare" or number == "0":
        return number
    return f"{'+' if wh > 0 else '−'}{number}"


def _stairs(
    sheet: Sheet,
    rows: list[tuple[str, float, float, str]],
    day: DayBalance,
    limits: tuple[float, float],
    at: tuple[float, float],
) -> None:
    points = sheet.size.note_pt
    x = 0.12 + at[0] * sheet.room
    sheet.word(f"{_head(day)}: {day.days:,} days", x, sheet.top, points=points, weight="bold")
    sheet.top += sheet.line_in
    sheet.word(f"charge {100 * day.soc_before:.0f} to {100 * day.soc_after:.0f} %", x, sheet.top, points=points)
    sheet.top += sheet.line_in + 0.03
    names = [row[0] for row in rows]
    figures = [_signed(b - a, kind) for _, a, b, kind in rows]
    left = max(text_width(text, points) for text in ("plug, generator", "from the battery", *names)) + 0.1
    right = max(text_width(text, points) for text in ("+1,000", *figures)) + 0.1
    row_in = _ROW * max(1.0, points / 8)
    ax = sheet.axes(row_in * len(rows), left=left, right=right, at=at, scaled=False)
    span = (limits[1] - limits[0]) or 1.0
    ax.set(xlim=(limits[0] - 0.02 * span, limits[1] + 0.02 * span), ylim=(len(rows), 0), xticks=[])
    for i, (_, begin, end, kind) in enumerate(rows):
        style = {"in": _IN, "out": _OUT, "rest": _REST, "spare": _SPARE}[kind]
        ax.barh(i + 0.5, end - begin, left=begin, height=0.62, **style)
        if i + 1 < len(rows) and kind in ("in", "out"):
            ax.plot([end, end], [i + 0.81, i + 1.19], color=SOFT, lw=0.7)
        place = ax.get_yaxis_transform()
        ax.text(
            1 + right / sheet.width(ax), i + 0.5, figures[i], transform=place, ha="right", va="center", fontsize=points
        )
    ax.axvline(0, color=SOFT, lw=0.8, zorder=0)
    ax.set_yticks([i + 0.5 for i in range(len(rows))], names)
    ax.tick_params(left=False, labelcolor=INK)
    ax.spines[:].set_visible(False)
    for i in range(1, len(rows)):
        ax.axhline(i, color=RULE, lw=0.4, zorder=0)
    sheet.top += row_in * len(rows) + 0.14
