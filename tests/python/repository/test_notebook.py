"""The notebooks run top to bottom, say what they show, and are stored without outputs."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest

NOTEBOOKS = Path(__file__).parents[3] / "notebooks"


def cells_of(name: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads((NOTEBOOKS / name).read_text(encoding="utf-8"))["cells"]
    return found


def run(name: str) -> tuple[dict[str, Any], int]:
    """Names at the end and how many figures there are."""
    matplotlib = pytest.importorskip("matplotlib")
    matplotlib.use("Agg")
    import matplotlib.pyplot as plt

    names: dict[str, Any] = {}
    for cell in cells_of(name):
        if cell["cell_type"] == "code":
            exec(compile("".join(cell["source"]), name, "exec"), names)
    figures = len(plt.get_fignums())
    plt.close("all")
    return names, figures


@pytest.mark.parametrize("name", sorted(path.name for path in NOTEBOOKS.glob("*.ipynb")))
def test_outputs_are_stripped(name: str) -> None:
    code = [cell for cell in cells_of(name) if cell["cell_type"] == "code"]
    assert code
    assert all(cell["outputs"] == [] and cell["execution_count"] is None for cell in code)


def test_first_trip(capsys: pytest.CaptureFixture[str]) -> None:
    names, figures = run("first_trip.ipynb")
    printed = capsys.readouterr().out
    assert "sampling error alone" in printed and "10,000 trials" in printed
    assert "same 10,000 trials" in printed
    assert figures == 4
    first = names["agm"].cutouts_by_night().sum(axis=0)  # by clock hour: the text says evenings and about sunrise
    assert first[18:24].sum() + first[5:9].sum() > 0.5 * first.sum()
    assert names["difference"].low > 0  # and that the larger AGM does better than this lithium battery


@pytest.mark.filterwarnings("ignore:Van:UserWarning")
def test_checking_the_model(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("RIDETHROUGH_FULL", raising=False)
    monkeypatch.setattr(sys, "path", [*sys.path])  # the notebook adds to it
    names, figures = run("checking_the_model.ipynb")
    printed = capsys.readouterr().out
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


def test_panel_wattage(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("xarray")
    monkeypatch.delenv("RIDETHROUGH_FULL", raising=False)
    names, figures = run("panel_wattage.ipynb")
    printed = capsys.readouterr().out
    assert figures == 3
    assert printed.count("Not a guarantee.") == 4 and "sampling error alone" in printed and "120 trials" in printed
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


def test_agm_or_lithium(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("RIDETHROUGH_FULL", raising=False)
    names, figures = run("agm_or_lithium.ipynb")
    printed = capsys.readouterr().out
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
