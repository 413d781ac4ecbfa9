"""The verb ``run``, as a process of its own: what it prints, its exit status, and no traceback ever."""

import json
import os
import re
import signal
from pathlib import Path

import numpy as np
import pytest
import ridethrough as rt
from console_runs import FEW, ran, refused, started
from ridethrough.files.scenario import demo_path
from verdict_text import one_line

SCENARIOS = Path(__file__).parents[2] / "data" / "scenarios"


@pytest.fixture(scope="module")
def demo():
    status, out, err = ran()
    assert (status, err) == (0, "")
    return out


def test_demo_says_what_it_ran(demo):
    header = demo.split("WILL THE")[0]
    for word in ("Five November nights", "36.1 N, 79.95 W", "Fri 6 Nov 2026 15:00", "UTC-5", "5 nights"):
        assert word in header, header
    status, out, err = ran("run", *FEW, "--details")
    said = "400 trials (each a simulated trip), seed 1, scenario demo, ridethrough " + rt.__version__
    assert (status, err) == (0, "") and said in out


def test_demo_verdict_has_interval_and_trials(demo):
    answer = demo.split("WILL THE FRIDGE STAY ON?\n")[1].splitlines()
    assert re.fullmatch(r"  In about \d+ trips of \d+, yes; in \d+ the battery gets too low\.", answer[0])
    assert re.match(
        r"  Chance of a cut-out: \d+ % \([\d.]+-[\d.]+ %, 20,000 trips\); with the model's error \d", answer[1]
    )


def test_a_narrow_verdict_has_the_same_words(demo):
    status, out, err = ran("run", "--narrow")
    assert (status, err) == (0, "") and max(map(len, out.splitlines())) <= 45
    assert out.split() == demo.split() and "\n%" not in out


def test_a_charge_not_to_go_below_is_counted_beside_the_cut_out():
    _, out, _ = ran("run", *FEW, "--charge-limit", "60%")
    assert "Below the 60 % charge that you keep to: " in out.split("HOW MANY")[0]
    found = json.loads(ran("run", *FEW, "--charge-limit", "0.6", "--json")[1])
    below = found["below_charge_limit"]
    assert below["charge"] == 0.6 and below["chance"]["events"] > found["cutout"]["events"]
    assert "60 %" not in ran("run", *FEW)[1]
    assert "--charge-limit = '0': allowed 0.01 to 0.99, or 1 % to 99 %" in refused("run", "--charge-limit", "0")


def test_a_charge_limit_of_the_file_holds_unless_the_command_says_another(tmp_path):
    file = tmp_path / "kept.toml"
    demo = demo_path().read_text(encoding="utf-8")
    file.write_text(demo.replace("[run]\n", '[run]\ncharge_limit = "55 %"\n', 1), encoding="utf-8")
    assert "Below the 55 % charge that you keep to: " in ran("run", file, *FEW)[1]
    assert "Below the 60 % charge that you keep to: " in ran("run", file, *FEW, "--charge-limit", "60 %")[1]
    assert json.loads(ran("run", file, *FEW, "--json")[1])["below_charge_limit"]["charge"] == 0.55
    file.write_text(demo.replace("[run]\n", "[run]\ncharge_limit = 50\n", 1), encoding="utf-8")
    told = refused("run", file)
    assert "run.charge_limit = 50: allowed 0.01 to 0.99, such as 0.5; is per cent meant? write 0.5" in told


def test_what_would_help_is_told_with_its_numbers():
    found = json.loads(ran("run", *FEW, "--json")[1])["suggestions"]
    assert found["base"]["trials"] == 400 and found["reason"] is None
    changes = [one["change"] for one in found["tried"]]
    assert changes == sorted(changes, key=lambda one: one["value"])
    out = ran("run", *FEW)[1].split("WHAT WOULD HELP MOST (400 of these trips)\n")[1].splitlines()
    for i, (line, one) in enumerate(zip(out, found["tried"][:3], strict=False)):
        low, high = (f"{100 * one['change'][end]:+.1f}" for end in ("low", "high"))
        unit = " points" if i == 0 else ""  # told once
        assert line.startswith(f"  {one['name']}  ") and line.endswith(f"({low} to {high}{unit})")


def test_same_seed_same_answer_whatever_the_threads():
    one = ran("run", *FEW, "--seed", "5", "--threads", "1", "--json")
    assert one == ran("run", *FEW, "--seed", "5", "--threads", "2", "--json")
    assert one != ran("run", *FEW, "--seed", "6", "--threads", "2", "--json")


def test_json_is_strict_and_complete():
    status, out, err = ran("run", SCENARIOS / "lfp_forest.toml", *FEW, "--json")
    assert (status, err, out.count("\n")) == (0, "", 1)

    def refuse(word):
        raise AssertionError(f"{word} is not JSON")

    found = json.loads(out, parse_constant=refuse)
    cutout = found["cutout"]
    assert 0 <= cutout["low"] <= cutout["value"] <= cutout["high"] <= 1
    assert cutout["trials"] == 400 and cutout["value"] == cutout["events"] / 400
    assert found["scenario"] == "lfp_forest" and found["stopped_early"] is False


def test_added_loads_are_told_before_the_number(tmp_path):
    """A file with one load of its own runs with the default van's too, and says which key means only its own."""
    bare = tmp_path / "bare.toml"
    only = demo_path().read_text()
    bare.write_text(re.sub("only_these_loads = .*", "", only).replace("laptop = {}\n", ""))
    _, out, _ = ran("run", bare, *FEW)
    assert out.index("besides those in the file") < out.index("only_these_loads = true") < out.index("WILL THE")
    assert ": laptop. " in one_line(out) and "laptop" in out.split("Ah a day: ")[1]
    (note,) = json.loads(ran("run", bare, *FEW, "--json")[1])["notes"]
    assert note in one_line(out)
    assert json.loads(ran("run", *FEW, "--json")[1])["notes"] == []


def test_json_without_any_event(tmp_path):
    """Nothing fails in one night from full: what does not exist is null."""
    safe = tmp_path / "safe.toml"
    safe.write_text(demo_path().read_text().replace("nights = 5", "nights = 1"))
    status, out, _ = ran("run", safe, *FEW, "--json")
    found = json.loads(out)
    assert status == 0 and found["cutout"]["events"] == 0
    assert found["median_first_cutout_h"] is None


def test_unknown_key_names_file_key_and_nearest(tmp_path):
    wrong = tmp_path / "wrong.toml"
    wrong.write_text(demo_path().read_text().replace("capacity_ah", "capacity_a"))
    message = refused("run", wrong)
    for word in ("wrong.toml", "van.battery.capacity_a", "did you mean capacity_ah?"):
        assert word in message


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["nowhere.toml"], ["nowhere.toml", "No such file"]),
        ([SCENARIOS], ["scenarios", "directory"]),
        ([__file__], ["not TOML"]),
        (["--trials", "0"], ["trials = 0", "1 to"]),
        (["--trials", "2.5"], ["--trials", "'2.5': allowed whole numbers, such as 20000, 20,000 or 2e4"]),
        (["--trials", "1,5"], ["'1,5': allowed whole numbers"]),
        (["--seed", "-1"], ["seed = -1", "0 to"]),
        (["--threads", "-1"], ["threads = -1", "0 to"]),
        (["--weather", "nowhere.csv"], ["nowhere.csv", "no such file"]),
        (["--weather", __file__], ["unknown ending"]),
        (["--trails", "5"], ["--trails", "see ridethrough run --help"]),
        (["--nights", "8"], ['in the file, or by compare --change "nights=']),
    ],
)
def test_bad_input_is_one_line_and_status_2(arguments, words):
    message = refused("run", *arguments)
    for word in words:
        assert word in message, message


def test_trials_are_read_as_a_verdict_prints_them():
    for written in ("1,000", "1e3", "1000"):
        _, out, _ = ran("run", "--trials", written, "--json")
        assert json.loads(out)["cutout"]["trials"] == 1000


def test_weather_that_is_none(tmp_path):
    text = tmp_path / "shopping.csv"
    text.write_text("milk,2\nbread,1\n")
    message = refused("run", "--weather", text)
    assert "shopping.csv: not a TMY3 file; a daily one has the columns date, ghi_kwh_m2, temp_min_c," in message


def test_the_place_of_a_weather_file_is_the_trips_where_the_scenario_names_none(tmp_path):
    trip = tmp_path / "trip.toml"
    trip.write_text('[trip]\nstart = "2026-05-06 15:00"\nnights = 2\n')
    message = refused("run", trip, *FEW)
    assert "trip.toml: trip.site: must be given" in message
    pvlib = pytest.importorskip("pvlib")
    typical = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    status, out, err = ran("run", trip, "--weather", typical, *FEW)
    assert (status, err) == (0, "")
    assert "(36.1 N, 79.95 W)" in out and "Wed 6 May 2026 15:00" in out  # as the file's head says
    days = tmp_path / "days.csv"
    index = np.arange("2019-01-01", "2020-01-01", dtype="datetime64[D]")
    rows = [f"{day},{1.0 + 0.5 * (i % 3)},{1 + i % 2},{9 + i % 5}" for i, day in enumerate(index)]
    body = "date,ghi_kwh_m2,temp_min_c,temp_max_c\n" + "\n".join(rows) + "\n"
    days.write_text(body)
    message = refused("run", trip, "--weather", days, *FEW)
    assert "trip.site: must be given" in message  # neither says it
    days.write_text(f"# latitude: 44 30 N\n# longitude: W 110\n{body}")
    status, out, err = ran("run", trip, "--weather", days, *FEW)
    assert status == 0 and "\n44.5 N, 110 W" in out, err
    days.write_text(f"# latitude: 44 30 N\n{body}")
    trip.write_text(trip.read_text() + "[trip.site]\nlatitude = '44.5 N'\nlongitude = '110 W'\n")
    status, out, err = ran("run", trip, "--weather", days, *FEW)
    assert status == 0 and "measured days of daily file days.csv played again" in one_line(out), err


def test_weather_replays_a_measured_record():
    """Greensboro's typical year, from pvlib's wheel; it lies where the demo is."""
    pvlib = pytest.importorskip("pvlib")
    data = Path(pvlib.__file__).parent / "data"
    status, out, err = ran("run", "--weather", data / "723170TYA.CSV", *FEW)
    assert (status, err) == (0, "")
    assert "measured days of TMY3 file 723170TYA.CSV played again" in one_line(out)
    assert "Measured days replayed from" in one_line(out)
    message = refused("run", "--weather", data / "12839.tm2")
    for word in ("12839.tm2", "36.1", "25.8", "within 1 deg"):
        assert word in message, message


def test_a_reader_that_has_seen_enough():
    process = started("run", *FEW)
    assert process.stdout and process.stderr
    process.stdout.close()
    err = process.stderr.read()
    process.stderr.close()
    assert (process.wait(timeout=60), err) == (1, "")


@pytest.mark.skipif(os.name == "nt", reason="POSIX signals and terminals")
def test_ctrl_c_prints_what_was_finished():
    """On a terminal there is a progress line; once some trials are done, Ctrl-C stops the run."""
    ours, theirs = os.openpty()
    process = started("run", "--trials", "2000000", stderr=theirs)
    os.close(theirs)
    seen = b""
    while not re.search(rb"[1-9][\d,]* of 2,000,000 trips", seen):
        seen += os.read(ours, 1024)
    process.send_signal(signal.SIGINT)
    out = process.communicate(timeout=60)[0]
    os.close(ours)
    assert b"Traceback" not in seen
    assert process.returncode == 130
    finished = re.search(r"Stopped by Ctrl-C after ([\d,]+) of 2,000,000 trips", out)
    assert finished, out
    assert f"{finished[1]} trips)" in out and "Not tried: the run was stopped." in one_line(out)
