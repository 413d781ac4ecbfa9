"""Ready-made habits: the loads of a kind of traveller and the trip's settings that go with them.

Each profile is a starting point to be changed. Its whole-day total, fridge included, is known as a range from memory
(``day_ah``), and a test runs it in the season it is named after.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any

import ridethrough._core as _core

from .classes import CLASSES, Party
from .configuration import Configuration
from .errors import checked_call, checked_class, unknown_name
from .load_changes import replace_loads


@checked_class
@dataclass(frozen=True, kw_only=True)
class Habits:
    """Habits of a kind of traveller: arguments for ``Van(..., **h.van)`` and ``Trip(..., **h.trip)``.

    Parameters
    ----------
    name, doc : str
        What they are called, and what they are.
    loads : tuple
        The van's loads.
    party : Party
        The trip's.
    day_ah : tuple of float
        What the loads take in a day, about, least and most [Ah].
    fridge_l : float
        Volume of the usual fridge [l].

    Examples
    --------
    >>> family = rt.habits("family")
    >>> trip.replace(**family.trip).party == family.party, rt.Van(**family.van).loads == family.loads
    (True, True)
    """

    name: str
    doc: str
    loads: tuple[Any, ...]
    party: Party
    day_ah: tuple[float, float, float]  # least, usual and most of a day with its fridge; from memory
    fridge_l: float  # of the fridge that those are for

    @property
    def van(self) -> dict[str, Any]:
        """Keyword arguments for ``Van``."""
        return {"loads": self.loads}

    @property
    def trip(self) -> dict[str, Any]:
        """Keyword arguments for ``Trip``."""
        return {"party": self.party}


def _load(kind: str, **values: Any) -> Any:
    return CLASSES[kind](**values)


def _party(persons: int, **values: Any) -> Party:
    return Party(persons=persons, **values)


def _light_couple() -> Habits:
    kinds = ("Lights", "WaterPump", "Phones", "Fan", "Standby", "Radio", "Heater")
    return Habits(
        name="light_couple",
        doc="A couple in a small van, mild weather, no inverter.",
        loads=tuple(_load(kind) for kind in kinds),
        party=_party(2),
        day_ah=(20, 35, 55),
        fridge_l=50,
    )


def _touring_summer() -> Habits:
    kinds = ("Lights", "OutsideLight", "WaterPump", "Phones", "BatteryPacks", "Television", "Radio", "Inverter")
    more = (
        _load("Heater"),
        _load("Fan", fitted_probability=1.0),
        _load("Standby", current_a=_core.triangular(0.1, 0.25, 0.5)),
        _load("GuestEvening", nights="stationary"),
    )
    return Habits(
        name="touring_summer",
        doc="A couple on tour in summer, 25 to 30 degC around a larger fridge, with an inverter.",
        loads=(*(_load(kind) for kind in kinds), *more),
        party=_party(2, drinks_l_per_person_day=1.0),
        day_ah=(40, 65, 100),
        fridge_l=85,
    )


def _hot() -> Habits:
    summer = _touring_summer()
    loads = tuple(load for load in summer.loads if load.name != "fan")
    fan = _load("Fan", fitted_probability=1.0, current_a=_core.triangular(0.8, 1.5, 2.5))
    return Habits(
        name="hot",
        doc="The couple of touring_summer at 35 to 40 degC around the fridge: the fan runs all night.",
        loads=(*loads, fan),
        party=_party(2, drinks_l_per_person_day=2.0),
        day_ah=(65, 100, 160),
        fridge_l=85,
    )


def _family() -> Habits:
    hot = _hot()
    more = (
        _load("Tablets", count=2),
        _load("Fan", name="second_fan", fitted_probability=1.0, current_a=_core.triangular(0.2, 0.4, 0.8)),
        _load("Microwave", use_probability=0.25),
    )
    return Habits(
        name="family",
        doc="Two adults and two children in the heat.",
        loads=(*hot.loads, *more),
        party=_party(4, drinks_l_per_person_day=1.5, shopping_probability=0.3),
        day_ah=(75, 115, 180),
        fridge_l=85,
    )


def _winter_heater() -> Habits:
    kinds = ("WaterPump", "Phones", "Laptop", "Television", "Radio", "Inverter")
    return Habits(
        name="winter_heater",
        doc="A couple in winter: diesel heater from dusk through the night, on low, to the morning; long evenings.",
        loads=(
            _load("Lights", current_a=_core.triangular(0.5, 1.0, 2.0)),
            *(_load(kind) for kind in kinds),
            _load("Heater", evening_from_h=17, morning_until_h=10),  # while they are mostly in
            _load("Standby", current_a=_core.triangular(0.1, 0.3, 0.8)),
        ),
        party=_party(2),
        day_ah=(35, 60, 100),
        fridge_l=60,
    )


def _remote_work() -> Habits:
    kinds = ("WaterPump", "Lights", "Phones", "Fan", "Radio")
    work = {"earliest_h": 8, "latest_h": 9, "daily_probability": 1.0, "days": "workdays", "rain_factor": 1.0}
    return Habits(
        name="remote_work",
        doc="Working from the van: laptop and satellite internet all working day, weekdays by the calendar.",
        loads=(
            *(_load(kind) for kind in kinds),
            _load("Laptop", current_a=_core.triangular(2.5, 4, 6), duration_h=_core.triangular(5, 7, 9), **work),
            _load("Laptop", name="evening_laptop", duration_h=1.5, daily_probability=0.5, earliest_h=18),
            _load("InternetTerminal", duration_h=_core.triangular(8, 10, 14), **work),
            _load("InternetTerminal", name="evening_internet", duration_h=2.5, earliest_h=18, latest_h=20),
            _load("Router"),
            _load("Heater"),
            _load("Inverter", duration_h=_core.triangular(2, 6, 10), daily_probability=0.9, earliest_h=8, latest_h=10),
            _load("Standby", current_a=_core.triangular(0.15, 0.4, 0.9)),
        ),
        party=_party(2),
        day_ah=(70, 120, 230),
        fridge_l=60,
    )


def _parked_unoccupied() -> Habits:
    return Habits(
        name="parked_unoccupied",
        doc="A parked van with its fridge on and nobody inside, in winter.",
        loads=(_load("Standby", current_a=_core.triangular(0.3, 0.5, 1.0)),),
        party=_party(0),
        day_ah=(10, 20, 35),
        fridge_l=60,
    )


_PROFILES: dict[str, Callable[[], Habits]] = {
    "light_couple": _light_couple,
    "touring_summer": _touring_summer,
    "hot": _hot,
    "family": _family,
    "winter_heater": _winter_heater,
    "remote_work": _remote_work,
    "parked_unoccupied": _parked_unoccupied,
}
HABIT_NAMES = tuple(_PROFILES)


@checked_call
def habits(name: str, extra: Iterable[Configuration] = ()) -> Habits:
    """Look up ready-made habits by name.

    In a scenario file ``[van] habits = "remote_work"`` does the same, and ``[van.loads]`` and ``[trip.party]`` change
    it.

    Parameters
    ----------
    name : str
        One of ``ridethrough.HABIT_NAMES``.
    extra : iterable of loads
        Each replaces the load of its name, or is added.

    Returns
    -------
    Habits
        ``Van(..., **found.van)`` and ``Trip(..., **found.trip)`` take them.

    Raises
    ------
    InputError
        No such habits, or something in ``extra`` that is no load.

    Examples
    --------
    >>> found = rt.habits("remote_work", extra=[rt.Kettle()])
    >>> "kettle" in [load.name for load in rt.Van(**found.van).loads]
    True
    """
    if not isinstance(name, str) or name not in _PROFILES:
        raise unknown_name("habits", name, HABIT_NAMES, "no such habits", quoted=False)
    ready = _PROFILES[name]()
    return replace(ready, loads=replace_loads(ready.loads, extra, "habits, extra"))


def explain_habits(name: str = "") -> str:
    """What ready-made habits hold, or all their names with a line on each."""
    if not name:
        lines = (f"{known}: {habits(known).doc}" for known in HABIT_NAMES)
        return "\n".join(['Ready-made habits, [van] habits = "<name>" in a scenario file:', *lines])
    h = habits(name)
    least, usual, most = h.day_ah
    day = f"With a fridge of {h.fridge_l:g} l a day takes {least} to {most} Ah, usually {usual} (from memory)."
    return "\n".join([f"{name}: {h.doc}", day, f"Trip.party = {h.party!r}", *map(repr, h.loads)])
