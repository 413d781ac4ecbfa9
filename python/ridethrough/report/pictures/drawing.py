"""How pictures are drawn and saved: in their own style whatever the user's is, by one thread at a time."""

from __future__ import annotations

import threading
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

from ...model.errors import missing_package
from .style import RC

if TYPE_CHECKING:
    from matplotlib.figure import Figure

P = ParamSpec("P")
R = TypeVar("R")
_LOCK = threading.RLock()  # Matplotlib's settings are those of the whole process
# Not of the drawing, but of the program that draws.
_PROGRAM = ("backend", "interactive", "toolbar", "timezone", "date.epoch", "docstring", "figure.max_", "tk.", "webagg")


def require_matplotlib() -> None:
    """A clear error where pictures cannot be drawn."""
    try:
        import matplotlib  # noqa: F401
    except ImportError:
        raise missing_package("pictures need matplotlib", "pip install '.[plot]' in a checkout") from None


@contextmanager
def in_style() -> Iterator[None]:
    """Matplotlib's defaults and the pictures' style over them; the user's settings are there again afterwards."""
    import matplotlib

    defaults: Any = matplotlib.rcParamsDefault
    settings = {key: value for key, value in dict(defaults).items() if not key.startswith(_PROGRAM)}
    with _LOCK, warnings.catch_warnings(), matplotlib.rc_context(settings | RC):
        warnings.filterwarnings("ignore", r"Glyph \d+", UserWarning)  # missing_signs tells of them
        yield


def drawn(draw: Callable[P, R]) -> Callable[P, R]:
    """A function that draws, in the pictures' style."""

    @wraps(draw)
    def styled(*given: P.args, **named: P.kwargs) -> R:
        require_matplotlib()
        with in_style():
            return draw(*given, **named)

    return styled


def missing_signs(figure: Figure) -> list[str]:
    """Signs of a drawing's texts that its font does not have, and which are drawn as empty boxes."""
    from matplotlib.font_manager import FontProperties, findfont, get_font
    from matplotlib.text import Text

    known = get_font(findfont(FontProperties(family=RC["font.family"]))).get_charmap()
    texts: list[Any] = figure.findobj(Text)
    signs = dict.fromkeys(sign for text in texts for sign in text.get_text() if not sign.isspace())
    return [sign for sign in signs if ord(sign) not in known]
