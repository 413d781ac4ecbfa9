"""Pictures of studies: the numbers that they show, and texts that say what the intervals are."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from picture_boxes import faults_of, texts_of
from quick_studies import CALLS
from ridethrough.report.pictures.facts import chance_with_interval
from ridethrough.report.pictures.style import SIZES
from ridethrough.report.sentences import in_range
from study_fixture import SITE, TRIP, VAN

pytest.importorskip("xarray")
pd = pytest.importorskip("pandas")
pytest.importorskip("matplotlib")

LONG = "a case with a name that somebody did not keep short"


def lines(picture: Any) -> list[Any]:
    """Heights of the points of each line with bars."""
    return [container[0].get_ydata() for container in picture.axes[0].containers]


def words(picture: Any) -> str:
    return " ".join(text for text, _ in texts_of(picture.figure))


def test_a_sweep_has_a_line_for_each_combination_of_the_shorter_axes() -> None:
    axes: dict[str, Any] = {"battery.capacity_ah": [60, 120], "solar.rated_w": [100, 200, 300]}
    found = rt.sweep(VAN, TRIP, axes, trials=50, progress=False)
    picture = found.plot()
    np.testing.assert_allclose(lines(picture), 100 * found["risk"].values)
    said = words(picture)
    assert "sampling error alone, 50 trials each" in said and "solar.rated_w, W" in said
    known = "But for battery.capacity_ah and solar.rated_w: 80 Ah AGM"
    for text in (said.replace("\n", " "), picture.alt):
        assert known in text and "Greensboro (36.1 N, 79.95 W)." in text and "3 nights from 2026-11-06 15:00." in text
    assert "battery.capacity_ah 60" in said and "battery.capacity_ah 120" in said
    cases = {"case": {"a": {"solar.rated_w": 100}, LONG: {}}}
    named = rt.sweep(VAN, TRIP, cases, trials=20, progress=False).plot(size="phone")
    assert [tick.get_text() for tick in named.axes[0].get_xticklabels()] == ["1", "2"]
    assert f"2 {LONG}" in words(named).replace("\n", " ")
    moved = rt.sweep(VAN, TRIP, {"trip.site": [SITE], "trip.nights": [2, 3]}, trials=20, progress=False).plot()
    assert "Greensboro (" not in moved.alt and "From 2026-11-06 15:00." in moved.alt and "nights from" not in moved.alt
    one = rt.sweep(VAN, TRIP, {}, trials=20, progress=False)
    assert len(lines(one.plot())[0]) == 1


def test_sizes_hindcasts_and_months() -> None:
    size = CALLS["size"][0](progress=False)
    picture = size.plot()
    assert len(lines(picture)[0]) == len(size.tried) and "100 trials each" in words(picture)
    assert size.risk is not None and size.model_error is not None
    reach = in_range(*size.model_error.together(size.risk))
    for said in (words(picture), picture.alt):
        assert f"with a risk of {chance_with_interval(size.risk)}; with the model's error {reach}" in said
    found = CALLS["hindcast"][0](progress=False)
    picture = found.plot()
    np.testing.assert_allclose(lines(picture)[0], 100 * found.by_month()["frequency"])
    assert "whole years" in words(picture) and f"{len(found):,} start days" in words(picture)
    risk = CALLS["monthly_risk"][0](progress=False)
    picture = risk.plot()
    np.testing.assert_allclose(lines(picture)[0], 100 * risk["risk"])
    assert "sampling error alone" in words(picture)
    both = risk.plot({"a duller place": risk}, label="here")
    assert len(lines(both)) == 2 and "a duller place" in words(both) and "80 Ah AGM" in words(both)
    with pytest.raises(rt.InputError, match=r"others\['x'\]"):
        risk.plot({"x": found})


def test_seasons_of_a_range_by_place() -> None:
    found = CALLS["van_range"][0](progress=False)
    model, site = next(iter(found.models)), next(iter(found.places))
    picture = found.plot()
    drawn = lines(picture)[0]
    wanted = 100 * found.mix["risk"].sel(model=model, site=site).where(found.mix["sold"].sel(site=site)).values
    np.testing.assert_allclose(np.asarray(drawn, dtype=float), wanted)
    with pytest.raises(rt.InputError, match="model"):
        found.plot("no such model")


def scores() -> rt.HindcastScores:
    table = pd.DataFrame(
        {
            "van_months": [12, 5, 3],
            "probability": [0.003, 0.24, 0.8],
            "frequency": [0.01, 0.25, 0.78],
            "frequency_low": [0.008, 0.22, 0.75],
            "frequency_high": [0.014, 0.27, 0.82],
            "years": [39, 39, 39],
        }
    )
    months = pd.DataFrame({"van": ["summer", "winter"], "start_days": [900, 800]})
    return rt.HindcastScores(months, months, table)


def test_reliability_is_what_happened_beside_what_was_said() -> None:
    found = scores()
    picture = found.plot()
    np.testing.assert_allclose(lines(picture)[0], 100 * found.reliability["frequency"])
    assert "1,700 start days of 39 years" in words(picture) and "summer, winter" in words(picture)
    assert "They lie 1." in picture.alt or "They lie 0." in picture.alt


@pytest.mark.parametrize(
    "name", ["sweep", "size", "hindcast", "monthly_risk", "van_range", "iso_risk", "compare", "upgrades", "sensitivity"]
)
def test_each_says_its_van_its_trip_and_what_its_intervals_leave_out(name: str) -> None:
    picture = CALLS[name][0](progress=False).plot()
    for text in (words(picture).replace("\n", " "), picture.alt):
        assert "The model's own error is not in the intervals." in text and "95 %" in text
        assert "80 Ah AGM" in text and "3 nights" in text and re.search(r"\d (trials?|of each kind)", text)
        assert name == "van_range" or "36.1 N, 79.95 W" in text


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", ["sweep", "size", "hindcast", "monthly_risk", "van_range", "iso_risk", "scores"])
def test_texts_keep_clear_of_one_another(name: str, size: str) -> None:
    found = scores() if name == "scores" else CALLS[name][0](progress=False)
    assert faults_of(found.plot(size=size, title=LONG).figure) == []
