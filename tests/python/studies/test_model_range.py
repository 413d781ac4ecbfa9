"""A planner's range: the mix of customers is the weighted mean of their own simulations, and what is stated says so."""

import re
from typing import Any

import pytest
import ridethrough as rt
from study_fixture import DULL, SITE, TRIP, VAN

pytest.importorskip("xarray")

CUSTOMERS: dict[str, Any] = {"light_couple": 3, "long evenings": ({"trip.habits_scale": 1.5}, 1)}
MODELS = {"Small": VAN, "Big": VAN.replace(**{"solar.rated_w": 400, "battery.capacity_ah": 150})}


@pytest.fixture(scope="module")
def planned():
    return rt.van_range(
        MODELS,
        TRIP,
        sites=[SITE, DULL],
        customers=CUSTOMERS,
        months=[1, 4, 7, 10],
        sold={"Dull": ["Apr", "Oct"]},
        trials=150,
        seed=2,
        progress=False,
    )


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


def test_months_that_are_not_sold_decide_nothing(planned):
    assert planned.months_sold("Greensboro") == ["Jan", "Apr", "Jul", "Oct"]
    assert planned.months_sold("Dull") == ["Apr", "Oct"]
    assert planned.hottest_month("Greensboro") == "Jul"  # 25.4 degC
    assert planned.hottest_month("Dull") == "Apr"  # 14.7 degC; in October 13.1
    for model in MODELS:
        risks = {m: planned.risk(model, "Dull", m).value for m in ("Apr", "Oct")}
        assert planned.worst_month(model, "Dull") == max(risks, key=lambda month: risks[month])


def test_calls_are_the_mean_month_s_failures(planned):
    calls = planned.calls_per_1000("Small", "Dull", trips_a_year=4, call_share=0.3)
    months = [planned.risk("Small", "Dull", m) for m in ("Apr", "Oct")]
    for part in ("value", "low", "high"):
        mean = sum(getattr(m, part) for m in months) / 2
        assert getattr(calls, part) == pytest.approx(1000 * 4 * 0.3 * mean)
    with pytest.raises(rt.InputError, match="call_share = 2"):
        planned.calls_per_1000("Small", "Dull", trips_a_year=4, call_share=2)
    with pytest.raises(rt.InputError, match="trips_a_year = -1"):
        planned.calls_per_1000("Small", "Dull", trips_a_year=-1, call_share=1)


def test_the_brochure_s_line_carries_its_conditions(planned):
    for model in MODELS:
        for site in ("Greensboro", "Dull"):
            text = planned.brochure(model, site)
            assert "Not a guarantee." in text and "sampling error alone" in text and "150 trials" in text
            assert "75 % light_couple, 25 % long evenings" in text
            assert "no driving, no shore power" in text and "triangular(0.9, 1, 1) of full" in text
            stated = [int(n) for n in re.findall(r"(\d+)(?: or more)? at \d+ %", text)]
            sold = planned.months_sold(site)
            nights = [planned.nights_at(x).sel(model=model, site=site, month=sold).min() for x in (0.05, 0.1, 0.2)]
            assert stated == nights
            assert planned.worst_month(model, site) in text
    assert "Dull, Apr, Oct: nights" in planned.brochure("Big", "Dull")
    assert str(planned).count("150 trials") == 4
    # more of both never does worse on the same trials
    both = planned.mix.risk
    assert (both.sel(model="Big") <= both.sel(model="Small")).all()


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
