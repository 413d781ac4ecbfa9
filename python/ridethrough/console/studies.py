"""The verbs ``compare``, ``size`` and ``upgrades``: each is a call of the function of that name."""

from __future__ import annotations

from argparse import Namespace

import ridethrough._core as _core

from ..files.scenario import load_scenario
from ..model.classes import Trip, Van
from ..model.errors import bad_input, with_new_path
from ..studies.comparison import compare
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
    return print_result(arguments, *run_quietly(lambda: compare(scenario.van, others, scenario.trip, **options)))


def run_size(arguments: Namespace) -> int:
    """The smallest value at a path that keeps the risk within the target."""
    scenario = load_scenario(arguments.file)
    path, options = whole_path(scenario.van, scenario.trip, arguments.path), run_options(arguments, scenario)
    try:
        found = run_quietly(lambda: size(scenario.van, scenario.trip, path, arguments.risk, **options))
    except _core.InputError as error:
        raise with_new_path("target_risk", "--risk", error) if error.path == "target_risk" else error from None
    return print_result(arguments, *found)


def run_upgrades(arguments: Namespace) -> int:
    """Changes ranked by the risk they remove."""
    scenario, pairs = load_scenario(arguments.file), not arguments.no_pairs
    options = run_options(arguments, scenario)
    return print_result(arguments, *run_quietly(lambda: upgrades(scenario.van, scenario.trip, pairs=pairs, **options)))
