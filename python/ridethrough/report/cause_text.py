"""What failing trips had more or less of than the others, in an owner's words."""

from __future__ import annotations

import re
from datetime import date

import ridethrough._core as _core

from ..engine.failing_trials import FailingDifference
from ..engine.risk import Risk

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
# By the last name of a path: what more of it is called, and what less.
_SAID = {
    "habits_scale": ("longer use of everything", "shorter use of everything"),
    "state_of_health": ("a battery less worn", "a battery more worn"),
    "initial_soc": ("a fuller battery at the start", "a battery less full at the start"),
    "capacity_ah": ("a larger battery", "a smaller battery"),
    "capacity_factor_0c": ("a battery that keeps more in the cold", "a battery that keeps less in the cold"),
    "resistance_mohm_100ah": ("a battery whose volts sag more", "a battery whose volts sag less"),
    "open_circuit_voltage_offset_v": ("higher battery volts", "lower battery volts"),
    "shared_mohm": ("thinner wires", "thicker wires"),
    "fridge_branch_mohm": ("thinner wires to the fridge", "thicker wires to the fridge"),
    "soiling_loss": ("a dirtier panel", "a cleaner panel"),
    "system_loss": ("more solar lost on the way", "less solar lost on the way"),
    "heat_leak_factor": ("a fridge that lets more heat in", "a fridge that lets less heat in"),
    "vent_rise_k": ("warmer air around the fridge", "cooler air around the fridge"),
    "ghi_scale": ("a sunnier place", "a duller place"),
    "air_temp_offset_k": ("a warmer place", "a colder place"),
    "shade_beam": ("more shade", "less shade"),
    "cabin_sun_rise_k_per_w_m2": ("a van that the sun warms more", "a van that the sun warms less"),
    "cabin_heat_loss_w_per_k": ("a van that loses more heat", "a van that loses less heat"),
    "idle_current_a": ("more drawn by {load} idling", "less drawn by {load} idling"),
    "fitted_probability": ("a {load} on board more often", "a {load} on board less often"),
    "current_a": ("more drawn by {load}", "less drawn by {load}"),
    "full_current_a": ("more drawn by {load}", "less drawn by {load}"),
    "night_ah": ("more drawn by {load}", "less drawn by {load}"),
    "charge_ah": ("more drawn by {load}", "less drawn by {load}"),
}

_OF = {"ghi_scale": " of the climate's sun"}  # what a share is of, where that helps


def short_date(day: date) -> str:
    """Fri 6 Nov, whatever the machine's language."""
    return f"{DAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def plain_difference(risk: Risk, difference: FailingDifference) -> str:
    """Such as "38 % less sun Sat 7-Mon 9 Nov" or "more drawn by lights (1.1 against 0.98 A)"."""
    more = difference.failing > difference.others
    unit = f" {difference.unit}" if difference.unit else ""
    form = _shortest(difference, (".0f", ".1f") if difference.unit == "degC" else (".2g", ".3g"))
    values = f"({difference.failing:{form}} against {difference.others:{form}}{unit})"
    if not difference.unit:  # shares, and factors of what is usual
        parts = [100 * difference.failing, 100 * difference.others]
        close = f"{parts[0]:.0f}" == f"{parts[1]:.0f}"
        of = _OF.get(difference.what.rpartition(".")[2], "")
        values = f"({parts[0]:.{int(close)}f} against {parts[1]:.{int(close)}f} %{of})"
    weather = re.fullmatch(r"(sun|outdoor air) from (\S+) \S+ to (\S+) \S+", difference.what)
    if weather:
        first, last = (date.fromisoformat(day) for day in weather.groups()[1:])
        begin, end = short_date(first), short_date(last)
        if first.month == last.month:
            begin = begin.rpartition(" ")[0]
        if weather[1] == "sun":
            change = abs(difference.failing / difference.others - 1)
            return f"{100 * change:.0f} % {'more' if more else 'less'} sun {begin}-{end}"
        return f"{'warmer' if more else 'colder'} days {begin}-{end} {values}"
    return f"{_drawn(risk, difference.what, more)} {values}"


def _shortest(difference: FailingDifference, forms: tuple[str, str]) -> str:
    """The first form that tells the two apart; z: no minus before a zero."""
    short, long = (f"z{form}" for form in forms)
    return long if f"{difference.failing:{short}}" == f"{difference.others:{short}}" else short


def _drawn(risk: Risk, path: str, more: bool) -> str:
    """More or less of a drawn quantity; by its declaration where it has no words of its own."""
    names = path.split(".")
    load = names[names.index("loads") + 1].replace("_", " ") if "loads" in names[:-1] else ""
    if said := _SAID.get(names[-1]):
        return said[not more].format(load=load)
    what = re.split(r"[:;,(]", _meaning(risk, path))[0].strip()
    return f"{f'{load}: ' if load else ''}{'more' if more else 'less'} of the {what}"


def _meaning(risk: Risk, path: str) -> str:
    root = risk.trip if path.startswith("trip.") else risk.van
    owner, _, name = path.removeprefix("trip.").rpartition(".")
    try:
        part = root.get(owner) if owner else root
        return str(part.schema.field(name).doc)
    except _core.InputError:
        return path.replace(".", " ").replace("_", " ")
