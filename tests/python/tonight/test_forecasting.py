"""Forecasts: what readings do to the chance of a cut-out, and what they must not do."""

from __future__ import annotations

import numpy as np
import pytest
import ridethrough as rt
from evenings import AGM, LITHIUM, NOW, POLAR, TRIP, failed_examples
from ridethrough.engine.validation import compile_trip
from ridethrough.tonight import forecasting, posterior

FEW = 4096
THIRSTY = AGM.replace(battery=rt.AgmBattery(capacity_ah=100))
EVENINGS = ["90 %, 2026-11-06 20:00", "78 %, 2026-11-07 20:00", "62 %"]


def tonight(readings=("62 %",), van=THIRSTY, trials=FEW, **more):
    return rt.forecast(van, TRIP, now=more.pop("now", NOW), readings=readings, trials=trials, **more)


@pytest.fixture(scope="module", autouse=True)
def few_will_do():
    """Quick tests: fewer effective trips are enough before copies are moved."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(posterior, "LEAST", 100)
        patch.setattr(posterior, "LARGEST_SHARE", 0.05)
        patch.setattr(forecasting, "LEAST", 100)
        yield


@pytest.fixture(scope="module")
def one(few_will_do):
    return tonight()


def test_a_forecast_without_readings_is_the_run_s_own(one):
    # The trips are those of simulate: among them the ones that still have their fridge on now.
    risk = rt.simulate(THIRSTY, TRIP, trials=FEW)
    first = risk.columns["first_cutout_h"]
    kept = first > 53
    share = float((kept & np.isfinite(first)).sum() / kept.sum())
    none = tonight(())
    assert none.end.value == pytest.approx(share, abs=1e-12)
    assert none.effective_trials == int(kept.sum())
    unknown = tonight((), kept_on=False)
    assert unknown.effective_trials == FEW and unknown.end.value >= share
    assert one.end.value != none.end.value


def test_a_reading_without_information_changes_nothing():
    vague = rt.Reading("5 degC")
    assert tonight([vague]).end.value == pytest.approx(tonight(()).end.value, abs=0.03)
    twice = tonight(["62 %", "vehicle feed absent"])
    assert twice.end == tonight(["62 %"]).end, "a charger's word that tells nothing of the charge: the same bits"


def test_order_threads_and_repetition_give_the_same_bits(one):
    many = tonight(EVENINGS)
    assert tonight(EVENINGS[::-1], threads=1) == many
    assert tonight() == one
    assert tonight(seed=5) != one


def test_a_lower_charge_is_a_higher_chance_and_a_lower_battery():
    found = [tonight([f"{charge} %"]) for charge in (45, 62, 80)]
    assert found[0].end.low > found[1].end.high and found[1].end.low > found[2].end.high
    assert found[0].soc[0.5] < found[1].soc[0.5] < found[2].soc[0.5]
    for one in found:
        assert one.tomorrow.value <= one.by("2026-11-09").value <= one.by("2026-11-10").value <= one.end.value
        assert list(one.soc.values()) == sorted(one.soc.values())
        assert one.lowest_soc[0.5] <= one.soc[0.5] + 1e-9


def test_it_differs_from_a_new_trip_that_starts_with_the_charge_read():
    # A van that is down to 62 % by the third evening has thirsty habits or a weak panel, which a restart forgets; a
    # reading that is sharper than a counter's shows it. (Prototype beforehand: 18 % against 8.5 %.)
    low = tonight(["50 %, full 2026-11-08 12:00", "70 %, 2026-11-07 20:00, full 2026-11-07 12:00"], trials=16_384)
    restart = rt.simulate(
        THIRSTY.replace(battery=rt.AgmBattery(capacity_ah=100, initial_soc=low.soc[0.5])),
        TRIP.replace(start="2026-11-08 20:00", nights=3),
        trials=FEW,
    )
    # The same hours: a restart that ends as the trip does counts drops before its 67th hour.
    drops = float((restart.columns["first_cutout_h"] < 67).mean())
    assert low.end.low > drops


def test_the_same_charge_read_thrice_is_no_sharper_than_read_once():
    once, thrice = (
        tonight(["62 %"], trials=16_384),
        tonight(["62 %", "62 %, 2026-11-08 19:00", "62 %, 2026-11-08 18:00"], trials=16_384),
    )
    width = [found.soc[0.95] - found.soc[0.05] for found in (once, thrice)]
    assert width[1] > 0.85 * width[0], "its drift is shared"


def test_volts_under_the_compressor_are_not_volts_at_rest():
    rest, runs = (
        tonight([rt.Reading("12.1 V", at="fridge", compressor=compressor)]).soc[0.5] for compressor in (False, True)
    )
    assert rest < runs - 0.05, "its own sag is taken off"


def test_lithium_s_volts_tell_little():
    trip = tonight((), van=LITHIUM).soc
    read = tonight(["13.2 V"], van=LITHIUM).soc
    agm = tonight(["12.4 V"]).soc
    assert read[0.95] - read[0.05] > 0.5 * (trip[0.95] - trip[0.05])
    assert agm[0.95] - agm[0.05] > 0.1


def test_readings_that_contradict_are_refused():
    with pytest.raises(rt.InputError, match="none of .* trips of this model comes near them"):
        tonight(["99 %, 2026-11-08 19:00, full 2026-11-08 18:00", "20 %, full 2026-11-08 18:00"])
    with pytest.raises(rt.InputError, match="now .*within the first hour"):
        tonight((), now="2026-11-06 15:30")
    with pytest.raises(rt.InputError, match="trials = 10: allowed whole numbers 100"):
        tonight(trials=10)
    with pytest.raises(rt.InputError, match="kept_on"):
        tonight(kept_on="yes")
    with pytest.raises(rt.InputError, match="day = '2026-11-08'"):
        tonight(()).by("2026-11-08")


def test_tomorrow_is_when_the_sun_next_charges(one):
    assert one.tomorrow_at.startswith(("2026-11-09 08:", "2026-11-09 09:"))
    # In the small hours it is that morning's Sun; where it does not rise that high, the next day's noon.
    assert tonight((), now="2026-11-09 02:00").tomorrow_at == one.tomorrow_at
    polar = rt.forecast(AGM, POLAR, now="2026-12-08 20:00", trials=FEW, kept_on=False)
    assert polar.tomorrow_at == "2026-12-09 12:00"


def test_what_was_said_before_stands_beside_it():
    found = tonight(EVENINGS)
    assert [one.when for one in found.evenings] == ["the start", "2026-11-06 20:00", "2026-11-07 20:00"]
    risk = rt.simulate(THIRSTY, TRIP, trials=FEW)
    assert found.evenings[0].end == risk.cutout
    earlier = tonight(EVENINGS[:2], now="2026-11-07 20:00")
    assert found.evenings[2].end.value == pytest.approx(earlier.end.value, abs=1e-9)


def test_moved_copies_answer_as_weights_do(monkeypatch):
    weighted = tonight(EVENINGS, trials=16_384)
    monkeypatch.setattr(posterior, "LEAST", 10**9)
    monkeypatch.setattr(posterior, "MOVES", 12)
    monkeypatch.setattr(posterior, "PARTICLES", 128)
    moved = tonight(EVENINGS)
    assert (weighted.method, moved.method) == ("weights", "moves")
    # Each replicate has 128 copies: the two answers within both 99.99 % intervals (Student's t of 7: 2.8 of 95 %'s).
    for name in ("end", "tomorrow"):
        a, b = getattr(weighted, name), getattr(moved, name)
        assert abs(a.value - b.value) <= 2.8 * max(b.high - b.value, b.value - b.low) + (a.high - a.low)
    assert moved.soc[0.5] == pytest.approx(weighted.soc[0.5], abs=0.02)
    assert moved.end.low < moved.end.value < moved.end.high
    assert tonight(EVENINGS, threads=1) == moved


def test_replicates_that_disagree_are_refused(monkeypatch):
    monkeypatch.setattr(posterior, "LEAST", 10**9)
    monkeypatch.setattr(posterior, "MOVES", 1)
    monkeypatch.setattr(posterior, "PARTICLES", 16)
    monkeypatch.setattr(posterior, "AGREED", 0.01)
    with pytest.raises(rt.InputError, match="independent runs differ by"):
        tonight(EVENINGS)


def test_plain_data(one):
    data = one.to_xarray()
    assert list(data["until"].values)[-1] == "the end"
    assert float(data["cutout"][-1]) == one.end.value
    assert one.to_dict()["end"]["trials"] == one.end.trials
    assert len(one.to_dataframe()) == len(one.by_day) + 2


def test_the_trip_is_played_whole(one):
    assert compile_trip(THIRSTY, TRIP).hours == 120
    assert list(one.by_day) == ["2026-11-09", "2026-11-10", "2026-11-11"]


def test_examples():
    assert failed_examples(forecasting) == []
