"""Where the texts of a picture stand, by the renderer's boxes."""

from __future__ import annotations

from itertools import combinations
from typing import Any

_TOUCH = 0.5  # pixels that boxes of neighbouring lines may share: they hold room for letters that reach low or high


def texts_of(figure: Any) -> list[tuple[str, Any]]:
    """Each text that is seen, with its box."""
    found = [*figure.texts]
    for ax in figure.axes:
        assert ax.get_legend() is None, "a legend would lie on the data"
        found += [*ax.texts, ax.title, ax._left_title, ax._right_title, ax.xaxis.label, ax.yaxis.label]
        for axis, (low, high) in ((ax.xaxis, sorted(ax.get_xlim())), (ax.yaxis, sorted(ax.get_ylim()))):
            room = 1e-6 * (high - low)
            for ticks in (axis.get_major_ticks(), axis.get_minor_ticks()):
                found += [
                    t.label1 for t in ticks if low - room <= t.get_loc() <= high + room and t.label1.get_visible()
                ]
    return [(t.get_text(), t.get_window_extent()) for t in found if t.get_text().strip() and t.get_visible()]


def faults_of(figure: Any) -> list[str]:
    """Texts that overlap, that leave the page, and texts of the sheet that lie on a drawing."""
    figure.draw_without_rendering()
    page, texts = figure.bbox, texts_of(figure)
    said = [
        f"{text!r} leaves the page"
        for text, box in texts
        if box.x0 < page.x0 or box.x1 > page.x1 or box.y0 < page.y0 or box.y1 > page.y1
    ]
    for (a, box), (b, other) in combinations(texts, 2):
        if _overlap(box, other):
            said.append(f"{a!r} overlaps {b!r}")
    for own in figure.texts:
        for ax in figure.axes:
            if _overlap(own.get_window_extent(), ax.get_window_extent()):
                said.append(f"{own.get_text()!r} lies on {ax.get_gid()}")
    for first, second in combinations(figure.axes, 2):
        if _overlap(first.get_window_extent(), second.get_window_extent()):
            said.append(f"{first.get_gid()} and {second.get_gid()} overlap")
    return said


def _overlap(a: Any, b: Any) -> bool:
    return bool(min(a.x1, b.x1) - max(a.x0, b.x0) > _TOUCH and min(a.y1, b.y1) - max(a.y0, b.y0) > 2 * _TOUCH)
