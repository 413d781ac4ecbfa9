"""The reference model in NumPy (tests/reference) against the core's double build, over random vans and trips that have
parts, loads, plans and places of every kind (tests/support/random_equipment.py): hour by hour, cut-out by cut-out.

    PYTHONPATH=tests:tests/support python tests/long/reference_vans.py [vans] [trials] [first]

A trial is excused from the hour on in which rounding has decided a switch: a voltage or a timer stood within 1e-9 of
its limit before, or a nudge of 1e-11 K to the air in and around the cabin, in the reference model alone, has by then
grown fivefold.
"""

import sys
import warnings

from random_vans import equipped_case
from reference.compare_trip import compare


def main(vans=200, trials=16, first=0):
    apart, worst = [], 0.0
    count = dict.fromkeys(("trials", "cutouts", "near", "excused_near", "excused_grown"), 0)
    for seed in range(first, first + vans):
        found = compare(*equipped_case(seed), seed, trials)
        for name in count:
            count[name] += getattr(found, name)
        worst = max(worst, found.worst)
        if found.excused_near + found.excused_grown:
            grown = f"{found.excused_grown} grown to {found.grown_to:.0e}"
            print(f"van {seed}: excused {found.excused_near} near a limit, {grown}", flush=True)
        if not found.agrees:
            apart.append(seed)
            far = {name: f"{d:.1e}" for name, d in (found.time_series | found.columns).items() if d > 1e-9}
            print(f"van {seed} apart: {far}, {found.cutouts_differ} cut-outs differ", flush=True)
    print(f"{vans} vans, {count}, largest difference {worst:.1e}, apart: {apart or 'none'}")
    return 1 if apart else 0


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    sys.exit(main(*map(int, sys.argv[1:])))
