"""A planner's range: the mix of customers is the weighted mean of their own simulations, and what is stated says so."""

import pytest
import ridethrough as rt
from planned_range import CUSTOMERS, MODELS, planned_range
from study_fixture import DULL, SITE, TRIP, VAN

pytest.importorskip("xarray")


@pytest.fixture(scope="module")
def planned():
    return planned_range()


def test_the_mix_is_the_weighted_mean_of_simulations(planned):
    couple = rt.habits("light_couple")
    month = {"start": "2026-10-15 15:00", "site": DULL}
    first = rt.simulate(VAN.replace(**couple.van), TRIP.replace(**couple.trip, **month), trials=150, seed=2)
    second = rt.simulate(VAN, TRIP.replace(habits_scale=1.5, **month), trials=150, seed=2)
    risk = planned.risk("Small", "Dull", "Oct")
    for part in ("value", "low", "high"):
        mean = 0.75 * getattr(first.cutout, part) + 0.25 * getattr(second.cutout, part)
        assert getattr(risk, part) == pytest.approx(mean, rel=1e-12)
    assert planned.by_customer.weight.values.tolist() == [0.75, 0.25]
    third = [0.75 * (1 - a.low) + 0.25 * (1 - b.low) for a, b in zip(first.survival(), second.survival(), strict=True)]
    for level in (0.05, 0.10, 0.20, 0.50):
        nights = planned.nights_at(level).sel(model="Small", site="Dull", month="Oct")
        assert nights == sum(high <= level for high in third)
    failing = planned.failing_customers("Small", "Dull", "Oct")
    assert set(failing.customer.values) == set(CUSTOMERS) and float(failing.share_of_failures.sum()) == pytest.approx(1)
    share = 0.25 * second.cutout.value / (0.75 * first.cutout.value + 0.25 * second.cutout.value)
    assert float(failing.share_of_failures.sel(customer="long evenings")) == pytest.approx(share)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"customers": {}}, "customers"),
        ({"customers": {"light_couple": 0}}, "numbers above 0"),
        ({"customers": {"light_cuople": 1}}, "did you mean light_couple"),
        ({"customers": {"me": (3, 1)}}, "must be Habits or a dict"),
        ({"customers": {"me": ({"trip.habits_scales": 2}, 1)}}, "habits_scale"),
        ({"months": [13]}, "1 to 12"),
        ({"months": {"x": "2026-13-01 15:00"}}, "start"),
        ({"sold": {"Paris": ["Jan"]}}, "no site is called"),
        ({"sold": {"Dull": ["Feb"]}}, "allowed one or more of Jan"),
        ({"models": []}, "models"),
        ({"sites": [VAN]}, "site"),
        ({"sites": []}, "no values"),
    ],
)
def test_bad_arguments(changes, words):
    how = {"models": MODELS, "sites": [SITE, DULL], "customers": CUSTOMERS, "months": [1]} | changes
    models = how.pop("models")
    with pytest.raises(rt.InputError, match=words):
        rt.van_range(models, TRIP, **how, trials=5, progress=False)
