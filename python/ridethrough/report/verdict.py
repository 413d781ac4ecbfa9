"""The verdict for a reader: warnings, what was played, the answer and what goes with it, and the cautions.

Every chance stands with its interval and the number of simulated trips. `verdict_details` has all other facts.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ..engine.risk import Risk
from ..model.cautions import (
    CARBON_MONOXIDE,
    CAUTION,
    IN_SHORT,
    LEAD_ACID_INSIDE,
    LICENSED,
    NEVER_TIRED,
    VENT,
    cautions,
)
from ..model.climate_source import source_of
from ..model.clocks import clock_changes_of, clock_hours, dated, offset_text
from ..model.van_parts import climate_of
from ..studies.suggestions import Suggestions
from . import chance_text, medicine_text, verdict_answers, verdict_outcomes
from .cause_text import short_date
from .layout import NARROW, WIDE, Section, fit, lay_out
from .plain_paths import in_prose
from .registry import format_report
from .sentences import format_warnings
from .trip_description import loads_text, place_text, plan_text, van_in_short
from .verdict_details import detail_lines

_LIFE = "Breathing machine"  # how the core's caution of one begins


@dataclass(frozen=True)
class Verdict:
    """A verdict in its three parts, and the cautions in two sentences, for a screen."""

    warnings: Section
    answer: tuple[Section, ...]
    cautions: Section
    in_short: Section


@format_report.register(Risk)
def format_verdict(risk: Risk) -> str:
    """The verdict without what has to be played for it."""
    return write_verdict(risk, None)


def write_verdict(
    risk: Risk,
    suggestions: Suggestions | None,
    *,
    details: bool = False,
    narrow: bool = False,
    charge_limit: float | None = None,
    title: str = "",
    notes: Sequence[str] = (),
    about: str = "",
) -> str:
    """The verdict on a simulated trip.

    `notes` stand before it, `about` before the details.
    """
    width = NARROW if narrow else WIDE
    verdict = compose(risk, suggestions, charge_limit=charge_limit, title=title, notes=notes)
    blocks = [lay_out([verdict.warnings], width), lay_out(verdict.answer, width)]
    if details:
        lines = [f"{risk.trials:,} trials (each a simulated trip), seed {risk.seed}{about}.", *detail_lines(risk)]
        lines += verdict_outcomes.tried_lines(risk, suggestions)
        lines += [f"Warning: {text}" for text in risk.warnings if in_prose(text) != text]  # by their paths
        blocks.append(f"DETAILS\n{fit(chr(10).join(lines), width)}")
    blocks.append(lay_out([verdict.cautions if details else verdict.in_short], width))
    return "\n\n".join(block for block in blocks if block)


def compose(
    risk: Risk,
    suggestions: Suggestions | None,
    *,
    charge_limit: float | None = None,
    title: str = "",
    notes: Sequence[str] = (),
) -> Verdict:
    """Warnings, answer and cautions, not yet in lines."""
    of_van = cautions(risk.van, risk.trip)
    life = [text.replace(" (breathing_machine)", "") for text in of_van if text.startswith(_LIFE)]
    cold = [" ".join(in_trips(text) for text in chance_text.cold_lines(risk))]
    warned = [
        *life,
        *notes,
        *format_warnings(map(_sentence, risk.warnings)),
        *cold,
        *verdict_outcomes.warnings_of(risk),
    ]
    medicine = [in_trips(text) for text in medicine_text.medicine_lines(risk)]
    last = [text for text in of_van if not text.startswith(_LIFE)]
    return Verdict(
        Section("", [*warned, *medicine]),
        (
            Section("", heading(risk, title)),
            verdict_answers.stay_on(risk, charge_limit),
            verdict_answers.how_many_nights(risk, suggestions),
            *verdict_answers.if_it_fails(risk),
            verdict_outcomes.battery(risk, charge_limit),
            verdict_outcomes.food(risk),
            *verdict_outcomes.water(risk),
            verdict_outcomes.what_would_help(suggestions),
            verdict_answers.how_sure(risk),
        ),
        Section("", [" ".join([*verdict_outcomes.change_cautions(suggestions), *last]), CAUTION]),
        Section("", [*(text for text in last if text == CARBON_MONOXIDE), _in_short(last, suggestions)]),
    )


def _in_short(of_van: Sequence[str], suggestions: Suggestions | None) -> str:
    """The cautions in two sentences."""
    vent = [VENT] * (LEAD_ACID_INSIDE in of_van)
    rested = [NEVER_TIRED] * verdict_outcomes.advises_a_drive(suggestions)
    return f"{IN_SHORT} {'; '.join([LICENSED, *vent, *rested])}. More: --details."


def _sentence(text: str) -> str:
    return text if text.endswith((".", "?", "!")) else f"{text}."


def in_trips(text: str) -> str:
    """A sentence of trials in a reader's words."""
    return text.replace("trials", "trips").replace("sampling error alone ", "")


def heading(risk: Risk, title: str) -> list[str]:
    """Title, dates on the trip's clock, places, van, plan and loads."""
    van, trip = risk.van, risk.trip
    nights = f"{risk.nights} night{'s' if risk.nights > 1 else ''}"
    stays = [place_text(p) + (f", {p.nights} night{'s' * (p.nights > 1)}" if trip.stops else "") for p in risk.places]
    plan = _plan_in_short(plan_text(van, trip, risk.compiled.schedule))
    dates = f"{nights}, {_on_the_clock(risk, 0, year=True)} to {_on_the_clock(risk, risk.hours)} ({_clock(risk)})"
    return [
        f"{title.strip()}: {dates}" if title.strip() else dates,
        f"{'; then '.join(stays)}{_climate(risk)}",
        f"{van_in_short(van)}.",
        f"{plan[:1].upper()}{plan[1:]}.",
        f"Ah a day: {loads_text(risk)}.",
    ]


def _plan_in_short(plan: str) -> str:
    """The plan without what does nothing, which the details have."""
    plan = re.sub(r"no (drives planned|shore power), so the [^;]* does nothing", r"no \1", plan)
    plan = plan.replace("no drives planned", "no drives").replace("no drives; no shore", "no drives, no shore")
    return plan.removesuffix(": no shade given")


def _climate(risk: Risk) -> str:
    """What kind of climate it is, where it is not the place's own normals."""
    sources = [source_of(climate_of(place.site)) for place in risk.places]
    if risk.trip.weather == "replayed":
        return f"; measured days of {sources[0].source or 'an unnamed source'} played again"
    less = any(source.less_sure for source in sources)
    default = any(source.kind == "default" for source in sources)
    return f"; default climate{', less sure here' if less else ''}" if default else ""


def _on_the_clock(risk: Risk, since_start_h: int, *, year: bool = False) -> str:
    when = dated(risk.compiled, float(clock_hours(risk.compiled, since_start_h)))
    day = date.fromisoformat(when[:10])
    return f"{short_date(day)} {f'{day.year} ' if year else ''}{when[11:16]}"


def _clock(risk: Risk) -> str:
    clock = risk.clock
    text = f"{clock.zone + ', ' if clock.zone else ''}{offset_text(clock.utc_offset_h)}"
    for change in clock_changes_of(risk.compiled):
        text += f", from {short_date(date.fromisoformat(change['from'][:10]))} {offset_text(change['utc_offset_h'])}"
    return text
