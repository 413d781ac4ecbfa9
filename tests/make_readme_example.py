"""What the README's first example prints, written by running it.

    python tests/make_readme_example.py

puts it into the block of text after the example.
"""

from __future__ import annotations

import contextlib
import io
import re
from pathlib import Path
from typing import Any

README = Path(__file__).parents[1] / "README.md"


def main() -> None:
    """Write the block anew."""
    page = README.read_text(encoding="utf-8")
    example = re.search(r"(?ms)^```python\n(.*?)^```$", page)
    shown = re.search(r"(?ms)^```text\n(.*?)^```$", page)
    assert example and shown
    printed = io.StringIO()
    names: dict[str, Any] = {}
    with contextlib.redirect_stdout(printed):
        exec(example[1], names)
    README.write_text(page[: shown.start(1)] + printed.getvalue() + page[shown.end(1) :], encoding="utf-8")
    print(README)


if __name__ == "__main__":
    main()
