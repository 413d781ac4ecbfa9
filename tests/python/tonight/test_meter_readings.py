"""Readings in numbers: order, rounding, errors, what they share, and what cannot be."""

from __future__ import annotations

import dataclasses
from itertools import permutations
from typing import Any

import pytest
import ridethrough as rt
from evenings import AGM, LITHIUM, NOW, TRIP, failed_examples, observation
from ridethrough.tonight import meter_readings
from ridethrough.tonight.meter_errors import error_value, sum_of_sds
from ridethrough.tonight.meter_readings import MOST_SHARE, Observation, observe

FIELDS = (  # those of the core's MeterReading
    *("quantity", "hour", "low", "high", "sd", "relative_sd", "bias", "bias_sd", "bias_relative_sd", "at"),
    *("compressor", "loads_w", "nothing_charges", "since_full_h"),
)
DISCREPANCY = error_value("model_discrepancy_share")


def test_an_observation_has_the_fields_of_the_core() -> None:
    assert tuple(field.name for field in dataclasses.fields(Observation)) == FIELDS


def test_the_order_of_readings_does_not_matter() -> None:
    readings = ["62 %", "12.1 V, 2026-11-07 20:00", "310 Wh today", "62 %, 2026-11-07 08:00"]
    first = observe(readings, AGM, TRIP, NOW)
    assert [one.hour for one in first.observations] == [17, 29, 53, 53]
    for other in permutations(readings):
        assert observe(other, AGM, TRIP, NOW) == first


def test_a_text_is_a_reading_of_now() -> None:
    assert observation("62 %") == observation(rt.Reading("62 %", time=NOW))
    assert observe("62 %", AGM, TRIP, NOW) == observe([rt.Reading("62 %")], AGM, TRIP, NOW)
    assert observe([], AGM, TRIP, NOW).observations == ()
    wrong: Any = 62
    with pytest.raises(rt.InputError, match="readings = 62"):
        observe([wrong], AGM, TRIP, NOW)


def test_a_counter_drifts_since_full() -> None:
    one = observation(rt.Reading("62 %", full="2026-11-07 20:00"))
    assert (one.quantity, one.hour, one.low, one.high) == ("soc", 53, 0.615, 0.625)
    assert one.since_full_h == 24
    assert one.bias_sd == 0.04
    assert one.total_sd == pytest.approx(sum_of_sds(0.01, DISCREPANCY, 0.04))
    four = observation(rt.Reading("62 %", full="2026-11-04 20:00"))
    assert four.since_full_h == 96
    assert four.total_sd == pytest.approx(sum_of_sds(0.01, DISCREPANCY, 0.08))
    long = observation(rt.Reading("62 %", full="2026-01-01"))
    assert long.total_sd == pytest.approx(sum_of_sds(0.01, DISCREPANCY, error_value("counter_drift_limit")))


def test_a_full_charge_that_is_not_said() -> None:
    assert observation("62 %").since_full_h == 53  # the trip begins full
    half = AGM.replace(battery=rt.AgmBattery(capacity_ah=130, initial_soc=0.6))
    assert observation("62 %", half).since_full_h == 53 + 24 * error_value("full_unknown_days")


def test_a_full_charge_holds_for_later_readings_of_the_counter() -> None:
    readings = ["70 %, 2026-11-07 08:00", "66 %, full 2026-11-07 13:00, 2026-11-07 20:00", "62 %"]
    before, after, later = observe(readings, AGM, TRIP, NOW).observations
    assert (before.bias, before.since_full_h) == ("counter", 17)
    assert after.bias == later.bias != "counter"
    assert (after.since_full_h, later.since_full_h) == (7, 31)


def test_readings_of_one_counter_share_their_error() -> None:
    percent, used, left = (observation(text) for text in ("62 %", "49 Ah used", "81 Ah left"))
    assert percent.bias == used.bias == left.bias == "counter"
    assert dataclasses.replace(left, low=used.low, high=used.high) == used
    assert (left.quantity, left.low, left.high) == ("ah_used", 48.5, 49.5)  # of the 130 Ah that it was told
    assert used.bias_sd == pytest.approx(0.03 * 130)
    assert used.sd == pytest.approx(130 * sum_of_sds(0.005, DISCREPANCY))


def test_the_batterys_own_meter_reads_high() -> None:
    percent = observation(rt.Reading("62 %", meter="app"))
    assert (percent.low, percent.high) == pytest.approx((0.565, 0.575))
    assert percent.bias == "app"
    assert percent.since_full_h is None
    assert percent.total_sd == pytest.approx(sum_of_sds(0.01, DISCREPANCY, 0.06))
    left, used = (observation(rt.Reading(text, meter="app")) for text in ("81 Ah left", "49 Ah used"))
    assert (left.quantity, used.quantity) == ("ah_left", "ah_used")
    assert (left.low, used.low) == pytest.approx((80.5 - 6.5, 48.5 + 6.5))


def test_a_guess_from_volts_is_wide() -> None:
    """Defaults of 20 to 25 % for lead-acid; near useless for lithium (from memory)."""
    assert 0.20 <= observation("62 % by controller").total_sd <= 0.25
    assert observation("62 % by controller", LITHIUM).total_sd > 0.3


def test_a_display_ends_at_0_and_100() -> None:
    full, empty = observation("100 %"), observation("0 %")
    assert (full.low, full.high) == (0.995, MOST_SHARE)
    assert (empty.low, empty.high) == (-MOST_SHARE, 0.005)
    assert observation("99 %").high == 0.995


def test_volts_carry_place_compressor_and_loads() -> None:
    one = observation(rt.Reading("12.1 V", at="fridge", compressor=True, on=["laptop"]))
    assert (one.quantity, one.low, one.high, one.at, one.compressor) == ("volts", 12.05, 12.15, "fridge", True)
    assert one.loads_w == pytest.approx(12 * (4 + (0.05 + 0.2 + 0.65) / 3))  # laptop, standby's mean
    plain, shunt = observation("12.1 V"), observation("12.1 V at shunt")
    assert plain == shunt
    assert (plain.at, plain.compressor, plain.loads_w) == ("terminals", None, None)


def test_volts_of_one_day_at_one_place_share_their_error() -> None:
    looks = ("12.1 V", "12.2 V, 2026-11-08 18:00", "12.1 V at panel", "12.3 V, 2026-11-07 20:00")
    readings = [f"{look}, compressor off" for look in looks]
    biases = [one.bias for one in observe(readings, AGM, TRIP, NOW).observations]
    assert len({*biases}) == 3
    assert all(one.sd < one.bias_sd / 3 for one in observe(readings, AGM, TRIP, NOW).observations)


def test_volts_where_the_compressor_is_not_told_are_wider_the_farther_from_the_battery() -> None:
    def wider(at: str) -> float:
        return (
            observation(rt.Reading("12.1 V", at=at)).sd - observation(rt.Reading("12.1 V", at=at, compressor=True)).sd
        )

    assert 0 < wider("terminals") < wider("panel") < wider("fridge")


def test_where_charging_has_ended_nothing_charges() -> None:
    assert observation("12.5 V, charged 2026-11-08 17:00").nothing_charges
    assert not observation(f"12.5 V, charged {NOW}").nothing_charges
    assert not observation("12.5 V").nothing_charges


def test_surface_charge_widens_lead_acid_alone() -> None:
    def sd(van: rt.Van, charged: str) -> float:
        return observation(rt.Reading("12.5 V", charged=charged), van).total_sd

    at_once, soon, rested = (sd(AGM, f"2026-11-08 {clock}") for clock in ("20:00", "17:00", "08:00"))
    assert at_once > soon > rested
    assert at_once == pytest.approx(sum_of_sds(0.2, rested))
    assert soon == pytest.approx(sum_of_sds(0.1, rested))  # half is left after 3 of 6 h
    assert sd(LITHIUM, "2026-11-08 20:00") == sd(LITHIUM, "2026-11-08 08:00")


def test_amperes() -> None:
    one = observation("8 A in, compressor off")
    assert (one.quantity, one.low, one.high, one.compressor) == ("amps", -8.5, -7.5, False)
    assert (one.sd, one.relative_sd) == (sum_of_sds(0.1, 0.5), 0.03)
    said = observation("4.2 A, lights on, compressor on")
    assert (said.sd, said.relative_sd) == pytest.approx((0.1, sum_of_sds(0.03, 0.10)))
    assert observation("4.2 A").sd > 2  # the compressor may run or not
    by_day = observation("8 A in, compressor off, 2026-11-08 12:00")
    assert by_day.relative_sd == pytest.approx(sum_of_sds(0.03, 0.3))


def test_a_yield_has_a_floor_and_a_shared_scale() -> None:
    one = observation("310 Wh today")
    assert (one.quantity, one.low, one.high, one.sd) == ("yield_wh", 309.5, 310.5, 10)
    assert (one.bias, one.bias_relative_sd, one.bias_sd) == ("yield", 0.03, 0)
    charge = observation("25 Ah today")
    assert (charge.low, charge.high) == pytest.approx((24.5 * 13.4, 25.5 * 13.4))
    assert charge.relative_sd > one.relative_sd
    assert observation("25 Ah today", LITHIUM).low == pytest.approx(24.5 * 13.5)
    assert observation("310 Wh yesterday").hour == 31


def test_the_first_days_yield_is_not_used() -> None:
    found = observe(["310 Wh today, 2026-11-06 20:00"], AGM, TRIP, NOW)
    assert found.observations == ()
    assert "not used, for the trip begins at 15:00" in " ".join(found.notes)


def test_fridge_and_charger() -> None:
    fridge = observation("5 degC")
    assert (fridge.quantity, fridge.low, fridge.high, fridge.sd) == ("fridge_c", 4.5, 5.5, 1)
    stage = observation("charger in float")
    assert (stage.quantity, stage.low, stage.high) == ("soc", 0.95, MOST_SHARE)
    assert observation("charger in absorption").low < stage.low
    for text in ("charger in bulk", "sun present", "2 nights of water", "14 h left", "grey valve open"):
        assert observe([text], AGM, TRIP, NOW).observations == ()


@pytest.mark.parametrize(
    ("text", "van", "words"),
    [
        ("300 Ah used", AGM, "more than the battery has, 130 Ah"),
        ("300 Ah left", AGM, "more than the battery has"),
        ("310 Wh today", AGM.replace(arrays=[]), "has not a solar array"),
        ("2 nights of water", LITHIUM, "has not water tanks"),
        ("12.1 V, kettle on", AGM, "no such load"),
        ("62 %, full 2026-11-08 21:00", AGM, "Reading.full.*later than the reading"),
        ("62 %, 2026-11-09 08:00", AGM, "later than now"),
        ("62 %, 2026-11-01 08:00", AGM, "before the trip's start"),
        ("62 %, 2027-11-01 08:00", AGM, "later than now"),
    ],
)
def test_what_cannot_be(text: str, van: rt.Van, words: str) -> None:
    with pytest.raises(rt.InputError, match=words):
        observe([text], van, TRIP, NOW)


def test_examples() -> None:
    assert failed_examples(meter_readings) == []
