"""Run notebooks and keep their outputs, which read on a code host: all, or those named.

.venv/bin/python tests/make_notebooks.py [first_trip.ipynb ...]
"""

from __future__ import annotations

import os
import sys
import time
import warnings
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent / "support"))
import notebook_runner  # noqa: E402


def main() -> int:
    os.environ.pop("RIDETHROUGH_FULL", None)
    warnings.simplefilter("ignore", UserWarning)
    chosen = sys.argv[1:] or notebook_runner.names()
    for name in chosen:
        if name not in notebook_runner.names():
            print(f"{name}: no such notebook; there are {', '.join(notebook_runner.names())}", file=sys.stderr)
            return 2
        start = time.process_time()
        notebook, _ = notebook_runner.run(name)
        notebook_runner.write(name, notebook)
        print(
            f"{name}: {time.process_time() - start:.0f} s of processor, {notebook_runner.pictures(notebook)} pictures"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
