"""The verb ``new``: the file it writes, the dialogue on a terminal, and what becomes of half of the answers."""

from __future__ import annotations

import os
import re
import select
import signal
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import ridethrough as rt
from console_runs import ran, refused, started
from ridethrough.console import main
from ridethrough.files.starter_file import checked_answer
from ridethrough.files.starter_questions import BY_KEY, QUESTIONS

PLACE = ("--latitude", "44.5", "--longitude", "-110")
TRIP = (*PLACE, "--start", "2026-10-06 16:00", "--nights", "5")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "trip.toml"


def test_what_it_writes_runs_as_written(file: Path) -> None:
    status, out, err = ran("new", file, *TRIP)
    assert (status, err) == (0, "")
    assert f"{file} is written. Clocks there are those of America/Denver" in out and f"ridethrough run {file}" in out
    read = rt.load_scenario(file)
    assert read.trip.start == "2026-10-06 16:00" and read.trip.nights == 5 and read.trip.get("party.persons") == 2
    assert read.van.get("battery.capacity_ah") == 100 and read.van.get("solar.rated_w") == 160
    assert read.van.get("loads.heater.all_night") is True and read.notes == ()
    status, out, err = ran("run", file, "--trials", "100")
    assert (status, err) == (0, "") and "My trip: 5 nights, Tue 6 Oct 2026 16:00 to " in out


def test_the_file_helps_to_fill_it_in(file: Path) -> None:
    """Every question stands in it, with its unit and how to find out; all else is named with its default."""
    ran("new", file, *TRIP)
    text = " ".join(re.sub(r"\n# +", " ", file.read_text()).split())
    for question in QUESTIONS:
        assert question.asks in text and " ".join(question.remark.split()) in text, question.key
    assert "van.fridge: cutout_v = 10.4" in text and "ridethrough explain van.fridge" in text
    assert "no guarantee" in text
    assert max(map(len, file.read_text().splitlines())) <= 110


def test_each_answer_is_in_the_van_and_the_trip(file: Path) -> None:
    answers = {
        "latitude": "44 30 S",
        "longitude": "170.5 E",
        "altitude_m": "1,000 ft",
        "start": "2026-12-04",
        "nights": "6 nights",
        "persons": "4",
        "battery": "lithium",
        "capacity_ah": "1.28 kWh",  # four cells of 3.2 V nominal: 100 Ah
        "rated_w": "0.4 kW",
        "volume_l": "20 gal",  # US gallon of 231 cubic inches, exact by definition
        "set_point_c": "40 degF",
        "heater": "evening and morning",
        "surroundings": "open",
        "drive_days": "2 and Monday",
        "drive_h": "90 min",
        "shore_nights": "3, 4",
    }
    assert list(answers) == [question.key for question in QUESTIONS]
    words = [word for key, said in answers.items() for word in ("--" + key.replace("_", "-"), said)]
    status, _, err = ran("new", file, *words)
    assert (status, err) == (0, "")
    van, trip = rt.load_scenario(file).van, rt.load_scenario(file).trip
    assert (trip.get("site.latitude"), trip.get("site.longitude")) == (-44.5, 170.5)
    assert trip.get("site.altitude_m") == pytest.approx(304.8)  # a foot is 0.3048 m, exact by definition
    assert (trip.start, trip.nights, trip.get("party.persons")) == ("2026-12-04 15:00", 6, 4)
    assert van.battery == rt.LithiumBattery(capacity_ah=100)
    assert van.get("solar.rated_w") == 400
    assert van.get("fridge.volume_l") == pytest.approx(20 * 231 * 0.0254**3 * 1000)
    assert van.get("fridge.set_point_c") == pytest.approx((40 - 32) / 1.8)
    heater: Any = van.get("loads.heater")
    assert (heater.all_night, heater.evening_from_h, heater.morning_until_h) == (False, 17, 10)
    assert trip.surroundings == "open"
    assert trip.drives == (rt.Drive(days=[2, "Monday"], duration_h=1.5),)
    assert trip.shore_power == (rt.ShorePower(nights=[3, 4]),) and van.mains == rt.MainsCharger(current_a=20)


def test_nothing_on_the_roof_and_no_heater(file: Path) -> None:
    ran("new", file, *TRIP, "--rated-w", "0 W", "--heater", "none")
    van = rt.load_scenario(file).van
    assert van.solar is None and "heater" not in [load.name for load in van.loads]
    assert len(van.loads) == len(rt.Van().loads) - 1


@pytest.mark.parametrize("said", [".4 kW", ".4e3", "0400", "400.", "+400", "4e2", "400 W\t"])
def test_numbers_that_toml_writes_otherwise(said: str, file: Path) -> None:
    assert main(["new", str(file), "--rated-w", said, *TRIP]) == 0
    assert rt.load_scenario(file).van.get("solar.rated_w") == 400


def test_odd_texts_are_refused_and_break_nothing(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for said in ('a"b', "a\\", "a\nb", "\x7f", "\ud800", "{", "]", "#", ",", "None"):
        for option in ("--start", "--nights", "--rated-w", "--drive-days", "--latitude"):
            if (said, option) != ("None", "--drive-days"):
                assert main(["new", str(file), f"{option}={said}"]) == 2, (said, option)
                assert capsys.readouterr().err.startswith("error: ")
    assert not file.exists()


@pytest.mark.parametrize(
    ("key", "said", "taken"),
    [
        ("heater", "no", "none"),
        ("drive_days", "No", "none"),
        ("surroundings", "trees", "scattered_trees"),
        ("surroundings", "Park plot", "park_plot"),
        ("battery", "LITH", "lithium"),
        ("heater", "", "all night"),
    ],
)
def test_words_are_taken_as_people_say_them(key: str, said: str, taken: str) -> None:
    assert checked_answer(BY_KEY[key], said, {}) == taken


def test_a_line_that_is_a_remark_can_be_taken_in(file: Path) -> None:
    """Drives, shore power and the heater's temperature stand there; without their # they are planned."""
    ran("new", file, *TRIP)
    text = re.sub(r"(?m)^# (?=\[|\w+ = )", "", file.read_text())
    file.write_text(text)
    read = rt.load_scenario(file)
    assert read.trip.drives == (rt.Drive(days=[2, 4], duration_h=2),) and read.van.mains is not None
    assert read.van.get("loads.heater.set_point_c") == 19


def test_what_is_not_filled_in_is_named_at_once(file: Path) -> None:
    status, out, err = ran("new", file, *PLACE)
    assert (status, err) == (0, "") and 'Still to be filled in, where it says "?": start, nights.' in out
    message = refused("run", file)
    assert "trip.toml: trip.start: not filled in yet, nor are trip.nights; write a value in place" in message


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--nights", "six"], "trip.nights = 'six': allowed a whole number"),
        (["--nights", "0"], "trip.nights = 0: allowed whole number, 1 to"),
        (["--latitude", "95"], "trip.site.latitude = 95"),
        (["--latitude", "North Cape"], "names of places are not known"),
        (["--latitude", "30", "--longitude", "-45"], "it lies in the sea"),
        (["--battery", "gel"], "battery = 'gel': allowed agm or lithium"),
        (["--heater", "yes"], "heater = 'yes': allowed all night or evening and morning or none"),
        (["--start", "6 Oct"], 'write "YYYY-MM-DD HH:MM"'),
        (["--set-point-c", "40"], "are degF meant? 40 degF are 4.4 degC"),
        (["--capacity-ah", "100 W"], "W measures a power, and this is a charge; allowed a number of Ah"),
        (["--rated-w", "160,5"], "decimals are written with a point: 160.5"),
        (["--latitude", "?"], "latitude: must be given; On any map"),
        (["--wheels", "4"], "--wheels: new takes no such argument; see ridethrough new --help"),
    ],
)
def test_a_wrong_answer_is_one_line_and_writes_nothing(words: list[str], told: str, file: Path) -> None:
    assert told in refused("new", file, *words)
    assert not file.exists()


def test_a_file_that_is_there_stays(file: Path, tmp_path: Path) -> None:
    file.write_text("mine")
    assert "there is such a file; --overwrite writes over it" in refused("new", file, *TRIP)
    assert file.read_text() == "mine"
    assert ran("new", file, *TRIP, "--overwrite")[0] == 0 and "[trip]" in file.read_text()
    assert "No such file or directory" in refused("new", tmp_path / "nowhere" / "trip.toml")
    assert [path.name for path in tmp_path.iterdir()] == ["trip.toml"]  # no draft is left


@pytest.mark.skipif(os.name == "nt", reason="POSIX terminals")
class TestDialogue:
    """On a terminal, which is a pseudo-terminal here, the questions are asked one by one."""

    @pytest.fixture
    def dialogue(self, file: Path) -> Iterator[Dialogue]:
        talk = Dialogue(file, *PLACE)
        yield talk
        talk.end()

    def test_answers_and_usual_ones(self, dialogue: Dialogue, file: Path) -> None:
        assert "Ctrl-C" in dialogue.until("Altitude of the place")
        dialogue.say("", "Start of the trip")
        dialogue.say("6 Oct", "not a date")
        dialogue.say("2026-10-06 16:00", "Nights: ")
        dialogue.say("?", BY_KEY["nights"].remark)
        dialogue.say("5 nights", "[2]: ")
        for _ in range(QUESTIONS.index(BY_KEY["drive_days"]) - QUESTIONS.index(BY_KEY["persons"])):
            dialogue.say("", "]: ")
        dialogue.say("", "shore power, or none [none]: ")  # no drives: their length is not asked for
        dialogue.say("", "ridethrough run")
        assert dialogue.status() == 0
        read = rt.load_scenario(file)
        assert read.trip.nights == 5 and read.van.get("battery.capacity_ah") == 100 and not read.trip.drives

    @pytest.mark.parametrize("end", ["Ctrl-C", "Ctrl-D"])
    def test_what_was_answered_before_an_interruption_is_kept(self, dialogue: Dialogue, file: Path, end: str) -> None:
        dialogue.until("Altitude of the place")
        dialogue.say("no", "Start of the trip")
        dialogue.say("2026-10-06", "Nights: ")
        if end == "Ctrl-C":
            dialogue.interrupt()
        else:
            os.write(dialogue.ours, b"\x04")
        assert "What was answered is kept." in dialogue.until("ridethrough run")
        assert dialogue.status() == 130
        trip = tomllib.loads(file.read_text())["trip"]
        assert (trip["start"], trip["nights"], trip["site"]["latitude"]) == ("2026-10-06", "?", 44.5)

    def test_a_terminal_that_is_gone_loses_nothing(self, dialogue: Dialogue, file: Path) -> None:
        dialogue.until("Altitude of the place")
        dialogue.say("no", "Start of the trip")
        dialogue.say("2026-10-06", "Nights: ")
        dialogue.process.kill()
        dialogue.process.wait(timeout=60)
        assert tomllib.loads(file.read_text())["trip"]["start"] == "2026-10-06"


class Dialogue:
    """A run of ``new`` on a terminal."""

    def __init__(self, *arguments: Any) -> None:
        self.ours, theirs = os.openpty()
        self.process = started("new", *arguments, stdin=theirs, stdout=theirs, stderr=theirs)
        os.close(theirs)

    def until(self, words: str) -> str:
        """Everything up to these words."""
        seen = ""
        while " ".join(words.split()) not in " ".join(seen.split()) + " ":
            assert select.select([self.ours], [], [], 60)[0], seen
            try:
                seen += os.read(self.ours, 4096).decode()
            except OSError:  # the other end is closed
                raise AssertionError(seen) from None
        return seen

    def say(self, answer: str, then: str) -> None:
        """An answer, and what has to come after it."""
        os.write(self.ours, f"{answer}\n".encode())
        self.until(then)

    def interrupt(self) -> None:
        """Ctrl-C, again where it came before the program began to wait for the answer."""
        for _ in range(10):
            self.process.send_signal(signal.SIGINT)
            if select.select([self.ours], [], [], 2)[0]:
                return

    def status(self) -> int:
        return self.process.wait(timeout=60)

    def end(self) -> None:
        self.process.kill()
        self.process.wait(timeout=60)
        os.close(self.ours)
