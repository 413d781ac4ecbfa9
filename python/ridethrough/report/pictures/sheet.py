"""A sheet that is filled from top to bottom: title, facts, key, drawings, notes.

Every text is measured before it is placed, and broken into lines that fit, so that none runs into another or off
the sheet. Places are in inches from the sheet's top left corner; its height is what it takes in the end.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from ..layout import printable
from .picture import Picture, require_matplotlib, size_of
from .style import DPI, INK, LEADING, RC, RULE, SOFT, Size

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

_MARGIN = 0.12  # at all edges
_GAP = 0.09  # between blocks
_UNITS = ("%", "degC", "V", "W", "Ah", "h", "kg")
_SWATCH = 0.26  # width of a sample in a key


@dataclass(frozen=True)
class Sample:
    """An entry of a key: a sample of the line or the area, and what it means."""

    text: str
    line: dict[str, Any] | None = None
    area: dict[str, Any] | None = None


@cache
def _measure() -> Any:
    from matplotlib.backends import backend_agg

    made: Any = backend_agg.RendererAgg
    return made(10, 10, DPI)


@cache
def text_width(text: str, points: float, weight: str = "normal") -> float:
    """Width of a text [in]."""
    from matplotlib.font_manager import FontProperties

    font = FontProperties(family=RC["font.family"], size=points, weight=weight)
    width: float = _measure().get_text_width_height_descent(text, font, ismath=False)[0]
    return width / DPI


def broken(text: str, points: float, room: float, weight: str = "normal") -> list[str]:
    """A text in lines that fit; a word that is longer than a line is cut."""
    lines: list[str] = []
    for word in _words(printable(text)):
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, points, weight) <= room:
            lines[-1] = joined
            continue
        while text_width(word, points, weight) > room and len(word) > 1:
            fits = next(
                n for n in range(len(word) - 1, 0, -1) if n == 1 or text_width(word[:n], points, weight) <= room
            )
            lines.append(word[:fits])
            word = word[fits:]
        lines.append(word)
    return lines


def _words(text: str) -> list[str]:
    """Words, of which a number keeps its unit."""
    words: list[str] = []
    for word in text.split():
        if words and word.rstrip(",;.:)") in _UNITS:
            words[-1] += f" {word}"
        else:
            words.append(word)
    return words


class Sheet:
    """A picture in the making, by a function that is `drawn`."""

    def __init__(self, size: str, title: str, facts: Sequence[str], name: str = "") -> None:
        self.size: Size = size_of(size)
        require_matplotlib()
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        self.figure = Figure(figsize=(self.size.width_in, 10), dpi=DPI)
        FigureCanvasAgg(self.figure)
        self.title, self._placed = title, list[Callable[[float], None]]()
        self.top = _MARGIN
        if name.strip():
            self.text(name, weight="bold", points=self.size.text_pt)
        self.text(title, weight="bold", points=self.size.title_pt)
        self.top += 0.03
        for fact in facts:
            self.text(fact, points=self.size.note_pt, colour=SOFT)
        self.top += _GAP

    @property
    def room(self) -> float:
        """Width between the margins."""
        return self.size.width_in - 2 * _MARGIN

    def text(
        self, text: str, *, points: float = 0.0, weight: str = "normal", colour: str = INK, left: float = 0.0
    ) -> None:
        """A paragraph over the sheet's width."""
        points = points or self.size.note_pt
        lines = broken(text, points, self.room - left, weight)
        for line in lines:
            self.word(line, _MARGIN + left, self.top, points=points, weight=weight, colour=colour)
            self.top += LEADING * points / 72

    def word(self, text: str, x: float, top: float, *, points: float, **style: Any) -> None:
        """A text in one line at a place."""
        style = {"weight": "normal", "colour": INK, "ha": "left"} | style
        found = self.figure.text(
            x / self.size.width_in,
            0,
            text,
            fontsize=points,
            fontfamily=RC["font.family"],
            weight=style["weight"],
            color=style["colour"],
            ha=style["ha"],
            va="baseline",
            parse_math=False,
        )
        baseline = top + 1.0 * points / 72
        self._placed.append(lambda height: found.set_y(1 - baseline / height))

    def key(self, samples: Sequence[Sample]) -> None:
        """What lines and areas mean, above the drawing and never on it."""
        points, left = self.size.note_pt, 0.0
        line_in = LEADING * points / 72
        for sample in samples:
            drawn = _SWATCH + 0.06 if sample.line or sample.area else 0.0
            room = self.room - drawn
            lines = broken(sample.text, points, room)
            width = drawn + max(text_width(line, points) for line in lines)
            if left and left + width > self.room:
                self.top, left = self.top + line_in, 0.0
            self._swatch(sample, _MARGIN + left, self.top + 0.52 * line_in)
            for i, line in enumerate(lines):
                x = _MARGIN + left + drawn
                self.word(line, x, self.top + i * line_in, points=points, colour=SOFT)
            left += width + 0.18
            if len(lines) > 1:
                self.top, left = self.top + len(lines) * line_in, 0.0
        self.top += (line_in if left else 0.0) + _GAP

    def _swatch(self, sample: Sample, x: float, middle: float) -> None:
        from matplotlib.lines import Line2D
        from matplotlib.patches import Rectangle

        width, high = self.size.width_in, 0.1
        if sample.line is not None:
            ends = [x / width, (x + _SWATCH / 2) / width, (x + _SWATCH) / width]
            line = Line2D(ends, [0, 0, 0], markevery=[1], **sample.line)  # a mark in the middle, where there is one
            self._add(line)
            self._placed.append(lambda height: line.set_ydata([1 - middle / height] * 3))
        if sample.area is not None:
            box = Rectangle((x / width, 0), _SWATCH / width, 0.01, **sample.area)
            self._add(box)

            def place(height: float) -> None:
                box.set_y(1 - (middle + high / 2) / height)
                box.set_height(high / height)

            self._placed.append(place)

    def _add(self, artist: Artist) -> None:
        artist.set_transform(self.figure.transFigure)
        self.figure.add_artist(artist)

    def axes(
        self,
        height: float,
        *,
        left: float,
        right: float = 0.0,
        below: float = 0.0,
        at: tuple[float, float] | None = None,
        share: Axes | None = None,
        scaled: bool = True,
    ) -> Axes:
        """Axes of a height, with room left beside and below them for what stands there.

        `at` is the sheet's part that they take, from and to of its width; the sheet then stays where it is.
        """
        height = height * (self.size.height if scaled else 1.0)
        from_, to = (0.0, self.room) if at is None else (at[0] * self.room, at[1] * self.room)
        x, wide, top = _MARGIN + from_ + left, to - from_ - left - right, self.top
        ax = self.figure.add_axes((x / self.size.width_in, 0, wide / self.size.width_in, 0.1), sharex=share)
        ax.tick_params(labelsize=self.size.note_pt, length=3, width=0.6)
        ax.set_gid(f"axes-{len(self.figure.axes)}")

        def place(sheet: float) -> None:
            ax.set_position(
                (x / self.size.width_in, 1 - (top + height) / sheet, wide / self.size.width_in, height / sheet)
            )

        self._placed.append(place)
        self.widths = {**getattr(self, "widths", {}), ax: wide}
        if at is None:
            self.top += height + below
        return ax

    def width(self, ax: Axes) -> float:
        """Width of axes of this sheet [in]."""
        wide: float = self.widths[ax]
        return wide

    def caption(self, text: str, left: float = 0.0) -> None:
        """What the axes below show, and in which unit."""
        self.text(text, points=self.size.note_pt, left=left)
        self.top += 0.05

    def skip(self, lines: float = 1.0) -> None:
        """Leave room."""
        self.top += lines * self.line_in

    @property
    def line_in(self) -> float:
        """Height of a line of notes [in]."""
        return LEADING * self.size.note_pt / 72

    def finish(self, alt: str) -> Picture:
        """The picture, as high as what stands on it."""
        height = self.top + _MARGIN
        self.figure.set_size_inches(self.size.width_in, height)
        for place in self._placed:
            place(height)
        return Picture(self.figure, self.title, alt)


def ruled(ax: Axes) -> None:
    """Hair lines across, by which heights are read."""
    ax.grid(axis="y", color=RULE, lw=0.6)
    ax.spines["left"].set_visible(False)
    ax.tick_params(axis="y", length=0)


def label_below(ax: Axes, text: str, x: float, drop_pt: float, points: float, **style: Any) -> None:
    """A text centred below a place of the axis, so many points under it."""
    ax.annotate(
        text,
        (x, 0),
        (0, -drop_pt),
        xycoords=("data", "axes fraction"),
        textcoords="offset points",
        ha="center",
        va="top",
        fontsize=points,
        color=SOFT,
        annotation_clip=False,
        **style,
    )
