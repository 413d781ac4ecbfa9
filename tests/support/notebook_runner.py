"""Runs a notebook's cells in this process and keeps what each shows, as a notebook program would.

No kernel and no server: a minute's work for all notebooks, on any machine that has what they import.
"""

from __future__ import annotations

import ast
import base64
import contextlib
import io
import json
import os
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"
_HIDDEN = re.compile(r'src="data:image/png;base64,[^"]*"|(?<=at )0x[0-9a-f]+')


def names() -> list[str]:
    """Of all notebooks."""
    return sorted(path.name for path in NOTEBOOKS.glob("*.ipynb"))


def read(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((NOTEBOOKS / name).read_text(encoding="utf-8"))
    return found


def write(name: str, notebook: dict[str, Any]) -> None:
    (NOTEBOOKS / name).write_text(json.dumps(notebook, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


def run(name: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """The notebook with fresh outputs, and the names that its cells have made."""
    import matplotlib

    matplotlib.use("Agg")
    notebook, made, count = read(name), dict[str, Any](), 0
    with _there():
        for cell in notebook["cells"]:
            if cell["cell_type"] != "code":
                continue
            count += 1
            cell["outputs"] = _outputs("".join(cell["source"]), made, count, name)
            cell["execution_count"] = count
    return notebook, made


@contextlib.contextmanager
def _there() -> Iterator[None]:
    """In the notebooks' folder, as notebook programs run them; what they import from is forgotten again."""
    before, path = Path.cwd(), [*sys.path]
    os.chdir(NOTEBOOKS)
    try:
        yield
    finally:
        os.chdir(before)
        sys.path[:] = path


def _outputs(source: str, made: dict[str, Any], count: int, name: str) -> list[dict[str, Any]]:
    outputs: list[dict[str, Any]] = []
    printed = io.StringIO()

    def flush() -> None:
        if text := printed.getvalue():
            outputs.append({"name": "stdout", "output_type": "stream", "text": text.splitlines(keepends=True)})
            printed.seek(0)
            printed.truncate()

    def display(*shown: Any) -> None:
        flush()
        outputs.extend({"data": bundle(one), "metadata": {}, "output_type": "display_data"} for one in shown)

    made["display"] = display
    tree = ast.parse(source, name)
    last = None
    if tree.body and isinstance(tree.body[-1], ast.Expr) and not source.rstrip().endswith(";"):
        last = ast.Expression(tree.body.pop().value)  # type: ignore[attr-defined]
    with contextlib.redirect_stdout(printed):
        exec(compile(tree, name, "exec"), made)
        value = eval(compile(last, name, "eval"), made) if last else None
    flush()
    if value is not None:
        result = {"data": bundle(value), "execution_count": count, "metadata": {}, "output_type": "execute_result"}
        outputs.append(result)
    outputs += _figures()
    return outputs


def bundle(value: Any) -> dict[str, Any]:
    """What a value shows of itself, by kind of content."""
    made = getattr(value, "_repr_mimebundle_", None)
    found = made() if made else {}
    found = dict(found[0] if isinstance(found, tuple) else found or {})
    found = {
        kind: data for kind, data in found.items() if not kind.startswith("application/vnd")
    }  # of a server's widgets
    if (html := getattr(value, "_repr_html_", None)) and (text := html()):
        found["text/html"] = text.splitlines(keepends=True)
    if type(value).__module__.startswith("ipywidgets"):
        return {"text/plain": ["(sliders and buttons, where the page is open in JupyterLab)"]}
    plain = found.get("text/plain", repr(value))
    return found | {"text/plain": plain.splitlines(keepends=True) if isinstance(plain, str) else plain}


def _figures() -> list[dict[str, Any]]:
    """The figures that pyplot holds, which are then closed."""
    import matplotlib.pyplot as plt

    found = []
    for number in plt.get_fignums():
        out = io.BytesIO()
        plt.figure(number).savefig(out, format="png", dpi=90, metadata={"Software": None})
        data = {"image/png": base64.b64encode(out.getvalue()).decode(), "text/plain": ["<Figure>"]}
        found.append({"data": data, "metadata": {}, "output_type": "display_data"})
    plt.close("all")
    return found


def texts(notebook: dict[str, Any]) -> list[list[str]]:
    """The text outputs of each code cell, without the bytes of pictures."""
    return [
        [_HIDDEN.sub("", text) for output in cell["outputs"] for text in _of(output)]
        for cell in notebook["cells"]
        if cell["cell_type"] == "code"
    ]


def _of(output: dict[str, Any]) -> list[str]:
    if "text" in output:
        return ["".join(output["text"])]
    return ["".join(data) for kind, data in sorted(output.get("data", {}).items()) if kind.startswith("text/")]


def pictures(notebook: dict[str, Any]) -> int:
    """How many pictures the outputs hold, those inside of tables and verdicts too."""
    text = json.dumps([cell.get("outputs", []) for cell in notebook["cells"]])
    return text.count('"image/png"') + text.count("data:image/png")
