"""Pictures of studies: the numbers that they show, and titles that say what the intervals are."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from optional import there
from quick_studies import CALLS
from study_fixture import TRIP, VAN

pytest.importorskip("xarray")
matplotlib = pytest.importorskip("matplotlib")
matplotlib.use("Agg")
import matplotlib.pyplot as plt  # noqa: E402


@pytest.fixture(autouse=True)
def closed() -> Iterator[None]:
    yield
    plt.close("all")


def lines(ax: Any) -> list[Any]:
    """Heights of the points of each line with bars."""
    return [container[0].get_ydata() for container in ax.containers]


def title(ax: Any) -> str:
    ax.figure.canvas.draw()  # nothing warns: warnings are errors here
    return str(ax.get_title(loc="left"))


def test_a_sweep_has_a_line_for_each_combination_of_the_shorter_axes() -> None:
    axes: dict[str, Any] = {"battery.capacity_ah": [60, 120], "solar.rated_w": [100, 200, 300]}
    found = rt.sweep(VAN, TRIP, axes, trials=50, progress=False)
    ax = found.plot()
    np.testing.assert_allclose(lines(ax), 100 * found["risk"].values)
    assert "sampling error alone, 50 trials each" in title(ax) and ax.get_xlabel() == "solar.rated_w, W"
    assert [text.get_text() for text in there(ax.get_legend()).get_texts()] == [
        f"battery.capacity_ah {ah}" for ah in (60, 120)
    ]
    named = rt.sweep(VAN, TRIP, {"case": {"a": {"solar.rated_w": 100}, "b": {}}}, trials=20, progress=False).plot()
    assert [tick.get_text() for tick in named.get_xticklabels()] == ["a", "b"]
    one = rt.sweep(VAN, TRIP, {}, trials=20, progress=False)
    assert len(lines(one.plot())[0]) == 1


def test_sizes_hindcasts_and_months() -> None:
    size = CALLS["size"][0](progress=False)
    ax = size.plot()
    assert len(lines(ax)[0]) == len(size.tried) and "100 trials each" in title(ax)
    found = CALLS["hindcast"][0](progress=False)
    ax = found.plot()
    np.testing.assert_allclose(lines(ax)[0], 100 * found.by_month()["frequency"])
    assert "whole years" in title(ax) and f"{len(found):,} start days" in title(ax)
    risk = CALLS["monthly_risk"][0](progress=False)
    ax = risk.plot()
    np.testing.assert_allclose(lines(ax)[0], 100 * risk["risk"])
    assert "sampling error alone" in title(ax) and ax is risk.plot(ax)
