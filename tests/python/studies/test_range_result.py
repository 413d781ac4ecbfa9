"""What can be stated of a range of vans."""

import re

import pytest
import ridethrough as rt
from planned_range import MODELS, planned_range

pytest.importorskip("xarray")


@pytest.fixture(scope="module")
def planned():
    return planned_range()


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


def test_the_report_says_its_caution_once_and_has_room_for_long_names(planned):
    text = str(planned)
    assert text.count("no guarantee") == 1 and "brochure() tells of the model's own error" in text
    lines = text.splitlines()
    column = lines[0].index("risk of")
    assert all(line[column - 2 : column] == "  " for line in lines[: 1 + len(MODELS) * len(planned.places)])


def test_the_brochure_s_line_carries_its_conditions(planned):
    for model in MODELS:
        for site in ("Greensboro", "Dull"):
            text = planned.brochure(model, site)
            assert text.count("no guarantee") == 1 and "sampling error alone" in text and "150 trials" in text
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
