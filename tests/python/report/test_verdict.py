"""The verdict for a reader: its order, length and columns, what stands beside a chance, and that no fact is lost."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from ridethrough.engine.failing_trials import FailingDifference
from ridethrough.engine.model_error import KnownError
from ridethrough.files.scenario import demo_path
from ridethrough.model.cautions import CARBON_MONOXIDE, CAUTION, IN_SHORT, LEAD_ACID_INSIDE, LICENSED, NEVER_TIRED, VENT
from ridethrough.report.cause_text import plain_difference
from ridethrough.report.layout import NARROW, WIDE, fill, lay_out
from ridethrough.report.sentences import in_range
from ridethrough.report.verdict import compose, write_verdict
from ridethrough.report.verdict_answers import one_in
from ridethrough.report.verdict_details import detail_lines
from ridethrough.studies import suggestions
from ridethrough.studies.suggestions import Suggestions
from verdict_text import one_line, verdict

SCENARIOS = [demo_path(), *sorted((Path(__file__).parents[2] / "data" / "scenarios").glob("*.toml"))]
MOST_WORDS, ONE_SCREEN = 250, 48
HEADINGS = (
    "WILL THE FRIDGE STAY ON?",
    "HOW MANY NIGHTS?",
    "IF IT FAILS",
    "THE BATTERY",
    "THE FOOD",
    "WHAT WOULD HELP MOST",
    "HOW SURE?",
)
INTERVAL = r"\d[\d.]* % \([\d.]+-[\d.]+ %, [\d,]+ trips?\)"
NONE = r"none of [\d,]+ trips?, at most [\d.]+ %"
# Climate of Greensboro (TMY3 723170, US public domain), and one 13 K colder, invented.
GHI = [2.41, 3.06, 4.25, 5.41, 5.64, 6.25, 6.08, 5.61, 4.43, 3.59, 2.43, 2.24]
AIR = [0.3, 5.0, 11.4, 14.7, 19.0, 23.6, 25.4, 24.8, 20.1, 13.1, 10.8, 4.2]


def trip(start: str = "2026-11-06 15:00", nights: int = 5, warmer_k: float = 0, **more: Any) -> rt.Trip:
    climate = rt.Climate(ghi_kwh_m2_day=GHI, air_temp_c=[c + warmer_k for c in AIR])
    return rt.Trip(site=rt.Site(latitude=36.1, longitude=-79.95, climate=climate), start=start, nights=nights, **more)


def words(text: str) -> int:
    """Words with two letters or more; numbers, signs of per cent and arrows are none."""
    return sum(1 for word in text.split() if re.search("[A-Za-z]{2}", word))


@pytest.fixture(scope="module", params=SCENARIOS, ids=[path.stem for path in SCENARIOS])
def played(request: pytest.FixtureRequest) -> tuple[str, rt.Risk]:
    scenario = rt.load_scenario(request.param)
    return scenario.title, rt.simulate(scenario.van, scenario.trip, trials=2000, seed=1, progress=False)


@pytest.fixture(scope="module")
def demo() -> rt.Risk:
    scenario = rt.load_scenario(demo_path())
    return rt.simulate(scenario.van, scenario.trip, trials=2000, seed=1, progress=False)


JANUARY = "2027-01-15 15:00"
SPECIAL = {
    "parked": lambda: (rt.Van(loads=[rt.Standby()]), trip(nights=14, party=rt.Party(persons=0))),
    "lithium in frost": lambda: (
        rt.Van(battery=rt.LithiumBattery(location="locker")),
        trip("2027-01-15 15:00", 5, -13),
    ),
    "medicine": lambda: (rt.Van(fridge=rt.Fridge(medicine=rt.Medicine())), trip()),
    "breathing machine": lambda: (rt.Van(loads=[*rt.Van().loads, rt.BreathingMachine()]), trip(nights=3)),
    "nothing fails": lambda: (rt.Van(battery=rt.AgmBattery(capacity_ah=300)), trip("2026-06-06 15:00")),
    "nearly all fail": lambda: (rt.Van(battery=rt.AgmBattery(capacity_ah=70), solar=None), trip()),
    "one night": lambda: (rt.Van(water=rt.WaterTanks()), trip(nights=1)),
    "thirty nights": lambda: (rt.Van(battery=rt.AgmBattery(capacity_ah=110)), trip("2026-04-05 15:00", 30)),
}


@pytest.fixture(scope="module", params=SPECIAL)
def special(request: pytest.FixtureRequest) -> rt.Risk:
    van, plan = SPECIAL[request.param]()
    return rt.simulate(van, plan, trials=500, seed=1, progress=False)


def check_form(text: str, width: int) -> None:
    assert max(map(len, text.splitlines())) <= width
    assert (
        "\n%" not in text and "\n\n\n" not in text and not re.search(r"\bnan\b|None(?!,?\s+(at|of|even))|\binf\b", text)
    )
    assert (one_line(CAUTION) if "DETAILS" in text else IN_SHORT) in one_line(text)


def check_chances(text: str) -> None:
    """Every chance of the answer has its interval and the trips; what has none is a level, a charge or a change."""
    section = one_line(text[text.index(HEADINGS[0]) :])
    section = section[: section.index("WHAT WOULD HELP MOST")]
    rest = re.sub(rf"{INTERVAL}|{NONE}", "", section)
    rest = re.sub(r"with the model's error [\d.]+ to [\d.]+ %", "", rest)
    rest = re.sub(r"(at (a risk of )?(5|10|20) %,? ?)+", "", rest)
    rest = re.sub(r"Above \d+ % charge:", "", rest)
    rest = re.sub(r"Lowest charge (\d+ % in a middling trip, under \d+ % in 1 of 20|under 1 % in a middling)", "", rest)
    rest = re.sub(r"\d+ % (less|more) sun|\([\d.]+ against [\d.]+ %(?: of [a-z' ]+)?\)", "", rest)
    assert "%" not in rest, rest


def test_the_sections_stand_in_their_order(played: tuple[str, rt.Risk]) -> None:
    title, risk = played
    text = risk.verdict(title=title)
    places = [text.index(f"\n{heading}") for heading in HEADINGS]
    assert places == sorted(places)
    head = text[: places[0]]
    for kind in ("Cold to live", "Food freezes"):
        assert kind not in text[text.index(title) :]  # warnings come before it
    assert re.search(r"\d nights?, [A-Z][a-z]{2} \d+ [A-Z][a-z]{2} 20\d\d \d\d:00 to ", one_line(head))
    for battery in risk.van.batteries:
        assert f"{battery.capacity_ah:g} Ah" in head
    assert f"{risk.van.fridge.volume_l:g} l fridge" in head and "\nAh a day: " in head
    for load in risk.van.loads:
        assert load.name.replace("_", " ") in head
    assert "If in doubt, throw it out." in one_line(text[text.index("THE FOOD") : text.index("WHAT WOULD HELP")])


def check_length(risk: rt.Risk, title: str, charge_limit: float | None = None) -> None:
    """Cautions included; a trip that needs warnings has their words more."""
    found = risk.suggestions(charge_limit=charge_limit)
    warned = lay_out([compose(risk, found, title=title, charge_limit=charge_limit).warnings], WIDE)
    text = risk.verdict(title=title, charge_limit=charge_limit)
    assert words(text) <= MOST_WORDS + words(warned), words(text)
    assert text.count("\n") < ONE_SCREEN


@pytest.mark.parametrize("charge_limit", [None, 0.5])
def test_the_verdict_is_short(played: tuple[str, rt.Risk], charge_limit: float | None) -> None:
    title, risk = played
    check_length(risk, title, charge_limit)


STARTERS: dict[str, dict[str, Any]] = {
    "late September": {"latitude": 44.5, "longitude": -110, "start": "2026-09-24 15:00", "nights": 4},
    "lithium": {"latitude": 44.5, "longitude": -110, "start": "2026-09-24 15:00", "nights": 4, "battery": "lithium"},
    "winter with heater": {
        "latitude": 47,
        "longitude": 11,
        "start": "2027-01-15 15:00",
        "nights": 5,
        "capacity_ah": 200,
        "drive_days": "2, 4",
    },
}


@pytest.mark.parametrize("starter", STARTERS)
def test_the_verdict_on_a_starter_file_is_short(starter: str, tmp_path: Path) -> None:
    rt.new_scenario(tmp_path / "trip.toml", **STARTERS[starter])
    scenario = rt.load_scenario(tmp_path / "trip.toml")
    risk = rt.simulate(scenario.van, scenario.trip, trials=2000, seed=1, progress=False)
    check_length(risk, scenario.title)
    check_length(risk, scenario.title, 0.5)


def test_the_screen_has_the_cautions_in_two_sentences(demo: rt.Risk) -> None:
    """What can hurt somebody in this van stands there; the whole text stands in the details."""
    screen, details = one_line(demo.verdict()), one_line(demo.verdict(details=True))
    assert f"{IN_SHORT} {LICENSED}; {VENT}; {NEVER_TIRED}. More: --details." in screen
    assert LEAD_ACID_INSIDE in details and LEAD_ACID_INSIDE not in screen and CAUTION in details
    idling = rt.simulate(
        demo.van.replace(**{"battery.location": "locker"}), demo.trip.replace(idling=[rt.Idle(days=2)]), trials=20
    )
    text = one_line(idling.verdict(suggest=False))
    assert CARBON_MONOXIDE in text and VENT not in text and NEVER_TIRED not in text


@pytest.mark.parametrize("narrow", [False, True])
@pytest.mark.parametrize("details", [False, True])
def test_lines_are_as_wide_as_they_may(played: tuple[str, rt.Risk], narrow: bool, details: bool) -> None:
    title, risk = played
    text = risk.verdict(title=title, narrow=narrow, details=details)
    check_form(text, NARROW if narrow else WIDE)
    check_chances(text)
    assert text.split() == risk.verdict(title=title, details=details).split()


def test_special_trips_read_alike(special: rt.Risk) -> None:
    for narrow in (False, True):
        text = special.verdict(narrow=narrow)
        check_form(text, NARROW if narrow else WIDE)
        check_chances(text)
    check_form(str(special), WIDE)
    assert "trial" not in special.verdict()  # one word for one thing


def test_no_fact_of_the_details_is_lost(played: tuple[str, rt.Risk]) -> None:
    _, risk = played
    text = one_line(risk.verdict(details=True))
    for line in detail_lines(risk):
        assert one_line(line) in text
    for heading in (
        "Energy, Wh a day",
        "Lowest charge: ",
        "sampling error alone",
        "Food: above 5 degC",
        "Climate",
        "Clock",
    ):
        assert heading in text
    for difference in risk.failing_differences:
        dated = difference.what.startswith(("sun from", "outdoor air from"))
        assert (difference.what if dated else plain_difference(risk, difference)) in text  # all causes
    assert not re.search(r"\b[a-z]+(?:\.[a-z_0-9]+)+\b|[a-z]_[a-z]", text.replace("America/New_York", ""))  # no path
    for tried in risk.suggestions().tried:
        assert tried.name in text


def test_printing_plays_nothing(demo: rt.Risk, monkeypatch: pytest.MonkeyPatch) -> None:
    fresh = rt.simulate(demo.van, demo.trip, trials=200, seed=1, progress=False)  # of which nothing is kept
    monkeypatch.setattr(suggestions, "run_trip", None)
    assert "risk.verdict() tries some changes" in str(fresh) and "tries some changes" in fresh.verdict(suggest=False)
    assert "verdict()" not in fresh._repr_html_()
    with pytest.raises(TypeError):
        fresh.suggestions()


def test_suggestions_are_paired_and_kept(demo: rt.Risk) -> None:
    found = demo.suggestions()
    assert found is demo.suggestions() and found.base is not None
    n = found.base.trials
    failed = demo.columns["cutout_cause"][:n] > 0
    assert found.base.events == failed.sum()
    more = next(s for s in found.tried if s.name == "100 W more panel")
    van = demo.van.replace(**{"solar.rated_w": 320})
    other = rt.simulate(van, demo.trip, trials=n, seed=demo.seed, progress=False)
    assert more.risk == other.cutout
    assert more.change == rt.stats.paired_difference(other.columns["cutout_cause"] > 0, failed)
    summary = rt.simulate(demo.van, demo.trip, trials=2000, seed=1, keep="summary", progress=False)
    assert summary.suggestions(1).to_dict() == json.loads(json.dumps(found.to_dict()))


def test_lithium_that_comes_out_worse_is_explained(demo: rt.Risk) -> None:
    text = one_line(demo.verdict())
    assert "Lithium, 120 Ah: " in text
    assert "): fewer Ah than the AGM run flat." in text
    assert re.search(
        r"Lithium, 120 Ah: Less can be taken from it .*; kept above half", one_line(demo.verdict(details=True))
    )
    change = rt.LithiumBattery(capacity_ah=100)
    compared = str(rt.compare(demo.van, {"lithium": demo.van.replace(battery=change)}, demo.trip, trials=500))
    assert "Less can be taken from it than from the AGM when that is run right down" in compared
    bundle = [c for c in rt.catalogue(demo.van, demo.trip) if c.name.startswith("lithium")]
    ranked = str(rt.upgrades(demo.van, demo.trip, bundle, pairs=False, trials=500))
    assert "lithium bundle, 120 Ah: Less can be taken from it" in ranked


def test_a_limit_of_the_charge_is_counted(demo: rt.Risk) -> None:
    below = demo.below_soc(0.6)
    assert below.events == np.count_nonzero(np.floor(demo.columns["min_soc"] * 400) < 240)
    assert "Below the 60 % charge that you keep to: " in demo.verdict(charge_limit=0.6)
    assert demo.verdict(charge_limit="60 %") == demo.verdict(charge_limit=0.6)
    assert "Below half wears it." in demo.verdict(charge_limit=0.5)  # its chance stands above
    wrong: Any
    for wrong in (0, 1, 60, "half"):
        with pytest.raises(rt.InputError, match=r"charge_limit = .*(allowed 0.01 to 0.99|'half')"):
            demo.verdict(charge_limit=wrong)
        with pytest.raises(rt.InputError, match=r"allowed .*0\.01"):
            demo.below_soc(wrong)


@pytest.mark.parametrize(
    "title",
    ["", "  ", "a\nb\tc", "\x1b[31mred\x07", "x" * 500, "100 % {sure} %s \\n", "Warning: none", "no\u00a0break " * 40],
)
def test_titles_cannot_break_the_form(demo: rt.Risk, title: str) -> None:
    for narrow in (False, True):
        text = write_verdict(demo, None, title=title, narrow=narrow)
        check_form(text, NARROW if narrow else WIDE)
        assert all(c.isprintable() or c == "\n" for c in text)
    assert words(write_verdict(demo, None, title="")) == words(write_verdict(demo, None, title="  "))


def test_the_honest_range_joins_sampling_and_model() -> None:
    """By hand: the log odds of 1 in 10 are -2.197; a model's error of 0.3 is 0.6 either way, in quadrature."""
    error = KnownError((("weather", 0.3),))
    few, many = rt.stats.wilson(10, 100), rt.stats.wilson(100_000, 1_000_000)
    assert error.together(many) == pytest.approx(error.around(0.1), abs=1e-3)
    low, high = error.together(few)
    assert low < min(few.low, error.around(0.1)[0]) and high > max(few.high, error.around(0.1)[1])
    up = math.log(few.high / (1 - few.high)) + 2.1972
    assert math.log(high / (1 - high)) == pytest.approx(-2.1972 + math.hypot(0.6, up), abs=1e-3)
    assert KnownError(()).together(few) == pytest.approx((few.low, few.high))
    none, every = rt.stats.wilson(0, 100), rt.stats.wilson(100, 100)
    assert error.together(none) == (0.0, error.around(none.high)[1])
    assert error.together(every) == (error.around(every.low)[0], 1.0)
    assert error.without("weather").together(few) == pytest.approx((few.low, few.high))


def test_nights_count_the_models_error_too(demo: rt.Risk) -> None:
    for level in (0.05, 0.1, 0.2, 0.5):
        assert demo.nights_at(level, model_error=True) <= demo.nights_at(level)
    plain = demo.to_dict()
    assert plain["nights_at"][0] == {
        "risk": 0.05,
        "nights": demo.nights_at(0.05),
        "nights_with_model_error": demo.nights_at(0.05, model_error=True),
    }
    assert (plain["likely_range"]["low"], plain["likely_range"]["high"]) == demo.likely_range
    assert demo.likely_range[0] < demo.cutout.low < demo.cutout.high < demo.likely_range[1]


def test_where_nothing_failed_the_words_have_the_honest_bound() -> None:
    """None of 200 trips: by sampling alone 1.9 % or 1 in 53 (Wilson 1927), which the model's error widens."""
    safe = rt.simulate(rt.Van(battery=rt.AgmBattery(capacity_ah=300)), trip("2026-06-06 15:00"), trials=200)
    text, most = one_line(safe.verdict(suggest=False)), safe.likely_range[1]
    assert safe.cutout.events == 0 and safe.cutout.high == pytest.approx(1 / 53, rel=0.01) and most > safe.cutout.high
    assert f"with the model's error up to about 1 in {math.floor(1 / most)} may have a cut-out" in text
    assert "sure)" not in text
    assert [one_in(share) for share in (0.4, 0.0191, 1 / 1299)] == ["1 in 2", "1 in 52", "1 in 1,200"]


def test_a_notebook_shows_one_count_of_nights_and_one_range(demo: rt.Risk) -> None:
    """Where few trips were played, sampling alone and sampling with the model's error are far apart."""
    few = rt.simulate(demo.van, demo.trip, trials=200, seed=1, progress=False)
    shown = re.sub(r'src="[^"]*"', "", few._repr_html_())
    assert shown.count(" at a risk of ") == 1 and "nights that hold" not in shown
    low, high = few.likely_range
    assert f"with the model's error {in_range(low, high)}" in shown.replace("&#x27;", "'")
    low, high = few.model_error.around(few.cutout.value)
    assert f"{100 * low:.0f} % to {100 * high:.0f} %" not in shown and "may be off by a factor of" in shown
    assert "by sampling error alone, without the model's: " in "\n".join(detail_lines(few))


def test_every_spread_has_words_without_its_path() -> None:
    """Of all that a trial may draw, whichever the failing trips have more of."""
    van = rt.Van(
        loads=[getattr(rt, name)() for name in ("Lights", "Fan", "Inverter", "Heater", "Standby", "Kettle", "Laptop")],
        mains=rt.MainsCharger(),
        arrays=[rt.SolarArray(), rt.PortableArray()],
    )
    risk = rt.simulate(van, trip(habits_scale=rt.spreads.uniform(0.8, 1.2, per="trial")), trials=8, progress=False)
    paths = [risk.compiled.parameter_paths[i] for i in risk.compiled.spread_parameters]
    assert len(paths) > 30
    for path in paths:
        for failing in (1.0, 3.0):
            said = plain_difference(risk, FailingDifference(path, "A", failing, 2.0, 1.0))
            assert not re.search(r"_|[a-z]\.[a-z]|\{", said), said


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (0.095, 0.32, "9.5 to 32 %"),
        (0.13, 0.912, "13 to 91 %"),
        (0.0, 0.00112, "0 to 0.11 %"),
        (0.9936, 1.0, "99.36 to 100 %"),
        (1e-7, 0.02, "0.000010 to 2.0 %"),
    ],
)
def test_ranges_have_two_digits(low: float, high: float, said: str) -> None:
    assert in_range(low, high) == said


def test_a_change_after_which_nothing_failed_is_no_promise(demo: rt.Risk) -> None:
    """No event in 100 trips: the interval's upper end is 3.7 % (Wilson 1927, z of 95 %)."""
    after = rt.stats.wilson(0, 100)
    gap = rt.stats.paired_difference(np.zeros(100), (np.arange(100) < 20).astype(float))
    found = Suggestions(rt.stats.wilson(20, 100), (suggestions.Suggestion("a large panel", after, gap),))
    assert after.high == pytest.approx(0.037, abs=5e-4)
    assert "  a large panel  20 -> under 4 % (" in write_verdict(demo, found)


def test_temperatures_are_told_in_whole_degrees(demo: rt.Risk) -> None:
    what = "outdoor air from 2026-11-07 15:00 to 2026-11-09 15:00"
    said = plain_difference(demo, FailingDifference(what, "degC", -0.06, 3.62, -1.0))
    assert said == "colder days Sat 7-Mon 9 Nov (0 against 4 degC)"
    near = FailingDifference(what, "degC", 3.6, 4.4, -1.0)
    assert "(3.6 against 4.4 degC)" in plain_difference(demo, near)


def test_why_nothing_was_tried_is_said(demo: rt.Risk) -> None:
    none = write_verdict(demo, Suggestions(None, reason="the run was stopped"))
    assert "Not tried: the run was stopped. The command ridethrough upgrades takes longer." in one_line(none)
    long = rt.simulate(rt.Van(solar=None), trip(nights=365), trials=20, progress=False)
    assert "too long" in long.suggestions().reason or long.suggestions().base is not None
    safe = rt.simulate(rt.Van(battery=rt.AgmBattery(capacity_ah=300)), trip("2026-06-06 15:00"), trials=100)
    assert safe.suggestions().tried == () and "Not tried: no trip failed." in one_line(safe.verdict())


def test_a_narrow_line_keeps_a_number_with_its_unit() -> None:
    assert fill("a chance of 12 %", 14) == ["a chance of", "12 %"]
    assert fill("a fridge of 55 l at 4 degC", 18) == ["a fridge of 55 l", "at 4 degC"]
    assert verdict(rt.simulate(rt.Van(), trip(nights=1), trials=20, progress=False)).count("HOW SURE?") == 1
