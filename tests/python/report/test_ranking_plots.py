"""Pictures of rankings and comparisons: their numbers, titles and names, and texts that keep clear of one another."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import combinations
from typing import Any

import pytest
import ridethrough as rt
from study_fixture import DULL, TRIP, VAN

pytest.importorskip("xarray")
matplotlib = pytest.importorskip("matplotlib")
matplotlib.use("Agg")
import matplotlib.pyplot as plt  # noqa: E402

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


@pytest.fixture(autouse=True)
def closed() -> Iterator[None]:
    yield
    plt.close("all")


def marks(ax: Any, marker: str = "o") -> list[Any]:
    """Value, ends and whether it is filled, from the top of the picture to its foot."""
    found = []
    for container in ax.containers:
        line, _, (bar,) = container.lines
        if line.get_marker() == marker:
            ((low, _), (high, _)) = bar.get_segments()[0]
            found.append((line.get_xdata()[0], low, high, line.get_markerfacecolor() != "white"))
    return found


def names(ax: Any) -> list[str]:
    """Names and headings of the rows, without their notes."""
    return [text.get_text().replace("\n", " ") for text in ax.texts if text.get_fontsize() > 8]


def narrow_axes(height_in: float) -> Any:
    return plt.subplots(figsize=(3.6, height_in), dpi=100, layout="constrained")[1]


def title(ax: Any) -> str:
    return str(ax.get_title(loc="left")).replace("\n", " ")


@pytest.mark.parametrize("method", ["sobol", "morris"])
def test_inputs_stand_in_their_order_with_their_intervals(method: str) -> None:
    found = result(method)
    key = {"sobol": "total", "morris": "mu_star"}[method]
    ax = found.plot(narrow_axes(40))
    assert names(ax) == found.ranking
    for (value, low, high, filled), i in zip(marks(ax), range(len(found.ranking)), strict=True):
        half = float(found.dataset[f"{key}_half_width"][i])
        assert (value, low, high) == pytest.approx((float(found.dataset[key][i]), value - half, value + half))
        assert filled == (found.ranking[i] in found.measure_first)
    lesser = marks(ax, "D" if method == "sobol" else "|")
    below = found.dataset[{"sobol": "first_order", "morris": "mu_star_noise"}[method]].values
    assert [value for value, *_ in lesser] == pytest.approx(below.tolist())
    assert f"{found.dataset.attrs['points']} points, each of 2 x 30 trials" in title(ax) and "95 %" in title(ax)
    assert ax.get_xlabel().replace("\n", " ").endswith("98 %, h" if method == "morris" else "hours_below_half")
    assert f"{found.dataset['spread'][0].item()}" in ax.texts[1].get_text()


def test_upgrades_stand_in_their_order_with_price_and_mass() -> None:
    found = result("upgrades")
    ax = found.plot(narrow_axes(40))
    pairs = [e for e in found.pairs if e.shown][:8]
    entries = [*found.first, *found.paid, *pairs, *found.worse]
    assert [name for name in names(ax) if name in {e.name for e in found.all}] == [e.name for e in entries]
    for (value, low, high, filled), e in zip(marks(ax), entries, strict=True):
        assert (value, low, high) == pytest.approx(
            (-100 * e.removed.value, -100 * e.removed.high, -100 * e.removed.low)
        )
        assert filled == (low > 0 or high < 0)
    notes = [text.get_text().replace("\n", " ") for text in ax.texts]
    panel = next(e for e in found.all if e.name == "100 W more panel on the roof")
    assert f"costs {panel.cost.value:.0f} USD" in notes[notes.index(panel.name) + 1]
    assert f"heavier by {panel.mass_kg.value:.1f} kg" in notes[notes.index(panel.name) + 1]
    assert "sampling error alone" in title(ax) and "400 trials" in title(ax)
    assert ax.get_xlabel().startswith("change of the risk, points")


def test_vans_stand_by_trip_with_their_risks_and_differences() -> None:
    found = result("compare")
    ax = found.plot()
    trips = list(TRIPS)
    vans = ["base", "more panel", LONG]
    assert names(ax) == [trips[0], *vans, trips[1], *vans]
    risks = [found.risks[van, trip].cutout for trip in trips for van in vans]
    for (value, low, high, _), risk in zip(marks(ax), risks, strict=True):
        assert (value, low, high) == pytest.approx((100 * risk.value, 100 * risk.low, 100 * risk.high))
    assert [filled for *_, filled in marks(ax)] == 2 * [True, True, False]  # the last is the base again
    assert "sampling error alone, 300 trials each" in title(ax) and ax.get_xlabel() == "risk of a cut-out, % of trips"
    notes = [text.get_text() for text in ax.texts]
    gap = found["more panel"]["risk"].difference
    assert f"{-100 * found.differences['more panel', trips[0]]['risk'].difference.value:.1f} points less" in notes[3]
    assert gap.value < 0 and ax.get_xlim()[0] <= 0
    one = rt.compare(VAN, {"same": VAN}, TRIP, trials=20).plot()
    assert names(one) == ["base", "same"]  # one trip needs no heading


@pytest.mark.parametrize("size", ["own", "narrow"])
@pytest.mark.parametrize("name", CALLS)
def test_texts_keep_clear_of_one_another_and_of_marks(name: str, size: str) -> None:
    ax = result(name).plot(narrow_axes(5.0) if size == "narrow" else None)
    figure = ax.figure
    figure.canvas.draw()  # nothing warns: warnings are errors here
    low, high = ax.get_xlim()
    ticks = [t for t, x in zip(ax.get_xticklabels(), ax.get_xticks(), strict=True) if low <= x <= high]
    texts = [t for t in [*ax.texts, ax._left_title, ax.xaxis.label, *ticks] if t.get_text()]
    boxes = [(t.get_text(), t.get_window_extent()) for t in texts]
    for text, box in boxes:
        assert figure.bbox.x0 <= box.x0 and box.x1 <= figure.bbox.x1 + 1, text
        assert figure.bbox.y0 <= box.y0 and box.y1 <= figure.bbox.y1 + 1, text
    boxes += [("a mark", container.lines[0].get_window_extent().padded(2)) for container in ax.containers]
    for (a, box), (b, other) in combinations(boxes, 2):
        assert not box.overlaps(other), (a, b)


def test_what_there_is_no_room_for_is_counted() -> None:
    found = result("compare")
    ax = found.plot(narrow_axes(3.5))
    assert 1 <= len(marks(ax)) < 6
    assert ax.texts[-1].get_text() == f"{6 - len(marks(ax))} more left out"
    tiny = found.plot(narrow_axes(1.5))
    assert len(names(tiny)) == 1


def test_a_ranking_of_nothing_is_drawn_too() -> None:
    found = result("upgrades")
    ax = rt.Upgrades(found.base, [], {}, {"a warmer fridge": "medicine is inside"}, found.prices).plot()
    ax.figure.canvas.draw()  # nothing warns
    assert names(ax) == [] and "400 trials" in title(ax)
