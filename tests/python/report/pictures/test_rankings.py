"""Pictures of rankings and comparisons: their numbers, titles and names, and texts that keep clear of one another."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
import ridethrough as rt
from picture_boxes import faults_of, texts_of
from ridethrough.report.pictures.style import MOST_A4_IN, SIZES
from study_fixture import DULL, TRIP, VAN

pytest.importorskip("xarray")
pytest.importorskip("matplotlib")

pytestmark = pytest.mark.filterwarnings("ignore::UserWarning:ridethrough")
LONG = "a van with the same panel, the same battery and a name that somebody did not keep short"
TRIPS = {"in November": TRIP, "in a dull November": TRIP.replace(site=DULL)}


def sensitivity(method: Any) -> rt.Sensitivity:
    spreads = {
        "battery.capacity_ah": rt.spreads.uniform(50, 80),
        "loads.standby.current_a": rt.spreads.triangular(0.05, 0.2, 0.65),
        "fridge.heat_leak_factor": rt.spreads.normal(1, 0.1),
    }
    return rt.sensitivity(VAN, TRIP, spreads, method=method, samples=8, trials=30, outcome="hours_below_half")


CALLS: dict[str, Any] = {
    "sobol": lambda: sensitivity("sobol"),
    "morris": lambda: sensitivity("morris"),
    "upgrades": lambda: rt.upgrades(VAN, TRIP, rt.catalogue(VAN, TRIP)[:5], trials=400),
    "compare": lambda: rt.compare(VAN, {"more panel": VAN.replace("solar.rated_w", 240), LONG: VAN}, TRIPS, trials=300),
}


@cache
def result(name: str) -> Any:
    return CALLS[name]()


def marks(picture: Any, marker: str = "o") -> list[Any]:
    """Value, ends and whether it is filled, from the top of the picture to its foot."""
    found = []
    for ax in picture.axes:
        for container in ax.containers:
            line, _, (bar,) = container.lines
            if line.get_marker() == marker:
                ((low, _), (high, _)) = bar.get_segments()[0]
                found.append((line.get_xdata()[0], low, high, line.get_markerfacecolor() != "#ffffff"))
    return found


def words(picture: Any) -> str:
    return " ".join(text for text, _ in texts_of(picture.figure))


def in_order(picture: Any, names: list[str]) -> bool:
    """Whether the texts have these names, one after another."""
    said, at = words(picture), 0
    for name in names:
        at = said.find(name, at)
        if at < 0:
            return False
        at += len(name)
    return True


@pytest.mark.parametrize("method", ["sobol", "morris"])
def test_inputs_stand_in_their_order_with_their_intervals(method: str) -> None:
    found = result(method)
    key = {"sobol": "total", "morris": "mu_star"}[method]
    picture = found.plot()
    assert in_order(picture, found.ranking)
    for (value, low, high, filled), i in zip(marks(picture), range(len(found.ranking)), strict=True):
        half = float(found.dataset[f"{key}_half_width"][i])
        assert (value, low, high) == pytest.approx((float(found.dataset[key][i]), value - half, value + half))
        assert filled == (found.ranking[i] in found.measure_first)
    lesser = marks(picture, "D" if method == "sobol" else "|")
    below = found.dataset[{"sobol": "first_order", "morris": "mu_star_noise"}[method]].values
    assert [value for value, *_ in lesser] == pytest.approx(below.tolist())
    said = words(picture)
    assert f"{found.dataset.attrs['points']} points, each of 2 x 30 trials" in said and "95 %" in said
    assert ("98 %, h" if method == "morris" else "of hours_below_half") in said
    assert f"{found.dataset['spread'][0].item()}" in said


def test_upgrades_stand_in_their_order_with_price_and_mass() -> None:
    found = result("upgrades")
    picture = found.plot()
    entries = [*found.first, *found.paid, *[e for e in found.pairs if e.shown][:3], *found.worse]
    assert in_order(picture, [e.name for e in entries])
    for (value, low, high, filled), e in zip(marks(picture), entries, strict=True):
        assert (value, low, high) == pytest.approx(
            (-100 * e.removed.value, -100 * e.removed.high, -100 * e.removed.low)
        )
        assert filled == (low > 0 or high < 0)
    panel = next(e for e in found.all if e.name == "100 W more panel on the roof")
    said = words(picture)
    assert (
        f"{panel.name} costs {panel.cost.value:.0f} USD" in said and f"heavier by {panel.mass_kg.value:.1f} kg" in said
    )
    assert "sampling error alone" in said and "400 trials" in said and "Change of the risk of a cut-out, points" in said


def test_vans_stand_by_trip_with_their_risks_and_differences() -> None:
    found = result("compare")
    picture = found.plot()
    trips, vans = list(TRIPS), ["base", "more panel", LONG]
    assert in_order(picture, [trips[0], *vans, trips[1], *vans])
    risks = [found.risks[van, trip].cutout for trip in trips for van in vans]
    for (value, low, high, _), risk in zip(marks(picture), risks, strict=True):
        assert (value, low, high) == pytest.approx((100 * risk.value, 100 * risk.low, 100 * risk.high))
    assert [filled for *_, filled in marks(picture)] == 2 * [True, True, False]  # the last is the base again
    said = words(picture)
    assert "sampling error alone, 300 trials each" in said and "Risk of a cut-out, % of trips" in said
    gap = found.differences["more panel", trips[0]]["risk"].difference
    assert gap.value < 0 and f"{-100 * gap.value:.1f} points less" in said
    assert picture.axes[0].get_xlim()[0] == 0
    one = rt.compare(VAN, {"same": VAN}, TRIP, trials=20).plot()
    assert in_order(one, ["base", "same"]) and trips[0] not in words(one)  # one trip needs no heading


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", CALLS)
def test_texts_keep_clear_of_one_another_and_of_marks(name: str, size: str) -> None:
    picture = result(name).plot(size=size, title=LONG)
    assert faults_of(picture.figure) == []
    assert size != "a4" or picture.figure.get_figheight() <= MOST_A4_IN
    scale = {ax.get_xlim() for ax in picture.axes}
    assert len(scale) == 1  # one scale for all rows


def test_what_there_is_no_room_for_is_counted() -> None:
    vans = {f"van {i} with a name that takes its line": VAN for i in range(40)}
    picture = rt.compare(VAN, vans, TRIP, trials=20).plot(size="a4")
    drawn = len(marks(picture))
    assert 10 < drawn < 41 and f"{41 - drawn} more left out" in words(picture)
    assert picture.figure.get_figheight() <= MOST_A4_IN


def test_a_ranking_of_nothing_is_drawn_too() -> None:
    found = result("upgrades")
    picture = rt.Upgrades(found.base, [], {}, {"a warmer fridge": "medicine is inside"}, found.prices).plot()
    assert marks(picture) == [] and "400 trials" in words(picture) and "No change is shown to help" in picture.alt
    assert faults_of(picture.figure) == []
