"""The verbs ``compare``, ``size`` and ``upgrades``: each is a call of the function of that name."""

from __future__ import annotations

from argparse import Namespace
from typing import Any

import ridethrough._core as _core

from ..engine.content import plain_content
from ..files.scenario import Scenario, load_scenario
from ..model.classes import Trip, Van
from ..model.errors import bad_input, with_new_path
from ..report.chance_text import format_chance
from ..report.sentences import percent
from ..studies.comparison import compare
from ..studies.comparison_result import Comparison
from ..studies.sizing import size
from ..studies.upgrade_ranking import upgrades
from .changes import apply_change, whole_path
from .output import print_result, run_options, run_quietly


def run_compare(arguments: Namespace) -> int:
    """The trip as it is and with each change."""
    scenario = load_scenario(arguments.file)
    others: dict[str, Van | tuple[Van, Trip]] = {}
    for change in arguments.change:
        if change in others:
            raise bad_input(f'--change "{change}"', reason="given twice")
        van, trip = apply_change(scenario.van, scenario.trip, change)
        others[change] = van if trip == scenario.trip else (van, trip)
    options = run_options(arguments, scenario)
    found, stopped = run_quietly(lambda: compare(scenario.van, others, scenario.trip, **options))
    below = _below(scenario, found)
    notes = [*scenario.notes, *_below_notes(scenario, below)]
    return print_result(arguments, found, stopped, notes=notes, also={"below_charge_limit": plain_content(below)})


def _below(scenario: Scenario, found: Any) -> dict[str, Any] | None:
    """The chance of each run to fall below the charge limit of the file, where it has one."""
    limit = scenario.charge_limit
    if limit is None or not isinstance(found, Comparison):
        return None
    return {"charge": limit, "chances": {van: risk.below_soc(limit) for (van, _), risk in found.risks.items()}}


def _below_notes(scenario: Scenario, below: dict[str, Any] | None) -> list[str]:
    if below is None:
        return _not_counted(scenario)
    said = "; ".join(f"{name} {format_chance(chance)}" for name, chance in below["chances"].items())
    return [f"Below the {percent(below['charge'])} charge that you keep to: {said}."]


def _not_counted(scenario: Scenario) -> list[str]:
    """A charge limit of the file that a study takes no account of."""
    limit = scenario.charge_limit
    if limit is None:
        return []
    return [f"The charge limit of the file, {percent(limit)}, is not counted here; ridethrough run counts it."]


def run_size(arguments: Namespace) -> int:
    """The smallest value at a path that keeps the risk within the target."""
    scenario = load_scenario(arguments.file)
    path, options = whole_path(scenario.van, scenario.trip, arguments.path), run_options(arguments, scenario)
    try:
        found = run_quietly(lambda: size(scenario.van, scenario.trip, path, arguments.risk, **options))
    except _core.InputError as error:
        raise with_new_path("target_risk", "--risk", error) if error.path == "target_risk" else error from None
    return print_result(arguments, *found, notes=[*scenario.notes, *_not_counted(scenario)])


def run_upgrades(arguments: Namespace) -> int:
    """Changes ranked by the risk they remove."""
    scenario, pairs = load_scenario(arguments.file), not arguments.no_pairs
    options = run_options(arguments, scenario)
    found = run_quietly(lambda: upgrades(scenario.van, scenario.trip, pairs=pairs, **options))
    return print_result(arguments, *found, notes=[*scenario.notes, *_not_counted(scenario)])
