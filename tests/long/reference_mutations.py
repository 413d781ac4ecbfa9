"""Which numbers of the reference model may be wrong by a thousandth without a comparison with the core noticing?

    python tests/long/reference_mutations.py [every]

`every`: try each n-th number (default 1, all of them).
"""

import sys
import tempfile
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[1] / "python")]

from reference import mutate
from reference.compare_given import misses
from reference_cases import CASES

MODULES = ["sun", "weather", "plane", "module", "array", "habits", "loads", "party", "places", "given"]
TRIALS, SEED, CLOSE, FACTOR = 4, 5, 1e-9, 1.001


def caught_by(package):
    """The first case that notices; a mutant that cannot run is noticed too."""
    for case, (van, trip) in CASES.items():
        try:
            if not max(misses(van, trip, SEED, TRIALS, package.Given).values()) < CLOSE:
                return case
        except (ValueError, TypeError, IndexError, FloatingPointError) as error:
            return f"{case}: {type(error).__name__}"
    return None


def main(every=1):
    places = [(m, p) for m in MODULES for p in mutate.numbers_of(m)][::every]
    left = []
    with tempfile.TemporaryDirectory() as folder:
        for module, place in places:
            try:
                package = mutate.mutant(module, place, FACTOR, Path(folder))
            except (ValueError, TypeError):  # refuses to be imported
                continue
            case = caught_by(package)
            if case is None:
                left.append((module, place))
                print(f"not noticed: {module}.py line {place[0]}, {place[3]}", flush=True)
    print(f"{len(places) - len(left)} of {len(places)} noticed")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
