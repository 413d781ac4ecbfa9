"""Run notebooks/checking_the_model.ipynb in full and keep it with its pictures in build/.

pip install '.[test,long]' --config-settings=cmake.define.RIDETHROUGH_TESTS=ON && python tests/long/checking_notebook.py
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient

ROOT = Path(__file__).parents[2]


def main() -> int:
    os.environ["RIDETHROUGH_FULL"] = "1"
    name = "checking_the_model.ipynb"
    notebook = nbformat.read(ROOT / "notebooks" / name, as_version=4)
    NotebookClient(notebook, timeout=3600, resources={"metadata": {"path": str(ROOT / "notebooks")}}).execute()
    (ROOT / "build").mkdir(exist_ok=True)
    nbformat.write(notebook, ROOT / "build" / name)
    for cell in notebook.cells:
        for output in cell.get("outputs", []):
            print(output.get("text", ""), end="")
    return 0


if __name__ == "__main__":
    sys.exit(main())
