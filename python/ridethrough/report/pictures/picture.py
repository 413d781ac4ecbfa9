"""A finished picture: shown by notebooks, saved without a display, told in words to those who don't see it."""

from __future__ import annotations

import base64
import io
import re
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ...engine.validation import warn_caller
from ...files.whole_file import target_path
from ...model.errors import bad_input, unknown_name
from ..layout import printable
from .drawing import in_style, missing_signs
from .drawing import require_matplotlib as require_matplotlib
from .style import DPI, SHARPNESS, SIZES, Size

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

FORMATS = (".png", ".svg", ".pdf")


class Picture:
    """A drawn picture.

    Attributes
    ----------
    figure : matplotlib.figure.Figure
        The drawing, for changes of your own.
    alt : str
        What it shows, in words: the text alternative of pages and files.
    """

    def __init__(self, figure: Figure, title: str, alt: str) -> None:
        self.figure, self.title, self.alt = figure, title, alt
        self._told: set[str] = set()  # signs that are known to be missing

    @property
    def axes(self) -> list[Axes]:
        """The axes of the drawing, from top to bottom."""
        return self.figure.axes

    def save(self, path: str | Path) -> Path:
        """Write the picture as .png, .svg or .pdf; no display is needed."""
        path = picture_path(path)
        kind = path.suffix.lower()
        if kind == ".svg":
            data = self.svg().encode("utf-8")
        elif kind == ".png":
            data = self._bytes("png", {"Title": self.title, "Description": self.alt}, dpi=SHARPNESS * DPI)
        else:
            data = self._bytes("pdf", {"Title": self.title, "Subject": self.alt, "CreationDate": None})
        try:
            path.write_bytes(data)
        except OSError as error:
            raise bad_input(str(path), reason=str(error.strerror or error)) from None
        return path

    def svg(self, name: str = "") -> str:
        """The picture as SVG text with its text alternative; a name keeps its parts apart from others on one page."""
        plain = {"Date": None, "Creator": None, "Format": None, "Type": None}
        text = self._bytes("svg", plain).decode("utf-8")
        text = text[text.index("<svg") :]
        text = re.sub(r"<!--.*?-->\s*", "", text, flags=re.S)
        head, _, body = text.partition(">")
        said = escape(printable(self.alt), quote=True)
        head += f' role="img" aria-label="{said}"><title>{escape(self.title)}</title><desc>{said}</desc'
        text = f"{head}>{body}"
        if name:
            text = re.sub(r'((?<!\w)id="|xlink:href="#|url\(#)', rf"\g<1>{name}-", text)
        return text

    def png(self) -> bytes:
        """The picture as the bytes of a PNG file, for screens."""
        return self._bytes("png", {"Title": self.title, "Description": self.alt}, dpi=1.25 * DPI)

    def html(self) -> str:
        """The picture as an element of a page."""
        data = base64.b64encode(self.png()).decode()
        return f'<img alt="{escape(printable(self.alt), quote=True)}" src="data:image/png;base64,{data}">'

    def _bytes(self, kind: str, metadata: dict[str, Any], dpi: float = DPI) -> bytes:
        out = io.BytesIO()
        with in_style():
            self.figure.savefig(out, format=kind, dpi=dpi, metadata=metadata)
            missing = [sign for sign in missing_signs(self.figure) if sign not in self._told]
        if missing:
            self._told.update(missing)
            warn_caller(f"the picture's font has no sign for {' '.join(missing)}: empty boxes stand in their place")
        return out.getvalue()

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        """What notebooks show: the picture, or its text where pictures are not shown."""
        return {"image/png": base64.b64encode(self.png()).decode(), "text/plain": self.alt}

    def __repr__(self) -> str:
        return f"<Picture: {self.title}>"


def picture_path(path: object) -> Path:
    """The path of a picture's file; an error before anything is drawn where it is none."""
    return target_path(path, FORMATS, "charge.png")


def size_of(name: object) -> Size:
    """The size of this name."""
    if not isinstance(name, str) or name not in SIZES:
        raise unknown_name("size", str(name), list(SIZES), "there is no such size")
    return SIZES[name]
