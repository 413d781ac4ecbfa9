"""What a comparison says of vans and trips."""

from __future__ import annotations

import numpy as np
import pytest
import ridethrough as rt
from demo_studies import demo
from made_results import result
from optional import there
from quick_studies import CALLS

VAN, TRIP = demo()


MORE = VAN.replace(**{"solar.rated_w": 260})


def test_the_same_risk_for_less():
    heavy = VAN.replace(mains=rt.MainsCharger())  # never plugged in on this trip
    c = rt.compare(
        heavy, {"without": VAN, "more battery": heavy.replace(**{"battery.capacity_ah": 250})}, TRIP, trials=300
    )
    assert c.same_risk_for_less() == ["without"]
    assert "The same risk for less" in str(c)
    low, high = c.cost["without"].low, c.cost["without"].high
    assert -400 <= low < high <= -80  # the range of a charger in the table


def test_several_trips_stand_alone_and_together():
    longer = TRIP.replace(nights=6)
    c = rt.compare(VAN, {"more": MORE}, {"five": TRIP, "six": longer}, trials=300, seed=3)
    assert [a.trip for a in c.differences.values()] == ["five", "six", "all trips"]
    together = there(c["more"]["risk"].difference)
    assert together.value == pytest.approx(
        np.mean([there(c.differences["more", t]["risk"].difference).value for t in ("five", "six")])
    )
    assert "the mean over the trips" in str(c)


def test_warning_time_by_hand():
    c = rt.compare(VAN, {"lithium": rt.lithium_bundle(VAN)}, TRIP, trials=400, seed=2, alarm_v=11.5)
    run = rt.simulate(VAN, TRIP, trials=400, seed=2, time_series=["terminal_v"])
    first = run.columns["first_cutout_h"]
    expected = []
    for trial in np.flatnonzero(run.columns["cutout_cause"]):
        low = (
            np.flatnonzero(run.time_series["terminal_v"][trial] < 11.5) + 1
        )  # the alarm is heard at the end of its hour
        expected.append(max(0.0, first[trial] - min(low[0], first[trial])) if len(low) else 0.0)
    line = c["lithium"]["warning_h"]
    assert line.base == pytest.approx(np.mean(expected))
    assert line.trials_with_both == np.count_nonzero(
        (run.columns["cutout_cause"] > 0) & (c.risks["lithium", "trip"].columns["cutout_cause"] > 0)
    )
    assert there(line.difference).high < 0  # trade writers: lithium falls off a cliff (common practice, no source)


def test_what_has_no_price_is_named_and_not_told_to_cost_nothing() -> None:
    vans = {
        "bigger": VAN.replace("fridge.volume_l", 90),
        "thicker": VAN.replace(**{"wiring.fridge_branch_mohm": 20, "solar.rated_w": 300}),
        "panel": VAN.replace("solar.rated_w", 300),
        "tilted": VAN.replace("solar.tilt_deg", 20),
    }
    found = rt.compare(VAN, vans, TRIP, trials=50)
    assert found.notes["bigger"] == ("Price and mass are without fridge.volume_l: the price table has none.",)
    assert "wiring.fridge_branch_mohm" in found.notes["thicker"][0] and "panel" not in found.notes
    assert "solar.tilt_deg" in found.notes["tilted"][0]
    assert found.cost["bigger"].low == found.cost["bigger"].high == 0, "exactly, not to within rounding"
    assert found.cost["thicker"] == found.cost["panel"] and found.notes["bigger"][0] in str(found)


def test_names_can_be_gone_through_counted_and_looked_for() -> None:
    found = rt.compare(VAN, {"more": MORE}, {"five": TRIP, "six": TRIP.replace(nights=6)}, trials=50, base_name="now")
    assert (list(found), len(found), found.vans) == (["more"], 1, ["now", "more"])
    assert "more" in found and ("more", "six") in found and "now" not in found and ("now", "six") not in found
    gap = found["more", "six"]
    assert list(gap) == list(gap.outcomes) and len(gap) == len(gap.outcomes) and "risk" in gap and "risc" not in gap
    assert found["more"] == found.differences["more", "all trips"]


def test_what_is_asked_wrongly_is_told_what_there_is() -> None:
    found = rt.compare(VAN, {"more": MORE}, TRIP, trials=50, base_name="now")
    for call, said in (
        (lambda: found["mor"], "van = 'mor'.*did you mean 'more'"),
        (lambda: found["now"], "'now' is the base: see .risks"),
        (lambda: found["now", "trip"], "'now' is the base: see .risks"),
        (lambda: found.differences["more"], r"did you mean \('more', 'trip'\)"),  # type: ignore[index]
        (lambda: found.risks["more", "trp"], r"did you mean \('more', 'trip'\)"),
        (lambda: found.cost["now"], "cost = 'now': there is none of that name; allowed more"),
        (lambda: found["more"]["risc"], "outcome = 'risc'.*did you mean 'risk'"),
        (lambda: found.plot(kind="bar"), "plot.kind = 'bar': no such argument"),  # type: ignore[call-arg]
    ):
        with pytest.raises(rt.InputError, match=said):
            call()
    for wrong, said in (
        (lambda: found["more"].risk, r"did you mean \['risk'\]"),  # type: ignore[attr-defined]
        (lambda: found["more"]["risk"].value, "did you mean difference.value"),  # type: ignore[attr-defined]
        (lambda: found.to_csv, r"did you mean to_dataframe\(\).to_csv"),  # type: ignore[attr-defined]
    ):
        with pytest.raises(AttributeError, match=said):
            wrong()


def test_every_wrong_name_of_every_result_is_told() -> None:
    """Dicts of results by name, whatever the study."""
    plain = []
    for name in CALLS:
        for attribute, value in vars(result(name)).items():
            if isinstance(value, dict) and not attribute.startswith("_"):
                try:
                    value["no such name"]
                except rt.InputError:
                    continue
                plain.append(f"{name}.{attribute}")
    assert plain == []
