"""Type stub of the compiled core, written from its docstrings, and the module of the configuration classes.

    python tests/make_stubs.py

writes python/ridethrough/_core.pyi and python/ridethrough/model/classes.py (model_classes.py). ridethrough._checks has
no stub: only tests import it.
"""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import model_classes
import ridethrough._core as core
from model_classes import HEAD, call, documented, inside
from ridethrough.model.errors import FACTS

PACKAGE = Path(__file__).parents[1] / "python" / "ridethrough"
PYBIND_TYPES = {  # as pybind11 spells them, as we do
    r"typing\.SupportsFloat( \| typing\.SupportsIndex)?": "float",
    r"typing\.SupportsInt( \| typing\.SupportsIndex)?": "int",
    r"typing\.Annotated\[numpy\.typing\.ArrayLike, [\w.]+\]": "ArrayLike",
    r"numpy\.typing\.NDArray\[numpy\.": "NDArray[np.",
    r"collections\.abc\.": "",
    r"ridethrough\.(_core\.)?": "",
    r"\bobject\b": "Any",
    r"\bdict\b(?!\[)": "dict[str, Any]",
    r"\btuple\b(?!\[)": "tuple[Any, ...]",
}
PROPERTY_TYPES = {"fields": "tuple[Field, ...]", "choices": "tuple[str, ...]", "events": "int | None"}
# Left out so that a type checker sees a misspelt field and an assignment to one.
HIDDEN = {"__getattr__", "__setattr__", "__delattr__", "__dir__", "__getstate__", "__setstate__"}


def typed(text: str) -> str:
    for spelt, ours in PYBIND_TYPES.items():
        text = re.sub(spelt, ours, text)
    return text


def parsed(signature: str) -> tuple[str, list[str], str]:
    """Name, parameters and type of the result of a signature in pybind11's docstrings."""
    function = ast.parse(f"def {typed(signature)}: ...").body[0]
    assert isinstance(function, ast.FunctionDef) and function.returns is not None
    a = function.args
    if a.args and a.args[0].arg == "self":
        a.args[0].annotation = None
    names = iter(("name", "value"))
    for argument in a.args:
        if re.fullmatch(r"arg\d", argument.arg):
            argument.arg = next(names)

    def shown(argument: ast.arg, default: ast.expr | None) -> str:
        return ast.unparse(argument) + (f" = {ast.unparse(default)}" if default else "")

    defaults = [None] * (len(a.args) - len(a.defaults)) + list(a.defaults)
    parameters = [shown(*pair) for pair in zip(a.args, defaults, strict=True)]
    if a.kwonlyargs:
        parameters.append("*")
    parameters += [shown(*pair) for pair in zip(a.kwonlyargs, a.kw_defaults, strict=True)]
    if a.kwarg:
        parameters.append(f"**{a.kwarg.arg}: Any")
    return function.name, parameters, ast.unparse(function.returns)


def function_of_core(doc: str) -> str:
    """Stub of a bound function, method or constructor from its docstring."""
    first, _, rest = doc.partition("\n")
    if rest.startswith("Overloaded function."):
        ways = re.findall(r"^\d+\. (.*)", rest, re.MULTILINE)
        return "".join(f"@overload\n{call(*parsed(way))} ...\n" for way in ways)
    name, parameters, returns = parsed(first)
    returns = "tuple[Schema, ...]" if name == "schemas" else returns
    if name == "__eq__":
        parameters = ["self", "other: object"]
    return documented(call(name, parameters, returns), rest.strip())


def property_of_core(name: str, doc: str) -> str:
    first, _, rest = doc.partition("\n")
    returns = PROPERTY_TYPES.get(name, parsed(f"{name}{first}")[2])
    return "@property\n" + documented(call(name, ["self"], returns), rest.strip())


def class_of_core(cls: type) -> str:
    base = cls.__bases__[0].__name__
    if base == "ValueError":  # its facts: ridethrough.model.errors
        facts = [f"{name}: {'Any' if name == 'value' else 'str'}\n" for name in FACTS]
        return f"class {cls.__name__}(ValueError):\n" + inside(facts)
    members = ["_classes: dict[str, Any]\n_parts: Any\n"] if "_classes" in vars(cls) else []
    for name, member in vars(cls).items():
        if name in HIDDEN or name.startswith("_pybind11"):
            continue
        if isinstance(member, property):
            members.append(property_of_core(name, member.fget.__doc__ or ""))
        elif callable(member) and "->" in (member.__doc__ or ""):
            members.append(function_of_core(member.__doc__ or ""))
    inherits = "" if base.startswith("pybind11") else f"({base})"
    return documented(f"class {cls.__name__}{inherits}:", cls.__doc__ or "") + inside(members)


def core_stub() -> str:
    head = (
        HEAD
        + '"""The compiled core of ridethrough."""\n\n'
        + "from collections.abc import Sequence\nfrom typing import Any, overload\n\n"
        + "import numpy as np\nfrom numpy.typing import ArrayLike, NDArray\n"
    )
    members = {name: getattr(core, name) for name in sorted(dir(core)) if not name.startswith("__")}
    classes = [class_of_core(m) for m in members.values() if isinstance(m, type)]
    constants = [f"{n}: {constant_type(m)}\n" for n, m in members.items() if not callable(m)]
    functions = [
        function_of_core(m.__doc__) for m in members.values() if callable(m) and not isinstance(m, type) and m.__doc__
    ]
    return "\n".join([head, *classes, *functions, "".join(constants)])


def constant_type(value: object) -> str:
    if isinstance(value, dict):
        return "dict[str, str]"
    return f"tuple[{type(value[0]).__name__}, ...]" if isinstance(value, tuple) else type(value).__name__


def laid_out(path: Path, text: str) -> str:
    for step in (["check", "--select", "I", "--fix"], ["format"]):
        command = [sys.executable, "-m", "ruff", *step, "--quiet", "--no-cache", "--stdin-filename", str(path), "-"]
        text = subprocess.run(command, input=text, capture_output=True, text=True, check=True).stdout
    return text


def stubs() -> dict[Path, str]:
    texts = {PACKAGE / "_core.pyi": core_stub(), PACKAGE / "model" / "classes.py": model_classes.module()}
    return {path: laid_out(path, re.sub(r" +\n", "\n", text)) for path, text in texts.items()}


def main() -> None:
    for path, text in stubs().items():
        path.write_text(text)
        print(path)


if __name__ == "__main__":
    main()
