"""The one style of all pictures: type, colours, marks and sizes. Whatever a picture looks like is decided here.

Nothing is told by colour alone: lines differ in dashes and marks, areas in lightness or hatching. The hues are a dark
blue and a rust, which differ for people who see no red or no green, and in lightness on grey paper.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

INK, SOFT, RULE = "#1c1c1c", "#4a4a4a", "#d4d4d4"  # text, lesser text, hair lines
NIGHT = "#ececec"
BLUE, BLUE_MIDDLE, BLUE_LIGHT = "#174a7c", "#7d9fc2", "#c3d3e4"
RUST, RUST_LIGHT = "#a8430f", "#efd0bd"
WHITE = "#ffffff"
# Lines of several options: colour, dashes and mark.
LINES = (
    (BLUE, "-", "o"),
    (RUST, "--", "s"),
    (INK, ":", "^"),
    ("#6f6f6f", "-.", "D"),
    ("#5b8a9a", (0, (6, 2, 1, 2, 1, 2)), "v"),
    ("#c98f2b", (0, (1, 1)), "P"),
)
Style = dict[str, Any]  # how an artist is drawn
HATCH = "////"

DPI = 100  # pixels an inch of all sizes, those of a browser at its usual zoom within 4 %
SHARPNESS = 2  # pixels of a saved picture for each of them
LEADING = 1.28  # line spacing

RC: Any = {
    "font.family": ["DejaVu Sans"],  # comes with Matplotlib, so that all machines measure texts alike
    "text.parse_math": False,  # a name with two dollar signs is a name
    "text.color": INK,
    "axes.edgecolor": SOFT,
    "axes.labelcolor": INK,
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.axisbelow": True,
    "axes.unicode_minus": True,
    "xtick.color": SOFT,
    "ytick.color": SOFT,
    "grid.color": RULE,
    "grid.linewidth": 0.6,
    "hatch.linewidth": 0.7,
    "figure.facecolor": WHITE,
    "savefig.facecolor": WHITE,
    "svg.fonttype": "path",  # texts stand where they were measured, whatever fonts a browser has
    "svg.hashsalt": "ridethrough",  # the same picture, the same bytes
    "pdf.fonttype": 42,
}


@dataclass(frozen=True)
class Size:
    """A place where pictures are read: how wide it is, how large type and drawings are there."""

    width_in: float
    text_pt: float
    height: float  # of a drawing, to its usual height
    tall_in: float  # of a list of rows, at most

    @property
    def note_pt(self) -> float:
        """Size of ticks and notes."""
        return 0.92 * self.text_pt

    @property
    def title_pt(self) -> float:
        """Size of a title."""
        return 1.2 * self.text_pt


SIZES = {
    "phone": Size(3.6, 8.6, 0.85, 12.0),  # 360 pixels
    "screen": Size(8.0, 9.0, 1.0, 9.0),
    "desk": Size(12.8, 11.0, 1.35, 11.0),
    "a4": Size(6.69, 8.5, 0.95, 8.8),  # 170 mm: the page less margins of 20 mm
}
MOST_A4_IN = 10.1  # 257 mm, the page's height less its margins
