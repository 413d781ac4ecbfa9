"""Comparisons: paired against independent runs, what is told and what is not, lithium as a bundle."""

from __future__ import annotations

import math
import pickle

import numpy as np
import pytest
import ridethrough as rt
from demo_studies import EARLY_ENDS, demo, stopping_at
from optional import there
from ridethrough.engine.model_error import model_error_of_risk
from ridethrough.report.comparison_report import OFTEN_NOTHING

VAN, TRIP = demo()


MORE = VAN.replace(**{"solar.rated_w": 260})


@pytest.fixture(scope="module")
def more_panel():
    return rt.compare(VAN, {"more panel": MORE}, TRIP, trials=1000, seed=1, threads=2)


def test_paired_and_independent_runs_agree(more_panel):
    apart = [rt.simulate(v, TRIP, trials=1000, seed=s).columns for v, s in ((MORE, 11), (VAN, 12))]
    for name in ("risk", "hours_off", "hours_below_half", "curtailed_wh"):
        a, b = (c["cutout_cause"] > 0 if name == "risk" else c[name].astype(float) for c in apart)
        line = more_panel["more panel"][name]
        independent = a.mean() - b.mean()
        errors = a.var() / len(a) + b.var() / len(b) + (line.difference.half_width / 1.96) ** 2
        assert abs(independent - line.difference.value) < 4.9 * math.sqrt(errors), name  # false alarm 1e-6
    # The reported ratio is that of the two variances, and that the pairing helps is what it is for.
    ratio = more_panel["more panel"].variance_ratio
    a, b = (more_panel.risks[name, "trip"].columns["cutout_cause"] > 0 for name in ("more panel", "base"))
    assert ratio == pytest.approx((a.var() + b.var()) / np.var(a.astype(float) - b))
    assert ratio > 1.5


def test_differences_are_those_of_the_columns(more_panel):
    a, b = (more_panel.risks[name, "trip"] for name in ("more panel", "base"))
    line = more_panel["more panel"]["risk"]
    assert line.difference == rt.stats.paired_difference(a.columns["cutout_cause"] > 0, b.columns["cutout_cause"] > 0)
    assert (line.base, line.other) == (b.cutout.value, a.cutout.value)
    paths = rt.simulate(VAN, TRIP, trials=1000, seed=1, time_series=["soc"]).time_series["soc"]
    assert more_panel["more panel"]["hours_below_20"].base == pytest.approx((paths < 0.2).sum() / 1000)


def test_the_same_whatever_the_threads(more_panel):
    again = rt.compare(VAN, {"more panel": MORE}, TRIP, trials=1000, seed=1, threads=1)
    assert again.to_dict() == more_panel.to_dict()


def test_a_van_on_a_trip_of_its_own():
    """The same trials: of a shorter trip the first nights are those of the longer one."""
    short = TRIP.replace(nights=2)
    found = rt.compare(
        VAN, {"2 nights": (VAN, short), "both": (MORE, short), "as it is": (VAN, TRIP)}, TRIP, trials=400
    )
    own = found.risks["2 nights", "trip"]
    assert own.trip == short and found.risks["both", "trip"].van == MORE
    assert own.cutout == rt.simulate(VAN, short, trials=400).cutout
    first = found.risks["base", "trip"].columns["first_cutout_h"]
    np.testing.assert_array_equal(own.columns["cutout_cause"] > 0, first <= 48)
    assert there(found["2 nights"]["risk"].difference).high < 0
    assert not any(line.shown for line in found["as it is"].outcomes.values())
    assert str(found).count("The same van as the base: no difference shown.") == 1
    with pytest.raises(rt.InputError, match=r"others\['a'\] has a trip of its own; allowed one trip"):
        rt.compare(VAN, {"a": (VAN, short)}, [TRIP, short], trials=20)
    with pytest.raises(rt.InputError, match=r"must be a Van, a Bundle or \(Van, Trip\)"):
        rt.compare(VAN, {"a": (short, VAN)}, TRIP, trials=20)


def test_a_van_against_itself_shows_no_difference():
    c = rt.compare(VAN, {"the same": VAN}, TRIP, trials=300)
    assert not any(line.shown for line in c["the same"].outcomes.values())
    gap = there(c["the same"]["risk"].difference)
    assert (gap.low, gap.value, gap.high, gap.trials) == (0, 0, 0, 300), "the same runs, so no sampling error"
    text = str(c)
    assert "The same van as the base: no difference shown." in text
    assert "Costs and weighs the same, by" in text and "the price table has none" not in text and "no guarantee" in text
    factor = model_error_of_risk(c.risks["base", "trip"]).odds_factor
    assert f"the odds of a risk off by a factor of {factor:.1f}" in " ".join(text.split())
    assert c.same_risk_for_less() == []


def test_a_van_that_does_the_same_shows_no_difference():
    c = rt.compare(VAN, {"never plugged in": VAN.replace(mains=rt.MainsCharger())}, TRIP, trials=300)
    lines = c["never plugged in"].outcomes
    assert not any(line.shown for line in lines.values())
    nothing = [name for name in OFTEN_NOTHING if lines[name].base == 0]  # of that not a word
    assert nothing == ["food_frozen", "cabin_frozen"]
    text = str(c)
    assert text.count("no difference shown") == len(lines) - len(nothing)
    assert "starts that failed" in text and "below 0 degC" not in text


def test_no_hourly_series_are_kept(more_panel):
    one_series = 8 * 1000 * TRIP.nights * 24  # of the four that were evaluated
    assert len(pickle.dumps(more_panel)) < one_series


def test_the_base_has_a_name():
    c = rt.compare(VAN, {"more panel": MORE}, TRIP, base_name="140 W", trials=100)
    assert {van for van, _ in c.risks} == {"140 W", "more panel"} and c.to_xarray()["van"].values[0] == "140 W"
    assert "more panel against 140 W" in str(c) and "difference from 140 W" in c._repr_html_()
    plain = c.to_dict()
    assert plain["base"] == "140 W" and plain["seed"] == 0 and plain["version"] == rt.__version__
    line = plain["vans"]["more panel"]["trips"]["trip"]
    assert line["outcomes"]["risk"]["difference"]["low"] == there(c["more panel"]["risk"].difference).low
    assert line["risk"]["high"] == c.risks["more panel", "trip"].cutout.high
    assert c["more panel", "trip"] is c["more panel"]
    with pytest.raises(rt.InputError, match="is the base"):
        c["140 W"]


def test_a_warning_says_which_van_it_is_of_at_the_line_that_called():
    cold = VAN.replace(dc_dc=None)
    trip = TRIP.replace(drives=[rt.Drive(days=[2], start_h=10, duration_h=2)])
    with pytest.warns(UserWarning, match=r"has no DC-DC charger.* \(van 'no charger'\)$") as caught:
        found = rt.compare(VAN, {"no charger": cold}, trip, trials=20)
    assert {one.filename for one in caught} == {__file__}
    assert found.to_xarray().attrs["warnings"].endswith("(van 'no charger')")


def test_what_is_no_van_or_trip_is_named_as_the_call_names_it():
    with pytest.raises(rt.InputError, match=r"^trips = Van") as error:
        rt.compare(VAN, {"a": MORE}, VAN)
    assert error.value.path == "trips" and error.value.value is VAN
    with pytest.raises(rt.InputError, match=r"^base = Trip"):
        rt.compare(TRIP, {"a": MORE}, TRIP)
    with pytest.raises(rt.InputError, match=r"^trips\['trip 2'\]"):
        rt.compare(VAN, {"a": MORE}, [TRIP, VAN.fridge])


@pytest.mark.parametrize(
    ("others", "more", "words"),
    [
        ({}, {}, "at least one"),
        ({"base": MORE}, {}, "not 'base'"),
        ({"a": MORE}, {"alarm_v": 20}, "alarm_v = 20: allowed 9 to 13"),
        ({"a": MORE}, {"trials": 1}, "trials = 1: allowed 2 or more"),
        ({"a": MORE}, {"prices": "missing.toml"}, "missing.toml"),
    ],
)
def test_bad_input(others, more, words):
    with pytest.raises(rt.InputError, match=words):
        rt.compare(VAN, others, TRIP, **({"trials": 300} | more))


def test_progress_by_van_and_trip(capsys):
    printed, trips = [], {"one": TRIP.replace(nights=1), "two": TRIP.replace(nights=2)}
    rt.compare(VAN, {"a": MORE}, trips, trials=20, progress=lambda *n: printed.append(n))
    assert printed == [(n, 80) for n in (20, 40, 60, 80)]
    printed.clear()
    rt.compare(VAN, {"a": MORE}, TRIP, trials=3_000, progress=lambda *n: printed.append(n))
    assert any(0 < done < 3_000 for done, _ in printed), "long runs are watched from their first trials on"
    assert printed == sorted(printed) and printed[-1] == (6_000, 6_000)
    rt.compare(VAN, {"a": MORE}, TRIP, trials=20)  # no terminal: no bar
    assert capsys.readouterr().err == ""


@EARLY_ENDS
def test_an_early_end_keeps_the_runs_that_are_done(raised, kind):
    def end(done, wanted):
        if done == 60:
            raise raised

    trips = {"one": TRIP.replace(nights=1), "two": TRIP.replace(nights=2)}
    with pytest.raises(kind, match="compare") as early:
        rt.compare(VAN, {"a": MORE}, trips, trials=20, progress=end)
    assert list(early.value.finished) == [("base", "one"), ("a", "one"), ("base", "two")]


def test_time_series_that_take_too_much_memory_are_refused_before_any_work(monkeypatch):
    stopping_at(monkeypatch, rt.compare, 0, raised=AssertionError("a trip was run"))
    with pytest.raises(rt.InputError, match="2 series of 1,000,000 trials take .* allowed 8 GiB"):
        rt.compare(VAN, {"a": MORE}, {"short": TRIP.replace(nights=1), "long": TRIP.replace(nights=90)}, trials=10**6)


def test_the_bundle_is_bought_and_its_mass_is_exchanged():
    c = rt.compare(VAN, {"lithium": rt.lithium_bundle(VAN)}, TRIP, trials=50)
    # By hand from the table's usual values, 150 Ah AGM to 120 Ah: 120 x 3.5 + 90 + 35 + 350 = 895; the ranges' medians
    # lie higher as they lean to the dear side. Mass 120 x .115 - 150 x .29 + .3 + .3 = -29.1 kg.
    assert c.cost["lithium"].low < 895 < c.cost["lithium"].high
    assert c.mass_kg["lithium"].low < -29.1 < c.mass_kg["lithium"].high


def test_a_van_that_never_failed_has_a_bound() -> None:
    """None of 200 trials: at most 1.9 % (Wilson 1927); an interval from 0 would say less than it seems."""
    sun = [2.4, 3.1, 4.3, 5.4, 5.6, 6.3, 6.1, 5.6, 4.4, 3.6, 2.4, 2.2]
    climate = rt.Climate(ghi_kwh_m2_day=sun, air_temp_c=[18.0] * 12)
    site = rt.Site(latitude=36.1, longitude=-79.95, climate=climate)
    trip = rt.Trip(site=site, start="2026-06-06 15:00", nights=2)
    van = rt.Van(battery=rt.AgmBattery(capacity_ah=300))
    found = rt.compare(van, {"more panel": van.replace("solar.rated_w", 400)}, trip, trials=200)
    for shown in (str(found), found._repr_html_()):
        assert shown.count("none of 200 trials, at most 1.9 %") == 2 and "0 % (0 of" not in shown
        assert "0 %; sampling" not in shown
