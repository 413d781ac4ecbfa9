"""What else the verdict tells: battery, food, water, heater and frost, and what would help most."""

from __future__ import annotations

import ridethrough._core as _core

from ..engine.risk import Risk
from ..model.cautions import COMPETENT, DRIVE_TO_CHARGE
from ..model.outputs import RESULTS, TANKS
from ..model.van_parts import is_lithium
from ..studies.suggestions import LITHIUM, Suggestion, Suggestions
from .chance_text import why_lithium_is_worse
from .layout import Rows, Section
from .sentences import percent
from .verdict_answers import chance

LEAST_FAILED_STARTS = 0.1  # a trip, on average: fewer stand in the details
LEAST_COLD_WH = 10  # of a hard day's sun that a cold battery refuses
BEST = 3
HALF = 0.5  # of full, below which an AGM wears faster


def battery(risk: Risk, charge_limit: float | None = None) -> Section:
    """The lowest charge, below half where that wears, and frost."""
    low = risk.min_soc_quantiles([0.5, 0.05])
    middling = percent(low[0]) if low[0] >= 0.01 else "under 1 %"
    tenth = f", under {percent(max(low[1], 0.01))} in 1 of 20" if low[0] >= 0.01 else ""
    lines = [f"Lowest charge {middling} in a middling trip{tenth}."]
    if not is_lithium(risk.van):
        below = f": {chance(risk.chances['below_half'])}" if charge_limit != HALF else ""  # else it stands above
        lines[0] += f" Below half{', which wears it' if below else ' wears it'}{below}."
    elif (refused := risk.day_balances[1].curtailed_cold_wh) >= LEAST_COLD_WH:
        lines[0] += f" Too cold to charge at times: {refused:.0f} Wh of a hard day's sun are lost."
    return Section("THE BATTERY", lines)


def food(risk: Risk) -> Section:
    """Warm food: its chance, and what a failure does."""
    lines = [f"Above 5 degC for over 4 h: {chance(risk.chances['food_warm_4h'])}."]
    mean, most = risk.warm_h_if_failed()
    if mean >= 0.5:
        tenth = f", {most:.0f} h or more in 1 of 10" if round(most) > round(mean) else ""
        lines[0] += f" After a cut-out {mean:.0f} h on average{tenth}."
    lines[0] += " If in doubt, throw it out."
    return Section("THE FOOD", lines)


def warnings_of(risk: Risk) -> list[str]:
    """What changes the meaning of the answer: frost that destroys the battery, a heater that did not start."""
    lines = []
    if risk.freezing.events:
        lines.append(
            f"The battery can freeze, which destroys it, in {chance(risk.freezing)}: keep it fuller or warmer."
        )
    failed = risk.means.get("failed_starts", 0.0)
    if failed >= LEAST_FAILED_STARTS:
        lines.append(
            f"The heater fails to start {failed:.2g} times a trip for want of volts; what it would draw is not "
            "counted, so the risk looks smaller than it is."
        )
    return lines


def water(risk: Risk) -> list[Section]:
    """Tanks that run dry or full."""
    lines = []
    for key, estimate in risk.tank_chances().items():
        column = TANKS[key]
        text = f"{RESULTS[column].label.capitalize()}: {chance(estimate)}"
        if estimate.events:
            night = 1 + int(risk.night_counts[column][1:].argmax())
            text += f", most often before night {night}" if night <= risk.nights else ", most often on the last day"
        lines.append(f"{text}.")
    return [Section("THE WATER", lines)] if lines else []


def what_would_help(found: Suggestions | None) -> Section:
    """Three changes on the same trips, and lithium where that comes out worse."""
    heading = "WHAT WOULD HELP MOST"
    if found is None:
        return Section(heading, ["risk.verdict() tries some changes on the same trips."])
    if found.base is None:
        return Section(heading, [f"Not tried: {found.reason}. The command ridethrough upgrades takes longer."])
    if found.charge_limit is not None:
        heading += f" TO STAY ABOVE {percent(found.charge_limit)}"
    same = f"{found.base.trials:,} of these trips"
    helping = _told(found)
    content: list[str | Rows] = []
    if helping:
        content.append(Rows([(s.name, _change(found.base, s, " points" * (not i))) for i, s in enumerate(helping)]))
    else:
        content.append(f"None of {len(found.tried)} changes tried is shown to help.")
    worse = [s for s in found.tried if s.group == LITHIUM and s.harms]
    flat = "" if found.charge_limit is not None else ": fewer Ah than the AGM run flat"
    content += [
        f"{s.name[0].upper()}{s.name[1:]}: {_change(found.base, s, '' if helping else ' points')}{flat}." for s in worse
    ]
    return Section(f"{heading} ({same})", content)


def _change(base: _core.Estimate, s: Suggestion, unit: str = " points") -> str:
    low, high = (f"{100 * v:+.1f}" for v in (s.change.low, s.change.high))
    return f"{_points(base)} -> {_points(s.risk)} % ({low} to {high}{unit})"


def _points(e: _core.Estimate) -> str:
    if not e.events:
        return f"under {100 * e.high:.1g}"  # none in so many trips is no promise
    share = 100 * e.value
    return f"{share:.0f}" if share >= 10 else f"{share:.1f}" if share >= 0.1 else f"{share:.1g}"


def tried_lines(risk: Risk, found: Suggestions | None) -> list[str]:
    """Every change that was tried, for the details, and why lithium may come out worse than the AGM."""
    if found is None or found.base is None:
        return []
    changes = "; ".join(f"{s.name} {_change(found.base, s)}" for s in found.tried)
    of = (
        ""
        if found.charge_limit is None
        else f", chance of a cut-out or of less than {percent(found.charge_limit)} charge"
    )
    lines = [f"Changes tried on the first {found.base.trials:,} of the same trials{of}: {changes}."]
    worse = [s for s in found.tried if s.group == LITHIUM and s.harms and found.charge_limit is None]
    return lines + [f"{s.name[0].upper()}{s.name[1:]}: {why_lithium_is_worse(risk, s.risk)}" for s in worse]


def _told(found: Suggestions | None) -> list[Suggestion]:
    return [s for s in found.tried if s.helps][:BEST] if found else []


def advises_a_drive(found: Suggestions | None) -> bool:
    """Whether a drive is among the changes told."""
    return any(DRIVE_TO_CHARGE in s.note for s in _told(found))


def change_cautions(found: Suggestions | None) -> list[str]:
    """What to know about the changes told."""
    told = _told(found)
    lines = []
    if any(COMPETENT in s.note for s in told):
        lines.append(f"Batteries, panels, wires and fuses {COMPETENT}.")
    if any("detectors" in s.note for s in told):
        lines.append("Detectors and alarms stay on.")
    if any(DRIVE_TO_CHARGE in s.note for s in told):
        lines.append(f"{DRIVE_TO_CHARGE[0].upper()}{DRIVE_TO_CHARGE[1:]}.")
    return lines
