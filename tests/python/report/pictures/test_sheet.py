"""No text of a picture overlaps another, leaves the page or lies on a drawing, at any size, for hard cases too."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
import ridethrough as rt
from optional import there
from picture_boxes import faults_of
from ridethrough.files.scenario import demo_path, load_scenario
from ridethrough.report.pictures.style import LINES, MOST_A4_IN, SIZES
from ridethrough.report.plots import KINDS

matplotlib = pytest.importorskip("matplotlib")
pytestmark = pytest.mark.filterwarnings("ignore::UserWarning:ridethrough")

DEMO = load_scenario(demo_path())
VAN, TRIP = DEMO.van, DEMO.trip
LONG = (
    "Llanfairpwllgwyngyllgogerychwyrndrobwllllantysiliogogogoch, the upper meadow behind the quarry, north of the lake"
)
PLACE = there(TRIP.site)
CASES: dict[str, tuple[rt.Van, rt.Trip]] = {
    "usual": (VAN, TRIP),
    "one night": (VAN, TRIP.replace(nights=1)),
    "two nights, from midnight": (VAN, TRIP.replace(nights=2, start="2026-11-06 00:00")),
    "21 nights with drives": (
        VAN.replace("solar.rated_w", 330),
        TRIP.replace(nights=21, start="2026-09-20 15:00", drives=[rt.Drive(days=[4, 8, 12, 16])]),
    ),
    "all fail": (VAN.replace("solar.rated_w", 30), TRIP),
    "none fails": (VAN.replace("battery.capacity_ah", 480), TRIP.replace(nights=3)),
    "a long name, plugged in": (
        VAN.replace(mains=rt.MainsCharger(), batteries=[rt.AgmBattery(), rt.AgmBattery(), rt.AgmBattery()]),
        TRIP.replace(
            site=PLACE.replace(climate=there(PLACE.climate).replace(name=LONG)),
            shore_power=[rt.ShorePower(nights=[2])],
            drives=[rt.Drive(days=[3, 5])],
        ),
    ),
    "no night at all": (
        VAN,
        TRIP.replace(site=rt.Site(latitude=69.6, longitude=18.9), start="2026-06-19 08:00", nights=3),
    ),
}
SLOW = ("changes", "sizes")  # they play more trips: the usual case is enough
WIDE = ("usual", "21 nights with drives")  # cases of the wide sizes: what fits a telephone and a page fits these


@cache
def risk_of(case: str) -> rt.Risk:
    return rt.simulate(*CASES[case], trials=300, seed=1)


@cache
def options() -> dict[str, rt.Risk]:
    names = ["lithium of 120 Ah in a van with a name that nobody kept short", "$300 W$", "c", "d", "e"]
    watts = [120, 300, 400, 180, 250]
    return {
        n: rt.simulate(VAN.replace("solar.rated_w", w), TRIP, trials=100, seed=1)
        for n, w in zip(names, watts, strict=True)
    }


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("kind", KINDS)
def test_texts_keep_clear_of_one_another(kind: str, size: str) -> None:
    cases = ["usual"] if kind in SLOW else [*CASES] if size in ("phone", "a4") else WIDE
    for case in cases:
        picture = getattr(risk_of(case).plot, kind)(size=size, title=f"{LONG} & $x_1$ <b>" if "long" in case else "")
        assert faults_of(picture.figure) == [], case
        assert picture.figure.get_figwidth() == SIZES[size].width_in
        assert size != "a4" or picture.figure.get_figheight() <= MOST_A4_IN, case


@pytest.mark.parametrize("size", SIZES)
def test_many_options_have_a_key_that_fits(size: str) -> None:
    picture = risk_of("usual").plot.survival(options(), size=size)
    assert faults_of(picture.figure) == []
    assert len(picture.axes[0].containers) == len(LINES)


def test_faults_are_found() -> None:
    """That the check can fail: a text moved onto another, one moved off the page, one put on the drawing."""
    figure: Any = risk_of("usual").plot.charge().figure
    first, second = figure.texts[:2]
    second.set_y(first.get_position()[1])
    assert any("overlaps" in fault for fault in faults_of(figure))
    second.set_y(1.01)
    assert any("leaves the page" in fault for fault in faults_of(figure))
    second.set_y(0.3)
    assert any("lies on" in fault for fault in faults_of(figure))


def lightness(colour: str) -> float:
    """CIE L* of a colour: CIE 15:2018, with the luminance of sRGB (IEC 61966-2-1)."""
    rgb = [matplotlib.colors.to_rgb(colour)[i] for i in range(3)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in rgb]
    y = sum(weight * c for weight, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))
    return float(116 * y ** (1 / 3) - 16 if y > (6 / 29) ** 3 else y * (29 / 3) ** 3)


def test_areas_differ_in_lightness_and_lines_in_dashes_and_marks() -> None:
    from ridethrough.report.pictures import style

    areas = [style.WHITE, style.BLUE_LIGHT, style.BLUE_MIDDLE, style.BLUE]
    steps = [lightness(a) - lightness(b) for a, b in zip(areas, areas[1:], strict=False)]
    assert min(steps) > 15  # own choice: far above what is just seen side by side
    assert lightness(style.NIGHT) - lightness(style.BLUE_LIGHT) > 8
    assert len({str(dashes) for _, dashes, _ in LINES}) == len({mark for *_, mark in LINES}) == len(LINES)
    # Text of WCAG 2.2, success criterion 1.4.3: contrast of 4.5 on white, which is a lightness of 50 or less.
    assert max(lightness(style.INK), lightness(style.SOFT)) < 50
