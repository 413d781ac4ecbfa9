"""The same bits whichever copies of its mathematics the C library picks for the processor.

tests/cpp/trip/test_digest.cpp holds results to committed ones; tests/long/digest_levels.sh compares instruction sets,
compilers and optimisation levels.
"""

from __future__ import annotations

import os
import platform
import subprocess
import sys
from pathlib import Path

import pytest

SCENARIOS = Path(__file__).parents[2] / "data" / "scenarios"
WITHOUT_FMA = "glibc.cpu.hwcaps=-AVX2,-FMA"
LIBRARY = "import math; print([f(1 + i / 977).hex() for f in (math.sin, math.exp, math.log) for i in range(20000)])"
RESULTS = """
import hashlib, sys
import ridethrough as rt
from ridethrough.files.scenario import load_scenario

for path in sys.argv[1:]:
    scenario = load_scenario(path)
    for precision in ("double", "single"):
        risk = rt.simulate(scenario.van, scenario.trip, trials=1024, seed=5, precision=precision)
        digest = hashlib.sha256()
        for name in sorted(risk.columns):
            digest.update(risk.columns[name].tobytes())
        traced = rt._core.trace(risk.compiled, list(range(16)), 5, precision, list(rt.TIME_SERIES))
        for name in sorted(traced):
            digest.update(traced[name].tobytes())
        print(path, precision, risk.cutout.events, digest.hexdigest())
"""


def output(code: str, arguments: list[str], tunables: str) -> str:
    command = [sys.executable, "-c", code, *arguments]
    environment = {**os.environ, "GLIBC_TUNABLES": tunables}
    return subprocess.run(command, capture_output=True, text=True, check=True, env=environment).stdout


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc" or platform.machine() != "x86_64", reason="a switch of glibc's")
def test_results_do_not_depend_on_the_c_library_s_mathematics() -> None:
    if output(LIBRARY, [], "") == output(LIBRARY, [], WITHOUT_FMA):
        pytest.skip("this processor has no FMA: there is only one copy")
    scenarios = [str(path) for path in sorted(SCENARIOS.glob("*.toml"))]
    plain = output(RESULTS, scenarios, "")
    assert plain.count("\n") == 2 * len(scenarios) == 12
    assert plain == output(RESULTS, scenarios, WITHOUT_FMA)
