"""Whole trips of the reference model in plain NumPy (tests/reference) against the core's double build: two programs
from the same equations, fed the same random draws, compared trial by trial and hour by hour.

What this catches is a slip in either program; an error in the equations is in both.
"""

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from random_cases import cases
from random_trips import equipped
from reference import mutate
from reference.compare_trip import compare
from twin_cases import CASES

SEED, TRIALS = 11, 8
# What no random van has, and where it is compared instead.
EXCLUDED = {
    "spreads of the PERT kind": "the core's inverse is a table, 3e-10 off; tests/cpp/config/test_spread.cpp",
    "weather = 'replay'": "records are compared by the hour before the step; tests/python/core/test_reference_given.py",
}


def random_trips_agree(examples, most_excused):
    """Runs so many random vans, trips and climates; gives what was counted, or fails.

    Always the same where the package is installed as the README says; with a package on PYTHONPATH hypothesis also
    draws from the numbers in its modules. `most_excused`: share of the trials, see Comparison. Of 200 vans it was .03;
    one van that hunts fills .02 of 40.
    """
    count = dict.fromkeys(("cases", "trials", "cutouts", "near", "excused_near", "excused_grown"), 0)

    @settings(
        max_examples=examples,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
        phases=[Phase.generate],  # a failure is shown as it was found: to shrink it takes minutes
        report_multiple_bugs=False,
    )
    @given(st.one_of(equipped(), cases()))
    def run(case):
        found = compare(*case, SEED, TRIALS)  # type: ignore[call-arg]
        count["cases"] += 1
        for name in list(count)[1:]:
            count[name] += getattr(found, name)
        assert found.agrees, (found.time_series, found.columns, found.cutouts_differ)

    run()
    assert count["cases"] >= examples
    assert count["cutouts"] > 0.1 * count["trials"]
    assert count["excused_near"] + count["excused_grown"] < most_excused * count["trials"]
    return count


# Module, number, and a case that depends on it.
WRONG = [
    ("battery", 0.325, "default"),  # share of the available well
    ("battery", 1.92, "default"),  # rate between the wells
    ("battery", 1.43, "cold agm"),  # cell size in the cold
    ("battery", 0.63, "default"),  # Copetti's state of charge
    ("battery", 20.73, "agm, drives and shore"),  # charge that is not stored
    ("battery", 0.48, "agm, drives and shore"),  # slope of the charging overvoltage
    ("battery", 0.007, "default"),  # overvoltage and heat
    ("battery", 0.27, "default"),  # overvoltage of the empty
    ("battery", 0.86, "summer, pwm"),  # surface charge
    ("battery", 0.015, "agm, drives and shore"),  # how a load takes it
    ("battery", 14.4, "converter"),  # voltage that the acceptance is declared for
    ("battery", 0.05, "default lithium"),  # rate of half the overvoltage
    ("battery", 20, "lithium in deep cold"),  # capacity below freezing
    ("bus", 8.5, "brown-out"),  # current limit
    ("charge", 14.4, "agm, drives and shore"),  # absorption
    ("charge", 13.65, "converter"),
    ("charge", 0.5, "hot lithium"),  # engine bay
    ("charge", 40.0, "cable to the alternator"),
    ("fridge", 12.0, "default"),  # evaporator
    ("fridge", 13.0, "default"),  # condenser
    ("fridge", 1.08, "upright, covered, set back"),
    ("fridge", 28.0, "default"),  # doors
    ("fridge", 4.0, "agm, drives and shore"),  # warm food
    ("fridge", 0.74, "upright, covered, set back"),  # leak and volume
    ("fridge", 20, "summer, pwm"),  # Carnot share in the heat
    ("freezer", 4, "freezer box"),  # eigenvalues
    ("state", 13.5, "cable to the alternator"),  # rough current of the Sun
    ("step", 0.004, "brown-out"),  # nearly empty
    ("cutouts", 0.25, "bms, woken by a charger"),  # wait of a battery that is to be woken
    ("plan", 1000, "kettle that trips the inverter"),  # its branch, and the wiring
    ("cutouts", 1.0, "bms that opens on current"),
    ("step", 12.0, "brown-out"),  # rough current of the fridge
    ("step", 100, "cold agm"),  # full load of the cold correction
    ("heater", 60, "heater that holds the cabin, quarter hours"),  # glow start
]


def assert_noticed(module, number, case, folder):
    """That a number of the reference model which is wrong by a thousandth leaves the core's path."""
    places = [p for p in mutate.numbers_of(module) if p[3] == number]
    assert places, f"{module}.py has no {number} any more"
    package = mutate.mutant(module, places[0], 1.001, folder, "trip")
    found = compare(*CASES[case], SEED, 4, package.Trip)
    assert found.worst > 1e-6, found.time_series
