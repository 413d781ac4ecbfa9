"""The notebooks run top to bottom, say what they show, and are stored with outputs that are those of now."""

from __future__ import annotations

import re
import sys
import warnings
from typing import Any

import notebook_runner
import pytest

HINT = "tests/make_notebooks.py writes the outputs anew"


def cells_of(name: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = notebook_runner.read(name)["cells"]
    return found


def run(name: str) -> tuple[dict[str, Any], int, str]:
    """Names at the end, how many pictures there are, and what was printed; the stored texts are to be the same."""
    pytest.importorskip("matplotlib")
    stored = notebook_runner.texts(notebook_runner.read(name))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        fresh, names = notebook_runner.run(name)
    told = notebook_runner.texts(fresh)
    for number, (old, new) in enumerate(zip(stored, told, strict=True), 1):
        assert old == new, f"{name}, code cell {number}: {HINT}"
    return names, notebook_runner.pictures(fresh), "\n".join(text for cell in told for text in cell)


@pytest.mark.parametrize("name", notebook_runner.names())
def test_outputs_are_stored_and_the_opening_says_what_it_answers(name: str) -> None:
    cells = cells_of(name)
    code = [cell for cell in cells if cell["cell_type"] == "code"]
    assert [cell["execution_count"] for cell in code] == list(range(1, len(code) + 1)), HINT
    assert notebook_runner.pictures({"cells": cells}) > 0, HINT
    opening = "".join(cells[0]["source"])
    assert opening.startswith("# ") and "**It answers:**" in opening
    assert (notebook_runner.NOTEBOOKS / name).stat().st_size < 2_500_000  # what a code host still shows


ABOUT_CHANCES = re.compile(r"cut-out|chance|risk|points|odds", re.IGNORECASE)
COUNTED = re.compile(r"[\d,]+ (trials|trips|start days|paths|failures)")
# Per cent that is none of these: a level of risk, a target, a charge, a change listed under its number of trips, a
# range of the odds.
NO_CHANCE = (
    r"\d -> [\d.]+ % \(",
    r"at a risk of \d+ %",
    r"to stay within [\d.]+ %",
    r"whose risk is just",
    r"charge left at a cut-out",
    r"the odds may be off",
    r"van-months of 1 to 99 %",
)


WIDTH = 96  # at which a report's lines are wrapped, a number kept with its unit


def unwrapped(text: str) -> list[str]:
    """Lines, each joined to the one before where its first words would not have fitted there."""
    lines: list[str] = []
    room = WIDTH
    for line in text.splitlines():
        first = " ".join(line.split()[:2])
        if lines and first and len(first) > room:
            lines[-1] += " " + line.strip()
        else:
            lines.append(line)
        room = WIDTH - len(line) - 1 if len(line) <= WIDTH else WIDTH
    return lines


@pytest.mark.parametrize("name", notebook_runner.names())
def test_every_chance_told_has_its_trials(name: str) -> None:
    for text in (text for cell in notebook_runner.texts(notebook_runner.read(name)) for text in cell):
        for line in unwrapped(re.sub(r"<[^>]*>", "", text)):
            if not (re.search(r"\d ?%", line) and ABOUT_CHANCES.search(line)):
                continue
            assert COUNTED.search(line) or any(re.search(other, line) for other in NO_CHANCE), line
            assert not re.search(r"\d%\s+[+-]", line), line  # a bare chance beside its change


def test_before_a_trip() -> None:
    widgets = pytest.importorskip("ipywidgets")
    names, pictures, printed = run("before_a_trip.ipynb")
    assert pictures == 1 and "1,000 trips" in printed and "WHAT WOULD HELP MOST" in printed
    sliders, line = names["sliders"], names["line"]
    assert set(sliders) == {"panel_w", "battery_ah", "nights", "set_point_c", "drives", "shade"}
    assert all(isinstance(one, (widgets.IntSlider, widgets.FloatSlider)) for one in sliders.values())
    first = line.value
    risk = names["as_it_is"]
    assert names["answer"](risk) in first
    # No more comfortable than the verdict below it: the nights count the model's error, whose range is told.
    few, many = (risk.nights_at(level, model_error=True) for level in (0.05, 0.2))
    assert few < risk.nights_at(0.05) or many < risk.nights_at(0.2)
    assert f"{few} of 5 nights hold at a risk of 5 %, {many} at 20 %, counting the model's error" in first
    low, high = risk.likely_range
    assert f"with the model's error {100 * low:.1f} to {100 * high:.1f} %" in first
    sliders["nights"].value = 3  # as a hand that moves it
    assert line.value != first and "of 3 nights" in line.value and "1,000 trips" in line.value
    assert names["now"]().nights == 3
    sliders["drives"].value = 6  # no more drives than nights have room for
    for nights in (3, 5, 14):
        sliders["nights"].value = nights
        sliders["drives"].value = sliders["drives"].max
        assert len(names["now"]().trip.drives[0].days) == sliders["drives"].value == (nights + 1) // 2


def test_first_trip() -> None:
    names, figures, printed = run("first_trip.ipynb")
    assert "sampling error alone" in printed and "10,000 trials" in printed
    assert "same 10,000 trials" in printed
    assert figures == 4
    first = names["agm"].cutouts_by_night().sum(axis=0)  # by clock hour: the text says evenings and about sunrise
    assert first[18:24].sum() + first[5:9].sum() > 0.5 * first.sum()
    assert names["difference"].low > 0  # and that the larger AGM does better than this lithium battery


@pytest.mark.filterwarnings("ignore:Van:UserWarning")
def test_checking_the_model(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("RIDETHROUGH_FULL", raising=False)
    monkeypatch.setattr(sys, "path", [*sys.path])  # the notebook adds to it
    names, figures, printed = run("checking_the_model.ipynb")
    assert figures == 8
    facts = names["table"]
    told = sum(len(case.missed) for case in names["twelve_vans"].CASES)
    assert printed.count("**missed**") == printed.count("\nMissed: ") == told + sum(not fact.holds for fact in facts)
    assert {fact.what for fact in facts if not fact.holds} == {fact.what for fact in facts if fact.missed}
    text = "".join("".join(cell["source"]) for cell in cells_of("checking_the_model.ipynb"))
    assert names["curves"].linear_battery(60, 20) == pytest.approx(
        names["curves"].constant_current_then_voltage(20), abs=0.0245
    )
    assert "up to 2.4 % of its charge" in text


def test_panel_wattage(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("xarray")
    monkeypatch.delenv("RIDETHROUGH_FULL", raising=False)
    names, figures, printed = run("panel_wattage.ipynb")
    assert figures == 3
    assert printed.count("no guarantee") == 4 and "sampling error alone" in printed and "120 trials" in printed
    assert "Chicago, Apr to Oct: nights without a cut-out of the fridge in the worst month" in printed
    year, sites, months = names["year"], names["sites"], names["months"]
    # What the text says: warm air under a lower Sun decides in one place, the dull and cold months in another.
    assert set(sites) >= {"Miami", "Greensboro"}
    models = ("Compact", "Family")
    decided = {(m, s): months.index(year.worst_month(m, s)) for m in models for s in sites}
    assert decided["Compact", "Miami"] in range(8, 11) and decided["Family", "Miami"] in range(8, 11)  # from 0: January
    for model in models:
        spring, autumn = (year.risk(model, "Miami", month).value for month in ("Apr", months[decided[model, "Miami"]]))
        assert spring < 0.7 * autumn
    assert {decided[model, "Greensboro"] for model in models} <= {10, 11, 0}
    cold = names["winter"].risk("Compact", "Greensboro", "Dec")
    assert cold.low > year.risk("Compact", "Greensboro", "Dec").high
    # More watts never do worse on the same trials, and the line of touring couples falls with ampere-hours too.
    assert (names["design"].risk.diff("solar.rated_w") <= 0).all()
    assert (names["design"].risk.diff("battery.capacity_ah") <= 0).all()


def test_agm_or_lithium(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("RIDETHROUGH_FULL", raising=False)
    names, figures, printed = run("agm_or_lithium.ipynb")
    assert figures == 5
    assert "the same 600 trials" in printed and "no difference shown" in printed and "no guarantee" in printed

    def change(van: str, trip: str) -> Any:
        return names["comparison"].differences[van, trip]["risk"].difference

    # What the text says of each trip, and of the money.
    for trip in ("November, parked", "July, parked"):
        assert change("lithium, 120 Ah", trip).low > 0
        assert change("lithium, 150 Ah", trip).low < 0 < change("lithium, 150 Ah", trip).high
        assert change("150 W more panel", trip).high < 0 and change("150 W more panel", trip).value < -0.009
    for name in ("lithium, 150 Ah", "150 W more panel"):
        assert change(name, "November, driving").high < 0
    against_old = names["pays"].lithium_less_old_agm
    assert against_old.low < 0 < against_old.high  # no difference is shown
    assert names["pays"].lithium_less_new_agm.low > 0
    # "Most draws say yes": of prices and lives alone the shares move by a tenth with another seed.
    assert all(0.5 < b.share < 0.85 for b in (names["pays"].pays_against_new, names["pays"].pays_against_old))
    assert names["ranked"].paid[0].name.startswith("drive")
    assert names["ranked"].paid[1].name == "100 W more panel on the roof"
    assert "insulated cover around the fridge" in {e.name for e in names["ranked"].paid[2:4]}
    assert -35 < names["comparison"].mass_kg["lithium, 120 Ah"].value < -25
    assert [p.fits for p in names["curve"].points] == [False, False, False, True, False]
