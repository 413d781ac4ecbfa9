"""What pictures say beside the drawing: the same words and signs as the verdict, and every chance with its interval."""

from __future__ import annotations

import re
from datetime import date, timedelta

import numpy as np
import pytest
import ridethrough as rt
import ridethrough._core as core
from picture_boxes import faults_of, texts_of
from ridethrough.files.scenario import demo_path, load_scenario
from ridethrough.report.pictures import first_cutout, ledger
from ridethrough.report.pictures.facts import chance_with_interval

pytest.importorskip("matplotlib")

DEMO = load_scenario(demo_path())


@pytest.fixture(scope="module")
def risk() -> rt.Risk:
    return rt.simulate(DEMO.van, DEMO.trip, trials=3000, seed=2)


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_the_time_of_most_first_cutouts_has_its_own_day_and_its_chance(risk: rt.Risk, size: str) -> None:
    picture = risk.plot.first_cutout(size=size)
    hours = 24 // np.asarray(picture.axes[0].collections[0].get_array()).shape[1]
    start = date.fromisoformat(risk.compiled.start_date)
    since = np.floor(risk.columns["first_cutout_h"][risk.columns["cutout_cause"] > 0]).astype(int)
    clock = np.minimum(since, risk.hours - 1) + int(risk.start_hour)  # hours since midnight of the first day
    counts = np.bincount(clock // hours)
    at = hours * int(counts.argmax())
    day = start + timedelta(days=at // 24)
    said = picture.alt
    assert f"from {at % 24}:00 on {day:%a} {day.day} {day:%b} (night {(at - 12) // 24 + 1})" in said
    assert chance_with_interval(core.wilson(int(counts.max()), risk.trials)) in said
    assert "Most first" not in said


def test_hours_before_noon_of_a_night_are_those_of_the_next_day(risk: rt.Risk) -> None:
    table = np.zeros((5, 12))
    table[4, 9] = 100 * 105 / risk.trials
    said = first_cutout._most(risk, table, 0, 2)
    assert "from 6:00 on Wed 11 Nov (night 5)" in said and "3.5 % (" in said and "3,000 trips)" in said
    table[4, 9], table[4, 0] = table[4, 0], table[4, 9]
    assert "from 12:00 on Tue 10 Nov (night 5)" in first_cutout._most(risk, table, 0, 2)


def test_the_ledger_has_the_names_and_signs_of_the_verdict(risk: rt.Risk) -> None:
    details = risk.verdict(details=True, suggest=False)
    table = details[details.index("Energy, Wh a day") :].splitlines()
    told = {name: row for row in table if (name := row.partition("  ")[0].strip())}
    for column, day in enumerate(risk.day_balances):
        for name, begin, end, kind in ledger.steps(day, risk.day_balances):
            value = re.split(r"\s{2,}", told[name].strip())[1 + column]
            assert value.replace("-", "−") == ledger._signed(end - begin, kind), name
    assert "from the battery +" in risk.plot.ledger().alt


def test_one_word_for_the_middle(risk: rt.Risk) -> None:
    assert "in a middling trip" in risk.verdict(details=True, suggest=False)
    for kind in ("charge", "temperatures"):
        assert "middling" in risk.plot(kind).alt


def test_a_lithium_battery_that_does_worse_is_explained() -> None:
    risk = rt.simulate(DEMO.van, DEMO.trip, trials=1000, seed=2)
    lithium = next(one for one in risk.suggestions().tried if one.group == "lithium")
    assert lithium.harms  # of this van and trip
    picture = risk.plot.changes()
    for said in (picture.alt, " ".join(text for text, _ in texts_of(picture.figure))):
        assert f"{lithium.name}: Less can be taken from it than from the AGM" in said


def test_the_owners_limit_stands_in_place_of_half_charge(risk: rt.Risk) -> None:
    picture = risk.plot.charge(charge_limit=0.3)
    lines = {line.get_label(): line for line in picture.axes[0].lines}
    assert "half charge" not in lines and lines["charge limit"].get_ydata() == pytest.approx([30, 30])
    said = f"he 30 % that you keep to; below it at some time: {chance_with_interval(risk.below_soc(0.3))}"
    assert said in picture.alt and said in " ".join(text for text, _ in texts_of(picture.figure))
    assert not faults_of(picture.figure)
    with pytest.raises(rt.InputError, match=r"charge_limit.*0\.99"):
        risk.plot.charge(charge_limit=30)
