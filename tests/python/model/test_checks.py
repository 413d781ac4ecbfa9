"""Arguments of another form (a text for a number, a number for a list) are InputErrors, never Python's own errors."""

from __future__ import annotations

import datetime
import inspect
from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest
import quick_studies
import ridethrough
from quick_studies import DAYS, RECORD
from study_fixture import SITE, TRIP, VAN

rt: Any = ridethrough  # as calls here are wrong on purpose
ANY_VAN: Any = VAN
pytest.importorskip("xarray")

RISK = rt.simulate(VAN, TRIP, trials=50)
RANGE = quick_studies.CALLS["van_range"][0](progress=False)
MONTHS = quick_studies.CALLS["monthly_risk"][0](progress=False)
PLAYED = quick_studies.CALLS["hindcast"][0](progress=False)
UPGRADES = quick_studies.CALLS["upgrades"][0](progress=False)
PLACE = {"latitude": 36.1, "longitude": -79.95}
CUTOUTS = {"makers_range_v": (9, 12), "dedicated_house_battery": True}
SOLD = {"sites": [SITE], "customers": {"light_couple": 1}, "months": [6]}
TWO_YEARS = pd.concat([RECORD, RECORD.set_axis(RECORD.index + pd.Timedelta("366D"))])
SCORED = rt.hindcast(VAN, TRIP, TWO_YEARS, trials=1)
TEXT = RECORD.assign(ghi_kwh_m2="much")
FULL = VAN.replace(**{"battery.initial_soc": 0.05, "solar.rated_w": 20})  # fails in every trial

WRONG: dict[str, tuple[Callable[[], object], str]] = {
    "sheet": (lambda: rt.battery_sheet("a", 3), "load_ah_per_day = 'a': allowed 0.01 to"),
    "passes": (lambda: rt.worksheet_passes("a", 40, 3), "capacity_ah = 'a'"),
    "passes, charge": (lambda: rt.worksheet_passes(100, 40, 3, charge_ah_per_day="a"), "charge_ah_per_day = 'a'"),
    "passes, line": (lambda: rt.worksheet_passes(100, 40, 3, deep=0.5), "deep = 0.5: no such argument"),
    "panels": (lambda: rt.iso_risk(VAN, TRIP, 200), "panels_w = 200: allowed a list"),
    "panels, text": (lambda: rt.iso_risk(VAN, TRIP, ["200"]), "panels_w = .'200'.: allowed a list"),
    "panels, none": (lambda: rt.iso_risk(VAN, TRIP, []), r"panels_w = \[\]"),
    "cut-outs": (lambda: rt.cutout_settings(VAN, TRIP, 11.0, **CUTOUTS), "settings_v = 11.0: allowed a list"),
    "within": (lambda: rt.size(VAN, TRIP, "solar.rated_w", within=("a", "b")), "within = .*two numbers"),
    "bundle": (lambda: rt.lithium_pays(VAN, TRIP, VAN), "bundle = .*must be a Bundle"),
    "range, trip": (lambda: rt.van_range({"a": VAN}, VAN, **SOLD), "trip = .*must be a Trip"),
    "range, months": (lambda: rt.van_range({"a": VAN}, TRIP, **SOLD | {"months": 6}), "months = 6: allowed"),
    "range, sold": (lambda: rt.van_range({"a": VAN}, TRIP, **SOLD, sold=5), "sold = 5: allowed a dict"),
    "range, sold place": (lambda: rt.van_range({"a": VAN}, TRIP, **SOLD, sold={"hre": ["Jun"]}), "no site is called"),
    "range, sold month": (
        lambda: rt.van_range({"a": VAN}, TRIP, **SOLD, sold={"Greensboro": 5}),
        r"sold\['Greensboro'\] = 5",
    ),
    "shifts": (lambda: rt.rare_risk(VAN, TRIP, shifts=[1]), r"shifts = \[1\]: allowed a dict"),
    "method": (lambda: rt.sensitivity(VAN, TRIP, method=["x"]), r"method = \['x'\]: allowed 'sobol'"),
    "outcome": (
        lambda: rt.sensitivity(VAN, TRIP, outcome="hours_of", trials=10**9),
        "outcome = 'hours_of': a run has no such outcome that is one number",
    ),
    "axes": (lambda: rt.sweep(VAN, TRIP, {5: [1]}), "axes = .5: .1..: allowed a dict"),
    "others": (lambda: rt.compare(VAN, {5: VAN}, TRIP), "others = .*allowed a mapping of names"),
    "trips": (lambda: rt.compare(VAN, {"a": VAN}, {5: TRIP}), "trips = .*a mapping of names to trips"),
    "score, seed": (lambda: rt.score_hindcasts({"a": SCORED}, {"a": MONTHS}, seed=-1), "seed = -1"),
    "score, months": (
        lambda: rt.score_hindcasts({"a": SCORED}, {"a": MONTHS.frame.iloc[:11]}),
        r"risks\['a'\]: 11 months; allowed 12",
    ),
    "score, column": (
        lambda: rt.score_hindcasts({"a": SCORED}, {"a": MONTHS.frame.drop(columns="risk_low")}),
        "has no column risk_low",
    ),
    "score, worksheet": (
        lambda: rt.score_hindcasts({"a": SCORED}, {"a": MONTHS}, worksheet={"b": [True] * 12}),
        "worksheet: there is nothing for 'a'",
    ),
    "empty, column": (lambda: rt.worksheet_says_empty(RECORD, 1800), "has no column load_wh_day"),
    "empty, battery": (lambda: rt.worksheet_says_empty(MONTHS, "a"), "battery_wh = 'a'"),
    "hindcast, clock": (lambda: rt.hindcast(VAN, TRIP, RECORD, utc_offset_h="x"), "utc_offset_h = 'x': allowed -14"),
    "hindcast, label": (lambda: rt.hindcast(VAN, TRIP, RECORD, label="left"), "label = 'left': is of an hourly record"),
    "hindcast, text": (lambda: rt.hindcast(VAN, TRIP, TEXT), "a column holds what is not a number"),
    "daily, text": (lambda: rt.Climate.from_daily(TEXT, **PLACE), "a column holds what is not a number"),
    "daily, place": (lambda: rt.Climate.from_daily(RECORD, latitude="x", longitude=0), "latitude = 'x': allowed -90"),
    "daily, clock": (lambda: rt.Climate.from_daily(RECORD, **PLACE, utc_offset_h="x"), "utc_offset_h = 'x'"),
    "origin": (lambda: ANY_VAN.origin(5), "path = 5: allowed a dotted path"),
    "measured": (lambda: ANY_VAN.with_measured([1], "2026-05-01"), r"values = \[1\]: allowed a dict"),
    "measured, day": (lambda: ANY_VAN.with_measured({"battery.capacity_ah": 92}, 5), "date = 5: allowed a day"),
    "from_dict": (lambda: rt.Van.from_dict({5: 5}), "Van = 5: names of fields are texts"),
    "quantile": (lambda: RISK.quantile(), "quantile.column: must be given"),
    "quantile, share": (lambda: RISK.quantile("min_soc", "a"), "share = 'a'"),
    "shares": (lambda: RISK.min_soc_quantiles([5, float("nan")]), "shares = .*allowed a list of numbers 0 to 1"),
    "shares, one": (lambda: RISK.soc_quantiles(0.5), "shares = 0.5: allowed a list"),
    "level": (lambda: RISK.nights_at(True), "level = True"),
    "load": (lambda: RISK.load_ah["x"], "load_ah = 'x'"),
    "flag": (lambda: RISK.flag_chance("min_soc"), "name = 'min_soc': is not 0 or 1 in each trial"),
    "risk of a range": (lambda: RANGE.risk("x", "Greensboro", "Jun"), "model = 'x': there is none of that name"),
    "worst month": (lambda: RANGE.worst_month("a", "y"), "site = 'y': there is none of that name; allowed Greensboro"),
    "nights of a range": (lambda: RANGE.nights_at(5), "level = 5: allowed above 0 and below 1"),
    "better": (lambda: UPGRADES.distinguishable("a", "b"), "better = 'a': allowed an Upgrade"),
    "habits": (lambda: rt.habits(["x"]), r"habits = \['x'\]: no such habits"),
    "max_trials": (lambda: rt.simulate(VAN, TRIP, max_trials=5), "max_trials = 5: says nothing without half_width"),
    "pilot": (lambda: rt.rare_risk(VAN, TRIP, shifts={}, pilot_trials=500), "pilot_trials = 500: there is no pilot"),
}


@pytest.mark.filterwarnings("ignore::UserWarning")
@pytest.mark.parametrize("case", WRONG)
def test_an_argument_of_another_form_is_an_input_error(case: str) -> None:
    call, words = WRONG[case]
    with pytest.raises(rt.InputError, match=words):
        call()


def test_threads_stand_beside_no_executor() -> None:
    class Inline:
        submit = None

    with pytest.raises(rt.InputError, match="threads = 2: an executor has its own"):
        rt.simulate(VAN, TRIP, trials=10, threads=2, executor=Inline())


@pytest.mark.filterwarnings("ignore::UserWarning")
def test_a_probability_that_is_not_small_is_left_to_plain_trials() -> None:
    with pytest.raises(rt.DegenerateWeights, match="all 1,000 trials fail"):
        rt.rare_risk(FULL, TRIP.replace(nights=9), trials=1000, shifts={})


def test_a_day_of_python_and_a_generator_will_do() -> None:
    assert VAN.with_measured({"battery.capacity_ah": 92}, datetime.date(2026, 5, 1)) == VAN.with_measured(
        {"battery.capacity_ah": 92}, "2026-05-01"
    )
    how = {"within": (60, 120), "step": 30, "trials": 50}
    found = rt.iso_risk(VAN, TRIP, (watts for watts in np.array([150, 200])), 0.5, **how)
    assert [point.panel_w for point in found.points] == [150, 200]


METHODS = {
    f"{kind.__name__}.{name}": member
    for kind in vars(rt).values()
    if isinstance(kind, type) and issubclass(kind, (rt.Result, rt.Configuration))
    for name, member in vars(kind).items()
    if inspect.isfunction(member) and not name.startswith("_")
}


@pytest.mark.parametrize("name", METHODS)
def test_methods_check_how_they_are_called(name: str) -> None:
    """Those that need an argument: without it they would raise Python's TypeError."""
    parameters = [*inspect.signature(METHODS[name]).parameters.values()][1:]
    needs = [p for p in parameters if p.default is p.empty and p.kind is p.POSITIONAL_OR_KEYWORD]
    assert not needs or hasattr(METHODS[name], "__wrapped__")


def test_a_hindcast_of_no_day_can_be_printed() -> None:
    none = type(PLAYED)(PLAYED.van, PLAYED.trip, PLAYED.frame.iloc[:0], 1, 0, len(DAYS))
    assert "No start day was finished" in str(none) and "No start day" in none._repr_html_()
