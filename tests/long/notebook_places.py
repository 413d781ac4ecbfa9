"""Works out the twelve normals of every place in the notebooks and scenarios again, prints them, and compares.

python tests/long/open_data.py && python tests/long/notebook_places.py
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

import typical_years


def main() -> int:
    off = 0
    for station, file in typical_years.FILES.items():
        made = typical_years.normals(station)
        print(f"{station} ({file.name})")
        print("  sun, kWh/m2 a day:", ", ".join(f"{x:.2f}" for x in made[0]))
        print("  air, degC:        ", ", ".join(f"{x:.1f}" for x in made[1]))
        for w in typical_years.written():
            if w.station == station:
                sun, air = w.misses(made)
                same = sun < 0.0055 and air < 0.055
                off += not same
                print(f"  {w.where}: " + ("the same" if same else f"OFF by {sun:.3f} kWh/m2 a day, {air:.2f} degC"))
    return int(off > 0)


if __name__ == "__main__":
    sys.exit(main())
