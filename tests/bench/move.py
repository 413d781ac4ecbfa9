"""How long a slider's move takes: a thousand trips of notebooks/before_a_trip.ipynb on one core.

The line of the answer is in it.

.venv/bin/python tests/bench/move.py [repeats]    at most 150 ms are wanted
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
import notebook_runner  # noqa: E402

WANTED_MS = 150


def main() -> int:
    repeats = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    made: dict[str, object] = {}
    code = [cell for cell in notebook_runner.read("before_a_trip.ipynb")["cells"] if cell["cell_type"] == "code"]
    for cell in code[:2]:
        exec("".join(cell["source"]), made)
    play, answer = made["play"], made["answer"]
    assert callable(play) and callable(answer)
    play()  # climate and compiled tables are made once
    wall, processor = [], []
    for i in range(repeats):
        begin, used = time.perf_counter(), time.process_time()
        said = answer(play(panel_w=200 + 20 * (i % 5)))
        wall.append(1000 * (time.perf_counter() - begin))
        processor.append(1000 * (time.process_time() - used))
    middle = repeats // 2
    print(f"{said}\none move: median {sorted(processor)[middle]:.0f} ms of one core, {sorted(wall)[middle]:.0f} ms;")
    print(f"wanted: at most {WANTED_MS} ms")
    return 0


if __name__ == "__main__":
    sys.exit(main())
