"""Data flows one way: no file includes or imports from a layer above its own."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from ridethrough import _core

ROOT = Path(__file__).parents[2]
MAY_USE = {
    "simd": set(),
    "base": {"simd"},
    "stats": {"base"},
    "config": {"base"},
    "random": {"simd", "base", "config"},
    "sun": {"simd", "base", "config"},
}
MAY_USE["weather"] = MAY_USE["random"] | {"random", "sun"}
MAY_USE["battery"] = MAY_USE["fridge"] = MAY_USE["cabin"] = MAY_USE["random"] | {"random"}
MAY_USE["circuit"] = MAY_USE["battery"] | {"battery"}
MAY_USE["charging"] = MAY_USE["circuit"] | {"circuit"}
MAY_USE["solar"] = MAY_USE["charging"] | {"charging", "sun", "weather"}
MAY_USE["loads"] = MAY_USE["cabin"] | {"cabin"}
MAY_USE["trip"] = MAY_USE["solar"] | MAY_USE["loads"] | {"solar", "fridge", "loads", "engine"}
MAY_USE["engine"] = MAY_USE["trip"] | {"trip"}
MAY_USE["ensemble"] = MAY_USE["engine"] | {"engine"}
MAY_USE["api"] = MAY_USE["ensemble"] | {"ensemble", "stats"}  # ridethrough.hpp and what stands behind it

CORE = [p for d in ("include/ridethrough", "src") for p in sorted((ROOT / "cpp" / d).rglob("*.[hc]pp"))]
# Standard mathematics that differs between machines; base/ has our own (sqrt, floor, round, abs are exact).
FOREIGN = re.compile(
    r"\bstd::(exp|exp2|expm1|log|log2|log10|log1p|pow|cbrt|sin|cos|tan|asin|acos|atan|atan2|sinh|cosh|tanh|erf|erfc|"
    r"tgamma|lgamma|hypot|fma)\s*\(|\bstd::\w+_distribution\b|<random>"
)


def layer_of(path: Path) -> str:
    parts = path.relative_to(ROOT / "cpp").parts
    if parts[:2] == ("include", "ridethrough"):
        return parts[2] if len(parts) > 3 else "api"
    return parts[1]


@pytest.mark.parametrize("path", CORE, ids=lambda p: str(p.relative_to(ROOT)))
def test_includes_point_down(path: Path) -> None:
    layer = layer_of(path)
    text = path.read_text()
    used = set(re.findall(r'#include [<"]ridethrough/(\w+)/', text)) - {layer}
    assert used <= MAY_USE[layer], f"{path.name} in {layer} includes {sorted(used - MAY_USE[layer])}"
    assert not re.search(r"#include [<\"](pybind11|Python\.h)", text), "the core never includes Python"


@pytest.mark.parametrize("path", CORE, ids=lambda p: str(p.relative_to(ROOT)))
def test_no_foreign_mathematics(path: Path) -> None:
    code = re.sub(r"//.*", "", path.read_text())
    assert not FOREIGN.search(code), "use ridethrough/base/math.hpp and the project's own draws"


def test_every_layer_is_known() -> None:
    assert {layer_of(p) for p in CORE} == set(MAY_USE)


def test_the_shipped_extension_has_nothing_for_tests_alone() -> None:
    package = "".join(path.read_text() for path in (ROOT / "python" / "ridethrough").glob("*.py"))
    used = set(re.findall(r"\b_core\.(\w+)", package))
    for names in re.findall(r"from ridethrough\._core import (\([^)]*\)|.*)", package):
        used |= set(re.findall(r"\w+", names))
    functions = {name for name, member in vars(_core).items() if callable(member) and not isinstance(member, type)}
    assert functions <= used, "what only tests call belongs into cpp/bindings/checks"


def test_optional_packages_stay_out_of_import() -> None:
    import subprocess
    import sys

    optional = ("scipy", "pandas", "matplotlib", "pvlib", "xarray", "zarr", "dask", "distributed", "SALib", "tqdm")
    code = f"import sys, ridethrough; print([m for m in {optional} if m in sys.modules])"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"
