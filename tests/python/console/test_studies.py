"""The verbs ``compare``, ``size``, ``upgrades`` and ``explain``, the help, and what all verbs share."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import ridethrough as rt
from console_runs import ENVIRONMENT, FEW, ran, refused, started
from ridethrough.console import main
from ridethrough.console.arguments import VERBS
from ridethrough.files.scenario import demo_path
from ridethrough.model.cautions import CAUTION

DEMO = demo_path()
JSON_PAGE = Path(__file__).parents[3] / "python" / "docs" / "json.md"


def printed(words: list[Any], capsys: pytest.CaptureFixture[str]) -> str:
    assert main([*map(str, words)]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out


def found(words: list[Any], capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is not JSON")

    facts: dict[str, Any] = json.loads(printed([*words, "--json"], capsys), parse_constant=refuse)
    assert facts["stopped_early"] is False
    return facts


def test_compare_is_the_function_of_that_name(capsys: pytest.CaptureFixture[str]) -> None:
    changes = ["--change", "nights=3", "--change", "solar.rated_w=300 W", "--change", "battery=lithium 120 Ah"]
    text = printed(["compare", DEMO, *changes, *FEW], capsys)
    for head in ("nights=3 against the base", "solar.rated_w=300 W against", "battery=lithium 120 Ah against"):
        assert head in text
    text = " ".join(text.split())
    assert "points less (" in text and "the same 400 trials" in text and " ".join(CAUTION.split()) in text
    scenario = rt.load_scenario(DEMO)
    more = scenario.van.replace("solar.rated_w", 300)
    pair = (scenario.van, scenario.trip.replace(nights=3))
    others: dict[str, rt.Van | tuple[rt.Van, rt.Trip]] = {"nights=3": pair, "solar.rated_w=300 W": more}
    same = rt.compare(scenario.van, others, scenario.trip, trials=400, seed=scenario.seed)
    facts = found(["compare", DEMO, *changes[:4], *FEW], capsys)
    beside = {
        "stopped_early": False,
        "notes": [],
        "below_charge_limit": None,
        "caution": CAUTION,
        "warnings": list(same.warnings),
    }
    assert json.loads(json.dumps(same.to_dict())) | beside == facts


def test_size_is_the_function_of_that_name(capsys: pytest.CaptureFixture[str]) -> None:
    scenario = rt.load_scenario(DEMO)
    same = rt.size(scenario.van, scenario.trip, "trip.nights", 0.2, trials=400, seed=scenario.seed)
    for risk in ("20 %", "20%", "0.2"):
        facts = found(["size", DEMO, "nights", "--risk", risk, *FEW], capsys)
        assert (facts["path"], facts["value"]) == ("trip.nights", same.value)
    assert "Largest trip.nights that keeps the risk within 5 %" in printed(["size", DEMO, "nights", *FEW], capsys)


def test_upgrades_is_the_function_of_that_name(capsys: pytest.CaptureFixture[str]) -> None:
    text = printed(["upgrades", DEMO, "--no-pairs", "--trials", "100"], capsys)
    scenario = rt.load_scenario(DEMO)
    same = rt.upgrades(scenario.van, scenario.trip, pairs=False, trials=100, seed=scenario.seed)
    assert text == f"{same}\n"


def test_explain_is_the_function_of_that_name(capsys: pytest.CaptureFixture[str]) -> None:
    for path in ("van.battery.capacity_ah", "Heater", "guesses", "time_series"):
        assert printed(["explain", path], capsys) == f"{rt.explain(path)}\n"
    assert printed(["explain", "charge_limit"], capsys) == f"{rt.explain('run.charge_limit')}\n"
    assert "did you mean van.battery.capacity_ah" in refused("explain", "van.battery.capcity_ah")


def test_what_the_file_left_open_and_its_charge_limit_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "trip.toml"
    lines = DEMO.read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if not line.startswith(("only_these_loads", "phones"))]
    file.write_text("\n".join(kept).replace("[run]", '[run]\ncharge_limit = "60 %"'), encoding="utf-8")
    scenario = rt.load_scenario(file)
    note, few = scenario.notes[0], ["--trials", "40"]
    assert scenario.charge_limit == 0.6 and note.startswith("Loads: ")
    verbs = {"compare": ["--change", "nights=2"], "size": [], "upgrades": ["--no-pairs"]}
    for verb, more in verbs.items():
        words: list[Any] = [verb, file, *(["nights"] if verb == "size" else []), *more, *few]
        told, facts = printed(words, capsys), found(words, capsys)
        assert told.startswith(f"{note}\n") and facts["notes"][0] == note
        assert (verb == "compare") != ("charge limit of the file, 60 %, is not counted here" in told)
    for van, trip in (("base", scenario.trip), ("nights=2", scenario.trip.replace(nights=2))):
        risk = rt.simulate(scenario.van, trip, trials=40, seed=scenario.seed, progress=False)
        below = risk.below_soc(0.6)
        facts = found(["compare", file, "--change", "nights=2", *few], capsys)["below_charge_limit"]
        assert facts["charge"] == 0.6 and facts["chances"][van]["events"] == below.events
    assert "Below the 60 % charge that you keep to: base " in printed(
        ["compare", file, "--change", "nights=2", *few], capsys
    )


@pytest.mark.parametrize("verb", VERBS)
def test_the_page_on_json_names_every_key(verb: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words: dict[str, list[Any]] = {
        "new": [tmp_path / "trip.toml"],
        "explain": ["van.fridge"],
        "compare": [DEMO, "--change", "nights=3"],
        "size": [DEMO, "nights"],
        "upgrades": [DEMO, "--no-pairs"],
        "plot": ["charge", DEMO, "-o", tmp_path / "charge.svg"],
        "report": [DEMO, "-o", tmp_path / "trip.html"],
        "tonight": [DEMO, "--now", "2026-11-06 20:00", "--reading", "90 %", "--trials", "16384"],
    }
    few = [] if verb in ("new", "explain", "tonight") else ["--trials", "40"]
    assert main([verb, *map(str, words.get(verb, [DEMO])), *few, "--json"]) == 0
    facts = json.loads(capsys.readouterr().out)
    section = re.split(r"(?m)^## ", JSON_PAGE.read_text(encoding="utf-8").partition(f"## {verb}\n")[2])[0]
    rows = re.findall(r"(?m)^\| (`.*?) \|", section)
    assert {key for row in rows for key in re.findall(r"`(\w+)`", row)} == set(facts)


@pytest.mark.parametrize("verb", VERBS)
def test_help_says_what_each_verb_takes(verb: str, capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["--help"], [verb, "--help"]):
        with pytest.raises(SystemExit) as left:
            main(words)
        assert left.value.code == 0
    top, own = capsys.readouterr().out.split(f"usage: ridethrough {verb} ")
    assert verb in top and CAUTION in " ".join(top.split())
    described = " ".join(own.split("\n\n")[1].split())
    assert described.endswith(".") and len(described) > 40, "a sentence that says what the verb does"
    assert max(map(len, own.splitlines())) <= 96


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["frobnicate"], "frobnicate: no such verb; allowed run, new, explain, compare, size, upgrades"),
        (["compere"], "did you mean compare?"),
        (["trip.toml"], "did you mean run trip.toml?"),
        (["--explain", "van.fridge"], "--explain: a verb has no hyphens; write ridethrough explain"),
        (["explain"], "required: PATH; see ridethrough explain --help"),
        (["compare", DEMO], "required: --change; see ridethrough compare --help"),
        (["compare", DEMO, "--change", "nigths=4"], '--change "nigths=4": nigths: neither a van nor a trip'),
        (["compare", DEMO, "--change", "nights=4", "--change", "nights=4"], '--change "nights=4": given twice'),
        (["compare", DEMO, "--change", "nights=4", "--trials", "1"], "trials"),
        (["compare", "nowhere.toml", "--change", "nights=4"], "nowhere.toml: No such file"),
        (["size", DEMO], "required: PATH; see ridethrough size --help"),
        (["size", DEMO, "rated_w"], "is van.solar.rated_w or van.generator.rated_w meant?"),
        (
            ["size", DEMO, "solar.rated_w", "--risk", "5"],
            "--risk = '5': allowed 0.001 to 0.9, or 0.1 % to 90 %, such as 0.05; is per cent meant? write \"5 %\"",
        ),
        (["size", DEMO, "solar.rated_w", "--risk", "low"], "--risk = 'low': allowed a number, or a share such as 62 %"),
        (["size", DEMO, "solar.rated_w", "--risk", "150%"], "--risk = '150%': allowed 0.1 % to 90 %, such as 5 %"),
        (["size", DEMO, "fridge.cutout_v"], "not to be sized. A lower cut-out is no gain"),
        (["upgrades", DEMO, "--trials", "0"], "trials = 0"),
    ],
)
def test_a_wrong_word_is_one_line(words: list[Any], told: str, capsys: pytest.CaptureFixture[str]) -> None:
    try:
        status = main([*map(str, words)])
    except SystemExit as left:
        assert isinstance(left.code, int)
        status = left.code
    out, err = capsys.readouterr()
    assert (status, out, err.count("\n")) == (2, "", 1) and err.startswith("error: ")
    assert told in err


def test_the_command_and_the_module_are_the_same() -> None:
    script = Path(sys.executable).with_name("ridethrough")
    words = ["explain", "van.fridge.volume_l"]
    found = subprocess.run([script, *words], capture_output=True, text=True, env=ENVIRONMENT, check=True)
    assert (0, found.stdout, found.stderr) == ran(*words)


@pytest.mark.skipif(os.name == "nt", reason="POSIX signals and terminals")
@pytest.mark.parametrize("form", ["text", "json"])
def test_ctrl_c_tells_the_runs_that_were_finished(form: str) -> None:
    ours, theirs = os.openpty()
    words = ["compare", DEMO, "--change", "nights=2", "--change", "nights=4", "--trials", "20000"]
    process = started(*words, *(["--json"] if form == "json" else []), stderr=theirs)
    os.close(theirs)
    seen = b""
    while not re.search(rb"[2-5]\d,\d\d\d of 60,000 trips", seen):
        seen += os.read(ours, 1024)
    process.send_signal(signal.SIGINT)
    out = process.communicate(timeout=60)[0]
    os.close(ours)
    assert process.returncode == 130
    if form == "json":
        facts = json.loads(out)
        assert facts["stopped_early"] is True and facts["finished"]["base"]["trials"] == 20000
    else:
        assert "Stopped by Ctrl-C" in out and re.search(r"base: .*20,000 trials", out) and CAUTION in out


@pytest.mark.skipif(os.name == "nt", reason="POSIX signals and terminals")
def test_a_long_run_says_first_how_long_it_takes() -> None:
    """A thousand million trips take hours on any machine."""
    ours, theirs = os.openpty()
    process = started("run", "--trials", "1e9", stderr=theirs)
    os.close(theirs)
    seen = b""
    while b"Expected to take about" not in seen:
        seen += os.read(ours, 1024)
    process.send_signal(signal.SIGINT)
    out = process.communicate(timeout=60)[0]
    os.close(ours)
    assert process.returncode == 130 and "of 1,000,000,000 trips" in out
