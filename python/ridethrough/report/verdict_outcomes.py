"""What else the verdict tells: battery, food, water, heater and frost, and what would help most."""

from __future__ import annotations

import ridethrough._core as _core

from ..engine.risk import Risk
from ..model.cautions import COMPETENT, DRIVE_TO_CHARGE
from ..model.outputs import RESULTS, TANKS
from ..model.van_parts import is_lithium
from ..studies.suggestions import LITHIUM, Suggestion, Suggestions
from .layout import Rows, Section
from .sentences import percent
from .verdict_answers import chance

LEAST_FAILED_STARTS = 0.1  # a trip, on average: fewer stand in the details
LEAST_COLD_WH = 10  # of a hard day's sun that a cold battery refuses
BEST = 3


def battery(risk: Risk) -> Section:
    """The lowest charge, below half where that wears, and frost."""
    low = risk.min_soc_quantiles([0.5, 0.05])
    middling = percent(low[0]) if low[0] >= 0.01 else "under 1 %"
    tenth = f", under {percent(max(low[1], 0.01))} in 1 of 20" if low[0] >= 0.01 else ""
    lines = [f"Lowest charge {middling} in a middling trip{tenth}."]
    if not is_lithium(risk.van):
        lines[0] += f" Below half, which wears it: {chance(risk.chances['below_half'])}."
    elif (refused := risk.day_balances[1].curtailed_cold_wh) >= LEAST_COLD_WH:
        lines[0] += f" Too cold to charge at times: {refused:.0f} Wh of a hard day's sun are lost."
    return Section("THE BATTERY", lines)


def food(risk: Risk) -> Section:
    """Warm food: its chance, and what a failure does."""
    lines = [f"Above 5 degC for over 4 hours: {chance(risk.chances['food_warm_4h'])}."]
    mean, most = risk.warm_h_if_failed()
    if mean >= 0.5:
        tenth = f", {most:.0f} or more in 1 of 10" if round(most) > round(mean) else ""
        lines[0] += f" After a cut-out, {mean:.0f} hour{'s' * (round(mean) != 1)} on average{tenth}."
    lines[0] += " If in doubt, throw it out."
    return Section("THE FOOD", lines)


def warnings_of(risk: Risk) -> list[str]:
    """What changes the meaning of the answer: frost that destroys the battery, a heater that did not start."""
    lines = []
    if risk.freezing.events:
        lines.append(
            "The battery gets so empty and so cold that it can freeze, which destroys it, in "
            f"{chance(risk.freezing)}. Keep it fuller or warmer."
        )
    failed = risk.means.get("failed_starts", 0.0)
    if failed >= LEAST_FAILED_STARTS:
        lines.append(
            f"The heater fails to start {failed:.2g} times a trip for want of volts. What it would have drawn is not "
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


def what_would_help(risk: Risk, found: Suggestions | None, charge_limit: float | None) -> Section:
    """Three changes on the same trips, and lithium where that comes out worse."""
    heading = "WHAT WOULD HELP MOST"
    if found is None:
        return Section(heading, ["risk.verdict() tries some changes on the same trips."])
    if found.base is None:
        return Section(heading, [f"Not tried: {found.reason}. The command ridethrough upgrades takes longer."])
    same = f"{found.base.trials:,} of these trips"
    helping = [s for s in found.tried if s.helps][:BEST]
    content: list[str | Rows] = []
    if helping:
        content.append(Rows([(s.name, _change(found.base, s)) for s in helping]))
    else:
        content.append(f"None of {len(found.tried)} changes tried is shown to help.")
    worse = [s for s in found.tried if s.group == LITHIUM and s.harms]
    content += [_worse(risk, found.base, s, charge_limit) for s in worse]
    return Section(f"{heading} ({same})", content)


def _change(base: _core.Estimate, s: Suggestion) -> str:
    low, high = (f"{100 * v:+.1f}" for v in (s.change.low, s.change.high))
    return f"{_points(base)} -> {_points(s.risk)} % ({low} to {high} points)"


def _points(e: _core.Estimate) -> str:
    if not e.events:
        return f"under {100 * e.high:.1g}"  # none in so many trips is no promise
    share = 100 * e.value
    return f"{share:.0f}" if share >= 10 else f"{share:.1f}" if share >= 0.1 else f"{share:.1g}"


def _worse(risk: Risk, base: _core.Estimate, s: Suggestion, charge_limit: float | None) -> str:
    """Why lithium comes out worse than the AGM that it replaces."""
    text = f"{s.name[0].upper()}{s.name[1:]}: {_change(base, s)}, fewer Ah than the AGM run flat"
    if charge_limit is None:
        below, kept, where = risk.chances["below_half"], "half", ""  # the chance stands under the battery
    else:
        below, kept = risk.below_soc(charge_limit), percent(charge_limit)
        where = f": {chance(below)}"
    return f"{text}; this AGM kept above {kept} fails more often{where}." if below.low > s.risk.high else f"{text}."


def tried_lines(found: Suggestions | None) -> list[str]:
    """Every change that was tried, for the details."""
    if found is None or found.base is None:
        return []
    changes = "; ".join(f"{s.name} {_change(found.base, s)}" for s in found.tried)
    return [f"Changes tried on the first {found.base.trials:,} of the same trials: {changes}."]


def change_cautions(found: Suggestions | None) -> list[str]:
    """What to know about the changes told."""
    told = [s for s in found.tried if s.helps][:BEST] if found else []
    lines = []
    if any(COMPETENT in s.note for s in told):
        lines.append(f"Batteries, panels, wires and fuses {COMPETENT}.")
    if any("detectors" in s.note for s in told):
        lines.append("Detectors and alarms stay on.")
    if any(DRIVE_TO_CHARGE in s.note for s in told):
        lines.append(f"{DRIVE_TO_CHARGE[0].upper()}{DRIVE_TO_CHARGE[1:]}.")
    return lines
