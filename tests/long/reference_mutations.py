"""Which numbers of the reference model may be wrong by a thousandth without a comparison with the core noticing?

    PYTHONPATH=tests:tests/support python tests/long/reference_mutations.py [every]

`every`: try each n-th number (default 1, all of them).
"""

import sys
import tempfile
from pathlib import Path

from reference import mutate
from reference.compare_given import first_hour_misses, misses
from reference.compare_trip import compare as compare_trips
from reference_cases import CASES, FIRST_HOURS, first_hour
from twin_cases import CASES as TRIPS

MODULES = [
    "sun",
    "marginal",
    "weather",
    "plane",
    "module",
    "array",
    "habits",
    "loads",
    "party",
    "places",
    "given",
    "replay",
]
STEPS = [
    "battery",
    "bus",
    "charge",
    "fridge",
    "freezer",
    "plan",
    "state",
    "step",
    "cutouts",
    "voltage_limited_starts",
    "heater",
    "trip",
]
TRIALS, SEED, CLOSE, FACTOR = 4, 5, 1e-9, 1.001


def comparisons():
    for case, (van, trip) in CASES.items():
        yield case, misses, van, trip
    for case in FIRST_HOURS:
        for hour, month in ((8, 1), (12, 1), (15, 7)):
            yield f"{case} {hour} h", first_hour_misses, *first_hour(case, hour, month)


def caught_by(package):
    """The first comparison that notices; a mutant that cannot run is noticed too."""
    for case, compare, van, trip in comparisons():
        try:
            if not max(compare(van, trip, SEED, TRIALS, package.Given).values()) < CLOSE:
                return case
        except (ValueError, TypeError, IndexError, FloatingPointError) as error:
            return f"{case}: {type(error).__name__}"
    return None


def trip_caught_by(package):
    for case, (van, trip) in TRIPS.items():
        try:
            if not compare_trips(van, trip, SEED, TRIALS, package.Trip).agrees:
                return case
        except (ValueError, TypeError, IndexError, FloatingPointError) as error:
            return f"{case}: {type(error).__name__}"
    return None


def main(every=1):
    places = [(m, p) for m in MODULES + STEPS for p in mutate.numbers_of(m)][::every]
    left = []
    with tempfile.TemporaryDirectory() as folder:
        for module, place in places:
            try:
                entry, caught = ("trip", trip_caught_by) if module in STEPS else ("given", caught_by)
                case = caught(mutate.mutant(module, place, FACTOR, Path(folder), entry))
            except (ValueError, TypeError):  # refuses to be imported
                continue
            if case is None:
                left.append((module, place))
                print(f"not noticed: {module}.py line {place[0]}, {place[3]}", flush=True)
    print(f"{len(places) - len(left)} of {len(places)} noticed")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
