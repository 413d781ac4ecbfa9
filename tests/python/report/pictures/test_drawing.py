"""The user's Matplotlib settings and other threads neither change the pictures nor are changed by them."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
import ridethrough as rt
from ridethrough.files.scenario import demo_path, load_scenario
from study_fixture import TRIP, VAN

matplotlib = pytest.importorskip("matplotlib")
style = pytest.importorskip("matplotlib.style")

DEMO = load_scenario(demo_path())


@pytest.fixture(scope="module")
def risk() -> rt.Risk:
    return rt.simulate(DEMO.van, DEMO.trip, trials=200, seed=2)


@pytest.fixture
def settings() -> Iterator[Any]:
    """Matplotlib's own, which a test may change."""
    with matplotlib.rc_context():
        yield matplotlib.rcParams


USERS = {
    "dark": lambda: style.use("dark_background"),
    "tight": lambda: matplotlib.rcParams.update({"savefig.bbox": "tight"}),
    "TeX": lambda: matplotlib.rcParams.update({"text.usetex": True}),
}


@pytest.mark.parametrize("user", USERS)
def test_the_users_settings_do_not_change_pictures(risk: rt.Risk, settings: Any, user: str) -> None:
    study = rt.sweep(VAN, TRIP, axes={"solar.rated_w": [100, 200]}, trials=20, seed=1)
    plain = [risk.plot.charge().png(), risk.plot.survival().png(), study.plot().png()]
    USERS[user]()
    before = dict(settings)
    assert [risk.plot.charge().png(), risk.plot.survival().png(), study.plot().png()] == plain
    assert dict(settings) == before


def test_threads_leave_the_settings_as_they_were(risk: rt.Risk, settings: Any) -> None:
    before = dict(settings)
    plain = risk.plot.charge().png()
    with ThreadPoolExecutor(4) as pool:
        drawn = list(pool.map(lambda _: risk.plot.charge().png(), range(8)))
    assert dict(settings) == before
    assert set(drawn) == {plain}


def test_signs_that_the_font_does_not_have_are_told_once(risk: rt.Risk) -> None:
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        picture = risk.plot.charge(title="旅の計画: été")
        picture.png()
        picture.svg()
    (told,) = caught
    assert str(told.message) == "the picture's font has no sign for 旅 の 計 画: empty boxes stand in their place"
    assert told.filename == __file__
