"""What a starter file asks: each question with its unit, what is usual, and how to find out."""

from __future__ import annotations

from dataclasses import dataclass

from ..model.dict_format import OPEN


@dataclass(frozen=True)
class Question:
    """One line of a starter file.

    Attributes
    ----------
    key : str
        Its name among the answers and, where it is one of a trip's, on the command line.
    asks : str
        The question, for a dialogue.
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
        """What stands beside the line in the file."""
        return "; ".join(part for part in (self.usual, self.find_out) if part)


QUESTIONS = (
    Question(
        "latitude",
        "Latitude of the place",
        'decimal degrees, north positive, or "44 30 N"',
        "any map shows it",
        OPEN,
    ),
    Question(
        "longitude",
        "Longitude of the place",
        'decimal degrees, east positive (the Americas are negative), or "110 W"',
        "any map shows it",
        OPEN,
    ),
    Question(
        "start",
        "Start of the trip, on the clock of the place",
        '"2026-09-22 15:00"; a date alone means 15:00',
        "when you stand there for the first night",
        OPEN,
    ),
    Question("nights", "Nights", "2 to 7 are usual", "", OPEN),
    Question("persons", "People who sleep in the van", "2 are usual; 0: parked and empty", "", "2"),
    Question(
        "battery",
        "Kind of house battery",
        'AgmBattery ("agm") or LithiumBattery ("lithium")',
        "the label; lithium says LiFePO4 or 12.8 V, AGM says AGM, lead-acid or VRLA",
        "agm",
        words=("agm", "lithium"),
    ),
    Question(
        "capacity_ah",
        "Capacity of the battery [Ah]",
        'Ah, 95 to 200 are usual; "1.28 kWh" is taken too',
        "the label, at the 20-hour rate (C20); of two alike in parallel their sum",
        "100",
    ),
    Question(
        "rated_w",
        "Solar panel on the roof [W]",
        "W, 100 to 400 are usual; 0: none",
        "nameplate, power at standard test conditions; of several the sum",
        "160",
    ),
    Question("volume_l", "Fridge [l]", "litres inside, 40 to 90 are usual", "its manual or nameplate", "55"),
    Question(
        "set_point_c",
        "Temperature that the fridge holds [degC]",
        'degC, 3 to 5 keep food safe; "40 degF" is taken too',
        "a thermometer in a glass of water in the middle of it, read in the morning",
        "4",
    ),
    Question(
        "heater",
        "Heater that burns diesel or gas and draws current for its blower",
        "all night on its thermostat, evening and morning, or none",
        "common below 10 degC at night; the van's papers say whether there is one",
        "all night",
        words=("all night", "evening and morning", "none"),
    ),
    Question(
        "surroundings",
        "What stands around the van",
        '"open", "park_plot" (some shade), "scattered_trees" or "forest"',
        "which of these the places look like where you usually stand",
        "park_plot",
        ("open", "park_plot", "scattered_trees", "forest"),
    ),
    Question(
        "drive_days",
        "Days on which you drive on",
        'counted from 1, such as 2, 4, or weekdays; "none" if you stay',
        "day 1 is the day of the start, and the drive to the place lies before it",
        "none",
    ),
    Question("drive_h", "Hours of each drive", "h, 1 to 3 are usual", "", "2"),
    Question(
        "shore_nights",
        "Nights on shore power",
        'counted from 1, such as 3; "none" without',
        "a night counts from the evening to the morning; the van needs a mains charger",
        "none",
    ),
)
BY_KEY = {question.key: question for question in QUESTIONS}
