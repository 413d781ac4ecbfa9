"""The verbs plot and report: files that they write, what they say, and what they refuse before any work."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest
import ridethrough as rt
from ridethrough.console import main, pages
from ridethrough.engine.interruption import Interrupted
from ridethrough.files.scenario import demo_path

pytest.importorskip("matplotlib")
DEMO = str(demo_path())


def test_a_picture_is_written_and_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "charge.svg"
    assert main(["plot", "charge", DEMO, "-o", str(file), "--trials", "200", "--size", "phone"]) == 0
    said = capsys.readouterr().out
    assert said.startswith(f"{file}\nState of charge") and "200 trips" in said
    assert file.read_text(encoding="utf-8").startswith("<svg")
    lines = ["--change", "solar.rated_w=300 W", "--change", "battery=lithium 100 Ah"]
    assert main(["plot", "survival", DEMO, "-o", str(tmp_path / "s.png"), "--trials", "100", *lines]) == 0
    assert "battery=lithium 100 Ah: cut-out" in capsys.readouterr().out
    assert main(["plot", "first-cutout", DEMO, "-o", str(tmp_path / "f.pdf"), "--trials", "100", "--json"]) == 0
    facts = json.loads(capsys.readouterr().out)
    assert (
        facts["likely_range"]["low"] < facts["cutout"]["low"] < facts["cutout"]["high"] < facts["likely_range"]["high"]
    )
    assert facts["notes"] == [] and facts["below_charge_limit"] is None
    assert facts["file"].endswith("f.pdf") and "100 trips" in facts["shows"] and facts["stopped_early"] is False


def test_a_page_is_written_and_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "trip.html"
    assert main(["report", DEMO, "-o", str(file), "--trials", "300", "--charge-limit", "50 %"]) == 0
    said = capsys.readouterr().out
    assert said.startswith(f"{file}\nChance of a cut-out: ") and "300 trips" in said and "model's error" in said
    page = file.read_text(encoding="utf-8")
    assert "Five November nights at Greensboro" in page and "Below the 50\u00a0% charge that you keep to" in page


def test_the_file_s_charge_limit_is_drawn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file, text = tmp_path / "kept.toml", demo_path().read_text(encoding="utf-8")
    file.write_text(text.replace("[run]\n", '[run]\ncharge_limit = "55 %"\n', 1), encoding="utf-8")
    words = "the 55 % that you keep to; below it at some time: "
    assert main(["plot", "charge", str(file), "-o", str(tmp_path / "c.svg"), "--trials", "100"]) == 0
    said = capsys.readouterr().out
    assert words in said.replace("The 55", "the 55") and "half charge" not in said
    assert main(["report", str(file), "-o", str(tmp_path / "r.html"), "--trials", "100"]) == 0
    page = (tmp_path / "r.html").read_text(encoding="utf-8")
    assert words in page.replace("The 55", "the 55") and "half charge: below it" not in page


def test_ctrl_c_keeps_the_lines_that_were_played(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    runs: list[rt.Risk] = []

    def stopped(*arguments: Any, **options: Any) -> rt.Risk:
        if len(runs) == 2:
            raise Interrupted("simulate", None)
        runs.append(rt.simulate(*arguments, **options))
        if len(runs) == 2:
            raise Interrupted("simulate", runs[-1])
        return runs[-1]

    monkeypatch.setattr(pages, "simulate", stopped)
    changes = [word for n in (2, 3, 4) for word in ("--change", f"nights={n}")]
    words = ["plot", "survival", DEMO, "-o", str(tmp_path / "s.svg"), "--trials", "100", *changes]
    assert main(words) == 130
    told = capsys.readouterr().out
    assert told.startswith("Stopped by Ctrl-C") and "nights=2: cut-out" in told and "nights=3" not in told


def test_ctrl_c_while_changes_are_tried_keeps_the_page(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(risk: rt.Risk, threads: int = 0, charge_limit: float | None = None) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(rt.Risk, "suggestions", stopped)
    file = tmp_path / "trip.html"
    assert main(["report", DEMO, "-o", str(file), "--trials", "100"]) == 0
    assert "Not tried: the run was stopped" in file.read_text(encoding="utf-8") and capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["plot", "chrge", DEMO, "-o", "x.svg"], "did you mean 'charge'"),
        (["plot", "charge", DEMO, "-o", "x.jpg"], "ends in .png, .svg, .pdf"),
        (["plot", "charge", DEMO, "-o", "x.png", "--size", "a5"], "did you mean 'a4'"),
        (["plot", "charge", DEMO, "-o", "x.png", "--change", "nights=2"], "only the picture survival"),
        (["plot", "charge", DEMO, "-o", "nowhere/x.png"], "No such file or directory: nowhere"),
        (["report", DEMO, "-o", "nowhere/x.html"], "No such file or directory: nowhere"),
        (["report", DEMO, "-o", "trip.toml"], "ends in .html"),
        (["report", DEMO, "-o", "trip.html", "--charge-limit", "0"], "--charge-limit"),
    ],
)
def test_refused_before_any_work(
    words: list[str], message: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pages, "simulate", None)
    assert main(words) == 2
    assert message in capsys.readouterr().err


def test_without_matplotlib(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    for words in (["plot", "charge", DEMO, "-o", "x.svg"], ["report", DEMO, "-o", str(tmp_path / "x.html")]):
        assert main(words) == 2
        assert "pip install '.[plot]'" in capsys.readouterr().err
