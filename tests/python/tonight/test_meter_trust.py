"""How far a percentage can be trusted: numbers of the table in sentences."""

from __future__ import annotations

import re

import pytest
import ridethrough as rt
from evenings import AGM, LITHIUM, failed_examples, observation
from ridethrough.tonight import meter_trust
from ridethrough.tonight.meter_trust import counter_sd, percentage_trust


def points(text: str) -> list[int]:
    return [int(x) for x in re.findall(r"(\d+) points (?:either way|after)", text)]


def test_a_counter_is_trusted_as_its_readings_are_weighed() -> None:
    for days, full in ((1, "2026-11-07 20:00"), (4, "2026-11-04 20:00"), (60, "2026-09-09 20:00")):
        assert counter_sd(days) == pytest.approx(observation(rt.Reading("62 %", full=full)).total_sd)


def test_a_counters_sentences() -> None:
    said = percentage_trust(AGM)
    found = points(said[0])
    assert found == sorted(found)
    assert found == [round(196 * counter_sd(days)) for days in (1, 4, 9)]
    assert "from memory" in said[0]
    assert "2.4 Ah a day, 2 % of 130 Ah" in said[1]
    assert points(percentage_trust(AGM, "counter", 2)[0]) == [round(196 * counter_sd(2))]


def test_other_meters() -> None:
    app, agm, lithium = (
        points(percentage_trust(van, meter)[0])[0]
        for van, meter in ((AGM, "app"), (AGM, "controller"), (LITHIUM, "controller"))
    )
    assert points(percentage_trust(AGM)[0])[0] < app < agm < lithium
    assert agm == round(196 * observation("62 % by controller").total_sd)
    assert app == round(196 * observation("62 % by app").total_sd)


def test_what_is_refused() -> None:
    with pytest.raises(rt.InputError, match="Reading.meter = 'oracle'"):
        percentage_trust(AGM, "oracle")
    with pytest.raises(rt.InputError, match="days_since_full = -1"):
        percentage_trust(AGM, "counter", -1)


def test_examples() -> None:
    assert failed_examples(meter_trust) == []
