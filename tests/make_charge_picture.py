"""Draw the charge of the demo's trip for the README and the page on pictures: python/docs/charge.svg.

.venv/bin/python tests/make_charge_picture.py
"""

from __future__ import annotations

from pathlib import Path

import ridethrough as rt
from ridethrough.files.scenario import demo_path, load_scenario

PICTURE = Path(__file__).parents[1] / "python" / "docs" / "charge.svg"


def main() -> None:
    demo = load_scenario(demo_path())
    risk = rt.simulate(demo.van, demo.trip, trials=demo.trials, seed=demo.seed)
    print(risk.plot.charge(title=demo.title).save(PICTURE))


if __name__ == "__main__":
    main()
