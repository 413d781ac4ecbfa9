"""One wrong number in a copy of the reference model: does a comparison with the core notice?"""

import ast
import importlib
import itertools
import shutil
import sys
from pathlib import Path

HERE = Path(__file__).parent
_count = itertools.count()


def numbers_of(module):
    """(line, column, end, value) of every coefficient in a module: numbers that are no index, no axis, not 1 or 2."""
    tree = ast.parse((HERE / f"{module}.py").read_text(encoding="utf-8"))
    skipped = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Subscript):
            skipped |= {id(n) for n in ast.walk(node.slice)}
        elif isinstance(node, ast.keyword) and node.arg in ("axis", "period", "dtype", "rtol", "xtol"):
            skipped |= {id(n) for n in ast.walk(node.value)}
    found = [n for n in ast.walk(tree) if isinstance(n, ast.Constant) and type(n.value) in (int, float)]
    coefficients = [n for n in found if id(n) not in skipped and n.value not in (0, 1, 2, -1)]
    return sorted((n.lineno, n.col_offset, n.end_col_offset, n.value) for n in coefficients)


def mutant(module, place, factor, folder, entry="given"):
    """A module of the package with that number multiplied, imported under a name of its own."""
    line, column, end, value = place
    name = f"mutant_{next(_count)}"
    shutil.copytree(HERE, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    path = folder / name / f"{module}.py"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    row = lines[line - 1]
    lines[line - 1] = f"{row[:column]}{value * factor!r}{row[end:]}"
    path.write_text("".join(lines), encoding="utf-8")
    sys.path.insert(0, str(folder))
    try:
        importlib.invalidate_caches()
        return importlib.import_module(f"{name}.{entry}")
    finally:
        sys.path.remove(str(folder))
