"""The verbs plot and report: files that they write, what they say, and what they refuse before any work."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest
from ridethrough.console import main
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
    assert facts["file"].endswith("f.pdf") and "100 trips" in facts["shows"] and facts["stopped_early"] is False


def test_a_page_is_written_and_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "trip.html"
    assert main(["report", DEMO, "-o", str(file), "--trials", "300", "--charge-limit", "50 %"]) == 0
    said = capsys.readouterr().out
    assert said.startswith(f"{file}\nChance of a cut-out: ") and "300 trips" in said and "model's error" in said
    page = file.read_text(encoding="utf-8")
    assert "Five November nights at Greensboro" in page and "Below the 50\u00a0% charge that you keep to" in page


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["plot", "chrge", DEMO, "-o", "x.svg"], "did you mean 'charge'"),
        (["plot", "charge", DEMO, "-o", "x.jpg"], "ends in .png, .svg, .pdf"),
        (["plot", "charge", DEMO, "-o", "x.png", "--size", "a5"], "did you mean 'a4'"),
        (["plot", "charge", DEMO, "-o", "x.png", "--change", "nights=2"], "only the picture survival"),
        (["report", DEMO, "-o", "trip.toml"], "ends in .html"),
        (["report", DEMO, "-o", "trip.html", "--charge-limit", "0"], "--charge-limit"),
    ],
)
def test_refused_before_any_work(words: list[str], message: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(words) == 2
    assert message in capsys.readouterr().err


def test_without_matplotlib(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    for words in (["plot", "charge", DEMO, "-o", "x.svg"], ["report", DEMO, "-o", str(tmp_path / "x.html")]):
        assert main(words) == 2
        assert "pip install '.[plot]'" in capsys.readouterr().err
