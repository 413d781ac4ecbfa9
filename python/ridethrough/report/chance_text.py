"""Chances of what may happen besides a cut-out, in sentences of a verdict or a study's report."""

from __future__ import annotations

from collections.abc import Mapping

import ridethrough._core as _core

from ..engine.event_chances import FRIDGE_OFF
from ..engine.risk import Risk
from ..model.van_parts import heaters_of, is_lithium


def format_chance(estimate: _core.Estimate) -> str:
    """A chance with its interval; for none the bound that the trials give."""
    if estimate.events:
        value, interval = _core.estimate_text(estimate).split("; sampling error alone ")
        return f"{value} ({interval})"
    return f"none of {estimate.trials:,} trials, at most {_percent(estimate.high)}"


def risk_text(estimate: _core.Estimate) -> str:
    """A risk with its interval as studies have it; of none the bound."""
    return format_chance(estimate) if estimate.events == 0 else _core.estimate_text(estimate)


def _percent(share: float) -> str:
    return f"{100 * share:.2g} %"


WORTH_SAYING = 0.01
# From here on cold and frost stand at the top: mean share of the hours, or chance of more than an hour.
COLD_SHARE, FROZEN_SHARE, LEAST_CHANCE = 0.05, 0.02, 0.05
LEAST_COLD_H = 0.1  # a trip, on average


def cold_lines(risk: Risk) -> list[str]:
    """At the top of a verdict: people who sleep in the cold, food that freezes. Nothing where both are rare."""
    lines = []
    cold, frozen = risk.means["cold_cabin_h"], risk.means["frozen_food_h"]
    chances = risk.chances
    if cold > COLD_SHARE * risk.hours or chances["cold_cabin"].value > LEAST_CHANCE:
        freezes = chances["cabin_frozen"]
        below = f", below 0 degC in {format_chance(freezes)}" if freezes.value > WORTH_SAYING else ""
        lines.append(
            f"Cold to live and sleep in: cabin below 10 degC for over an hour in "
            f"{format_chance(chances['cold_cabin'])}{below}."
        )
    if frozen > FROZEN_SHARE * risk.hours or chances["food_frozen"].value > LEAST_CHANCE:
        lines.append(
            f"Food freezes: fridge below 0 degC for over an hour in {format_chance(chances['food_frozen'])}. Hardly "
            "running in such cold, it makes the battery look better than it is."
        )
    heaters = heaters_of(risk.van)
    if lines and not heaters:
        lines.append("This van has no heater among its loads: with one it draws more.")
    elif lines and not all(heater.all_night and heater.morning_until_h >= heater.evening_from_h for heater in heaters):
        lines.append("The heater is off for a part of the day or the night: on its thermostat it draws more.")
    elif lines:
        lines.append("The heater stops with the battery and may be too weak.")
    return lines


def cold_hours(risk: Risk) -> list[str]:
    """How long it is cold or freezes, over all trips."""
    hours = {"in the cabin below 10 degC": "cold_cabin_h", "inside the fridge below 0 degC": "frozen_food_h"}
    return [
        f"It is {where} for {risk.means[name]:.2g} h of {risk.hours}, on average over all {risk.trials:,} trials."
        for where, name in hours.items()
        if risk.means[name] >= LEAST_COLD_H
    ]


def off_line(risk: Risk) -> str:
    """The second headline: a fridge that is off for minutes only, under a kettle, loses no food."""
    return f"The fridge is off for more than an hour in a row in {format_chance(risk.fridge_off_over_1h)}."


def food_lines(risk: Risk) -> list[str]:
    """What a verdict says of the food."""
    two, four = (risk.chances[name] for name in ("food_warm_2h", "food_warm_4h"))
    lines = [
        f"Food: above 5 degC inside the fridge for more than 2 h in a row in {format_chance(two)}; for more than 4 h "
        f"in {format_chance(four)}."
    ]
    if (hours := risk.means["hours_above_5c"]) >= 1:  # warmth adds up over all spells, short ones too
        lines.append(f"All spells together {hours:.0f} h of {risk.hours}, on average over all {risk.trials:,} trials.")
    mean, most = risk.warm_h_if_failed()
    if mean >= 0.5:
        lines.append(
            f"Where the fridge fails it is above 5 degC for {mean:.0f} h of {risk.hours} on average, in 1 of 10 of "
            f"those trips for {most:.0f} h or more ({risk.cutout.events:,} trials). If in doubt, throw it out."
        )
    return lines


def battery_line(risk: Risk) -> list[str]:
    """A lead-acid battery wears faster below half."""
    if is_lithium(risk.van):
        return []
    return [
        f"Below half charge, where an AGM wears faster, at some time in {format_chance(risk.chances['below_half'])}."
    ]


def why_lithium_is_worse(agm: Risk, lithium: _core.Estimate) -> str:
    """Why a lithium battery may come out worse than the AGM that it replaces, and what an AGM with care comes to."""
    below = agm.chances["below_half"]
    text = "Less can be taken from it than from the AGM when that is run right down to the cut-out, which wears it"
    if below.low <= lithium.high:
        return f"{text}."
    return f"{text}; kept above half the AGM would fail more often: below half in {format_chance(below)}."


def format_study_chances(of: Mapping[str, _core.Estimate]) -> str:
    """What a study says of a van that it has found or ranked, besides its risk; `of`: estimates as those of a risk."""
    others = {
        "food_frozen": "below 0 degC for more than an hour",
        "cold_cabin": "cabin below 10 degC for more than an hour",
        "below_half": "battery under half charge",
    }
    more = [
        f"; {description}: {format_chance(of[name])}"
        for name, description in others.items()
        if of[name].value > WORTH_SAYING
    ]
    return (
        f"Fridge off for more than an hour in a row: {format_chance(of[FRIDGE_OFF])}. "
        f"Food above 5 degC inside the fridge for more than 2 h in a row: {format_chance(of['food_warm_2h'])}; for "
        f"more than 4 h: {format_chance(of['food_warm_4h'])}{''.join(more)}."
    )
