"""What the README shows of the demo, written by running it.

    python tests/make_readme_example.py

puts what `ridethrough run` prints into the README's block of text, and draws the picture beside it.
"""

from __future__ import annotations

import contextlib
import io
import re
from pathlib import Path

from ridethrough.console import main
from ridethrough.engine.simulation import simulate
from ridethrough.files.scenario import demo_path, load_scenario

README = Path(__file__).parents[1] / "README.md"
PICTURE = README.parent / "python" / "docs" / "charge.svg"


def demo_verdict() -> str:
    """What the command prints."""
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        assert main(["run"]) == 0
    return printed.getvalue()


def demo_picture() -> str:
    """The charge over the demo's trip as SVG."""
    demo = load_scenario(demo_path())
    risk = simulate(demo.van, demo.trip, trials=demo.trials, seed=demo.seed, progress=False)
    return risk.plot.charge(title=demo.title).svg()


def write() -> None:
    """Both anew."""
    page = README.read_text(encoding="utf-8")
    shown = re.search(r"(?ms)^```text\n(.*?)^```$", page)
    assert shown
    README.write_text(page[: shown.start(1)] + demo_verdict() + page[shown.end(1) :], encoding="utf-8")
    PICTURE.write_text(demo_picture(), encoding="utf-8")
    print(README, PICTURE, sep="\n")


if __name__ == "__main__":
    write()
