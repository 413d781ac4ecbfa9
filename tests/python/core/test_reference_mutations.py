"""A wrong number in the reference model, by a thousandth, is noticed by a comparison with the core: one number of each
formula. As both programs are compared with each other, the same slip in the core would be. All numbers, and which
of them are guards that no comparison reaches: tests/long/reference_mutations.py."""

import pytest
from reference import mutate
from reference.compare_given import first_hour_misses, misses
from reference_cases import CASES, first_hour

# Module, number, and a case that depends on it.
WRONG = [
    ("sun", 1361.0, "default"),  # solar constant
    ("sun", 0.9856474, "default"),  # mean longitude
    ("sun", 23.439, "default"),  # obliquity
    ("sun", 0.01671, "default"),  # the Earth's distance
    ("sun", 0.5016, "default"),  # mean profile of a day
    ("sun", 0.88, "default"),  # clear limit
    ("sun", 4.388, "default"),  # diffuse share
    ("marginal", 0.725, "default"),  # marginal of the clearness
    ("marginal", 0.463, "default"),
    ("marginal", 0.452, "all loads, couple, summer"),
    ("weather", 0.125, "default"),  # spread of the air
    ("weather", 0.14, "default"),  # spread of the cloud
    ("weather", 7.4, "default"),  # its persistence
    ("weather", 25.8, "default"),  # daily wave of the air
    ("weather", 3.805, "default"),  # its phase
    ("weather", 0.3, "all loads, midnight sun"),  # sunny is warm in summer
    ("plane", 0.05, "default"),  # incidence modifier
    ("plane", 59.7, "default"),  # of the sky
    ("plane", 0.5788, "isotropic"),  # of the ground
    ("plane", 0.588, "perez"),  # light about the Sun
    ("plane", 0.072, "perez"),  # horizon band
    ("plane", 1.6364, "perez"),  # air mass
    ("array", 0.0563, "default"),  # rise of glued cells
    ("array", 0.1, "default"),  # leak in dull light of glued cells
    ("array", 0.006, "old"),  # ageing
    ("module", 0.971179, "default"),
    ("module", 0.170117, "clamped"),
    ("module", 1.121, "clamped"),
    ("module", 137.4174, "clamped"),
    ("places", 0.75, "forest"),
    ("habits", 12.5, "all loads, couple, winter"),
    ("habits", 12.8, "all loads, couple, winter"),
    ("habits", 0.125, "all loads, family, winter"),
    ("habits", 0.2, "all loads, couple, winter"),
    ("party", 1.15, "all loads, family, winter"),
    ("party", 0.06, "storage"),
    ("given", 13.5, "storage"),
]


@pytest.mark.parametrize(("module", "number", "case"), WRONG, ids=lambda x: str(x))
def test_a_wrong_number_is_noticed(module, number, case, tmp_path):
    places = [p for p in mutate.numbers_of(module) if p[3] == number]
    assert places, f"{module}.py has no {number} any more"
    package = mutate.mutant(module, places[0], 1.001, tmp_path)
    if case in CASES:
        found = misses(*CASES[case], 5, 4, package.Given)
    else:
        found = first_hour_misses(*first_hour(case, 12, 1), 5, 4, package.Given)  # type: ignore[call-arg]
    assert max(found.values()) > 1e-6, found
