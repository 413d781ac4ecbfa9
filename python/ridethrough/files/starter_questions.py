"""What a starter file asks: each question with its unit, what is usual, and how to find out."""

from __future__ import annotations

from dataclasses import dataclass

from .scenario import OPEN

NONE = "none"


@dataclass(frozen=True)
class Question:
    """One line of a starter file.

    Attributes
    ----------
    key : str
        Its name among the answers and, with hyphens, on the command line.
    asks : str
        The question, with its unit.
    usual, find_out : str
        What most people have, and where to read or measure one's own.
    standard : str
        The answer that is taken where none is given; OPEN where there must be one.
    words : tuple of str
        The answers that are allowed, where they are words.
    """

    key: str
    asks: str
    usual: str
    find_out: str
    standard: str
    words: tuple[str, ...] = ()

    @property
    def remark(self) -> str:
        """What helps to answer it."""
        said = (f"Usual: {self.usual}." if self.usual else "", f"{self.find_out}." if self.find_out else "")
        return " ".join(part for part in said if part)


QUESTIONS = (
    Question(
        "latitude",
        "Latitude of the place, degrees north (south is negative)",
        "",
        'On any map, such as 44.5, "44.5 N" or "44 30 N"',
        OPEN,
    ),
    Question(
        "longitude",
        "Longitude of the place, degrees east (west is negative, as all of the Americas)",
        "",
        'On any map, such as -110.2, "110.2 W" or "110 12 W"',
        OPEN,
    ),
    Question(
        "altitude_m",
        "Altitude of the place, m, or none if you don't know",
        "",
        'On a map, such as 2300 or "7,700 ft"; temperatures hang on it. Without it that of the wider area is taken',
        NONE,
    ),
    Question(
        "start",
        "Start of the trip there, by the clock of the place, such as 2026-09-22 16:00",
        "",
        "Full hours; a date alone means 15:00. The drive to the place lies before it",
        OPEN,
    ),
    Question("nights", "Nights", "2 to 7", "", OPEN),
    Question("persons", "People who sleep in the van", "2", "0 is a van that is parked and empty", "2"),
    Question(
        "battery",
        "Kind of the house battery, agm or lithium",
        "",
        "On its label: lithium says LiFePO4 or 12.8 V; AGM says AGM, VRLA or lead-acid",
        "agm",
        words=("agm", "lithium"),
    ),
    Question(
        "capacity_ah",
        "Capacity of the battery, Ah",
        "95 to 200",
        'On its label, that of 20 hours (C20); several in parallel: their sum. "1.28 kWh" will do',
        "100",
    ),
    Question(
        "rated_w",
        "Solar panels on the roof, W",
        "100 to 400",
        "On the nameplate, power at standard test conditions; several: their sum; 0 is none",
        "160",
    ),
    Question("volume_l", "Inside of the fridge, litres", "40 to 90", "On its nameplate or in its manual", "55"),
    Question(
        "set_point_c",
        "Temperature inside the fridge, degC",
        "3 to 5, which keeps food safe",
        'With a thermometer in a glass of water in the middle of it, read in the morning. "40 degF" will do',
        "4",
    ),
    Question(
        "heater",
        "Diesel heater: all night, evening and morning, or none",
        "all night where nights are below 10 degC",
        '"All night" is on its thermostat by day too; "evening and morning" is off while you sleep',
        "all night",
        words=("all night", "evening and morning", NONE),
    ),
    Question(
        "surroundings",
        "What stands around the van: open, park_plot, scattered_trees or forest",
        "park_plot, which is some shade",
        "Which of them your usual places look like",
        "park_plot",
        ("open", "park_plot", "scattered_trees", "forest"),
    ),
    Question(
        "drive_days",
        "Days on which you drive on, or none",
        "",
        "Such as 2, 4 or Friday; day 1 is the day of the start",
        NONE,
    ),
    Question("drive_h", "Length of each drive, hours", "1 to 3", "", "2"),
    Question(
        "shore_nights",
        "Nights on shore power, or none",
        "",
        "Such as 3 or Friday; night 1 begins on the day of the start. The van then has a mains charger",
        NONE,
    ),
)
BY_KEY = {question.key: question for question in QUESTIONS}
