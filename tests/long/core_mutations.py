"""Does a core with one wrong coefficient leave the reference model? Each is wrong by a thousandth, in a copy of all.

    PYTHONPATH=tests:tests/support .venv/bin/python tests/long/core_mutations.py

Builds the extension once and once more for each number: about half an hour on two cores. The other way round, wrong
numbers in the reference model: reference_mutations.py.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
HEADERS, SOURCES = "cpp/include/ridethrough", "cpp/src"
FACTOR, NOTICED = 1.001, 1e-6

# File, the number in its surroundings, and a case of tests/support/twin_cases.py that depends on it.
WRONG = [
    (f"{SOURCES}/battery/agm.cpp", "wells.c = {0.325}", "default"),
    (f"{SOURCES}/battery/agm.cpp", "wells.k = {1.92}", "default"),
    (f"{SOURCES}/battery/agm.cpp", "1.52, {1.43}, 1.35", "cold agm"),
    (f"{HEADERS}/battery/copetti.hpp", "T({0.63})) * (V(T(1)) - relative)", "default"),
    (f"{HEADERS}/battery/copetti.hpp", "T({0.27})) / (state", "default"),
    (f"{HEADERS}/battery/copetti.hpp", "T({20.73}))", "agm, drives and shore"),
    (f"{HEADERS}/battery/battery.hpp", "T({0.015})) * p.capacity_ah", "agm, drives and shore"),
    (f"{HEADERS}/battery/battery.hpp", "kAcceptanceV = {14.4}", "converter"),
    (f"{HEADERS}/battery/battery.hpp", "kHalfPolarisedCRate = {0.05}", "default lithium"),
    (f"{HEADERS}/circuit/bus.hpp", "kCurrentLimitV = {8.5}", "brown-out"),
    (f"{HEADERS}/engine/segment.hpp", "kEmptyShare = {0.004}", "brown-out"),
    (f"{SOURCES}/fridge/compile.cpp", "pow(volume, {0.74})", "upright, covered, set back"),
    (f"{HEADERS}/sun/position.hpp", "solar_constant_w_m2 = {1361}", "summer, pwm"),
]

COMPARE = """
import sys
from reference.compare_trip import compare
from twin_cases import CASES
print(compare(*CASES[sys.argv[1]], 11, 4).worst)
"""


def build(tree, folder):
    if not (folder / "build.ninja").exists():
        pybind = subprocess.check_output([sys.executable, "-m", "pybind11", "--cmakedir"], text=True).strip()
        options = ["RIDETHROUGH_PYTHON=ON", "RIDETHROUGH_TESTS=OFF", "CMAKE_BUILD_TYPE=Debug"]
        options += [f"Python_EXECUTABLE={sys.executable}", f"pybind11_DIR={pybind}"]
        command = ["cmake", "-S", tree, "-B", folder, "-G", "Ninja", *(f"-D{option}" for option in options)]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    subprocess.run(["ninja", "-C", folder, "_core"], check=True, stdout=subprocess.DEVNULL)
    for module in folder.rglob("_core*.so"):
        shutil.copy(module, tree / "python" / "ridethrough")


def worst(tree, case):
    """Largest difference between that core and the reference model."""
    paths = os.pathsep.join(str(ROOT / p) for p in ("tests", "tests/support"))
    environment = os.environ | {"PYTHONPATH": f"{tree / 'python'}{os.pathsep}{paths}"}
    command = [sys.executable, "-W", "ignore", "-c", COMPARE, case]
    return float(subprocess.check_output(command, text=True, env=environment, cwd=tree))


def main():
    with tempfile.TemporaryDirectory() as name:
        tree, folder = Path(name, "tree"), Path(name, "build")
        for part in ("CMakeLists.txt", "cpp", "python"):
            copy = shutil.copytree if (ROOT / part).is_dir() else shutil.copy
            tree.mkdir(exist_ok=True)
            copy(ROOT / part, tree / part)
        build(tree, folder)
        for case in sorted({case for *_, case in WRONG}):
            assert worst(tree, case) < 1e-9, f"{case}: apart before any number is wrong"
        missed = 0
        for file, pattern, case in WRONG:
            before, rest = pattern.split("{")
            number, after = rest.split("}")
            right = (ROOT / file).read_text(encoding="utf-8")
            assert right.count(f"{before}{number}{after}") == 1, f"{file}: {pattern}"
            wrong = right.replace(f"{before}{number}{after}", f"{before}{float(number) * FACTOR!r}{after}")
            (tree / file).write_text(wrong, encoding="utf-8")
            build(tree, folder)
            apart = worst(tree, case)
            missed += not apart > NOTICED
            print(f"{file}: {number}, {case}: {apart:.1e} {'' if apart > NOTICED else 'MISSED'}", flush=True)
            (tree / file).write_text(right, encoding="utf-8")
    print(f"{len(WRONG) - missed} of {len(WRONG)} noticed")
    return missed > 0


if __name__ == "__main__":
    sys.exit(main())
