"""A reading of a meter, a panel or a gauge during a trip, as its owner types it."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date
from typing import Any

from ..model.checks import validate_text
from ..model.errors import bad_input, checked_class
from .reading_clauses import clauses_text, read_loads, read_meter, read_place, read_time, split_clauses
from .reading_text import Meaning, meaning_of

# Of which quantities each circumstance makes a difference; elsewhere it is refused, for nothing would come of it.
_PERCENT, _CHARGE, _YIELD = ("soc",), ("soc", "ah_used", "ah_left", "hours_left"), ("yield_wh", "yield_ah")
_OF = {
    "compressor": ("volts", "amps"),
    "on": ("volts", "amps", "hours_left"),
    "charged": ("volts", *_PERCENT),
    "full": _CHARGE,
    "meter": ("volts", "amps", *_CHARGE, *_YIELD),
}
_WORDS_OF = {"volts": "volts", "amps": "amperes", "soc": "per cent", "ah_used": "ampere-hours used"}
_WORDS_OF |= {"ah_left": "ampere-hours left", "hours_left": "hours left", "yield_wh": "a yield", "yield_ah": ""}


@checked_class
@dataclass(frozen=True, repr=False)
class Reading:
    """What a meter shows: charge, ampere-hours, volts, amperes, the day's yield, the fridge, a tank, a charger's words.

    The digits tell how far the display rounds: 12.1 V is anything from 12.05 to 12.15 V, 62 % from 61.5 to 62.5 %.
    What stands about it may be said in the text, too: "12.1 V at fridge, compressor on, 2026-09-24 20:00".

    Parameters
    ----------
    text : str
        "62 %"; "12.1 V"; "-38 Ah" or "38 Ah used" (since full); "93 Ah left"; "4.2 A out", "8 A in" (without a word
        or with a minus out of the battery, with a plus into it); "310 Wh today" or "25 Ah today", also "yesterday"
        (the day's yield of the Sun); "14 h left"; "5 degC" (fridge); "2 nights of water", "30 l of water",
        "grey valve open"; "vehicle feed present", "sun absent", "charger in float", "charger set to agm".
    at : str, optional
        Where it is measured: "terminals" of the battery or "shunt" (the same), "panel" (at the distribution),
        "fridge" (at its plug).
    compressor : bool, optional
        Of volts and amperes: whether the fridge's compressor runs; not given: as in each trial.
    time : str, date or datetime, optional
        Clock time of the trip, "2026-09-24 20:00"; of a yield a date is enough. Not given: now.
    on : str or sequence of str, optional
        Of volts and amperes: names of all loads that are on, as in the van, besides fridge and standing loads; an
        empty list: none. Not given: what each trial has on.
    charged : str, date or datetime, optional
        Of volts, and of a percentage guessed from them: until when the Sun or a charger last charged the battery. Not
        given: told from the Sun and the trip's plan.
    full : str, date or datetime, optional
        Of a counter: when the battery was last truly full, of a date alone at noon. Not given: at an earlier reading's,
        else at the start of the trip or, where that is not full, some days before.
    meter : str, optional
        What shows it: "counter" (counts ampere-hours at a shunt), "app" (the battery's own), "controller" (a
        percentage guessed from volts). Not given: a counter.

    Attributes
    ----------
    quantity : str
        What is read: "soc", "ah_used", "ah_left", "volts", "amps", "yield_wh", "yield_ah", "hours_left", "fridge_c",
        "water_nights", "water_l" or "charger".
    value, low, high : float
        The number, and what the display rounds to it: a share of full, or in the unit that the quantity's name ends
        with (hours, nights, litres). Amperes are positive out of the battery.

    Examples
    --------
    >>> reading = rt.Reading("12.1 V", at="fridge", compressor=True, time="2026-09-24 20:00")
    >>> print(reading)
    12.1 V at fridge, compressor on, 2026-09-24 20:00
    >>> rt.Reading(str(reading)) == reading, reading.quantity, reading.low, reading.high
    (True, 'volts', 12.05, 12.15)
    """

    text: str
    at: str = "terminals"
    compressor: bool | None = None
    time: str | date | None = None
    on: tuple[str, ...] | list[str] | str | None = None
    charged: str | date | None = None
    full: str | date | None = None
    meter: str | None = None

    def __post_init__(self) -> None:
        head, said = split_clauses(validate_text("Reading.text", self.text))
        meaning = meaning_of(head)
        day_alone = meaning.quantity in _YIELD
        values = {
            "at": read_place(self._told("at", said)),
            "compressor": self._told("compressor", said),
            "time": read_time("Reading.time", self._told("time", said), day_alone=day_alone),
            "on": read_loads(self._told("on", said)),
            "charged": read_time("Reading.charged", self._told("charged", said), day_alone=False),
            "full": read_time("Reading.full", self._told("full", said), day_alone=True),
            "meter": read_meter(self._told("meter", said)),
        }
        if values["compressor"] not in (None, True, False):
            raise bad_input("Reading.compressor", values["compressor"], allowed="True, False or None")
        _require_sense(meaning, values)
        for name, value in {"text": meaning.text, **values}.items():
            object.__setattr__(self, name, value)

    def _told(self, name: str, said: dict[str, Any]) -> Any:
        """An argument, or what the text says of it; InputError where both do."""
        given, usual = getattr(self, name), "terminals" if name == "at" else None
        if name in said and given is not usual and given != usual:
            raise bad_input(f"Reading.{name}", given, reason=f"the text says it too: {said[name]!r}")
        return said.get(name, given)

    @property
    def _meaning(self) -> Meaning:
        return meaning_of(self.text)

    @property
    def quantity(self) -> str:
        """What is read."""
        return self._meaning.quantity

    @property
    def value(self) -> float:
        """The number in the quantity's unit; 0 of words."""
        return self._meaning.value

    @property
    def low(self) -> float:
        """Least value that the display rounds to this one."""
        return self._meaning.low

    @property
    def high(self) -> float:
        """Greatest value that the display rounds to this one."""
        return self._meaning.high

    def __str__(self) -> str:
        return self.text + clauses_text({name: getattr(self, name) for name in _NAMES})

    def __repr__(self) -> str:
        given = [(name, getattr(self, name)) for name in _NAMES]
        said = [f"{name}={value!r}" for name, value in given if value is not None and (name, value) != _USUAL]
        return f"Reading({', '.join([repr(self.text), *said])})"


_USUAL = ("at", "terminals")
_NAMES = tuple(field.name for field in fields(Reading) if field.name != "text")


def _require_sense(meaning: Meaning, values: dict[str, Any]) -> None:
    """InputError of a circumstance that says nothing of what is read."""
    for name, quantities in _OF.items():
        if values[name] is not None and meaning.quantity not in quantities:
            words = ", ".join(filter(None, (_WORDS_OF[quantity] for quantity in quantities)))
            raise bad_input(
                f"Reading.{name}",
                values[name],
                reason=f"makes no difference to {meaning.text!r}",
                allowed=f"with {words}",
            )
    if values["charged"] is not None and meaning.quantity == "soc" and values["meter"] != "controller":
        raise bad_input(
            "Reading.charged",
            values["charged"],
            reason="makes no difference to a counter",
            hint='volts, or meter="controller"',
        )
    if values["full"] is not None and values["meter"] not in (None, "counter"):
        raise bad_input("Reading.full", values["full"], reason=f"makes no difference to meter={values['meter']!r}")
    if meaning.quantity in ("ah_used", "ah_left", "hours_left") and values["meter"] == "controller":
        raise bad_input("Reading.meter", "controller", reason="it guesses a percentage and counts no ampere-hours")
