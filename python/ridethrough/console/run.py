"""The verb ``run``: the answer for a scenario file."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import Any

import ridethrough._core as _core

from ..engine.content import plain_content
from ..engine.risk import Risk
from ..engine.simulation import simulate
from ..files.scenario import Scenario, demo_path, load_scenario
from ..model.charge_limit import require_charge_limit
from ..model.classes import Climate, Site, Trip
from ..model.errors import bad_input, with_prefix
from ..report.verdict import write_verdict
from ..studies.suggestions import Suggestions
from ..version import __version__
from ..weather.weather_files import read_weather
from .exit_status import DONE, STOPPED
from .output import print_json, run_options, run_quietly

STOPPED_BEFORE = Suggestions(None, reason="the run was stopped")


def run_scenario(arguments: Namespace) -> int:
    """Simulate and print the verdict, or one JSON object."""
    scenario = scenario_of(arguments)
    lowest = charge_limit_of(arguments, scenario)
    options = run_options(arguments, scenario)
    risk, stopped = run_quietly(lambda: simulate(scenario.van, scenario.trip, **options))
    found = STOPPED_BEFORE if stopped else suggestions_of(risk, arguments.threads, lowest)
    if arguments.json:
        about = {"scenario": scenario.name, "title": scenario.title, "start": scenario.trip.start}
        also = {"suggestions": found.to_dict(), "below_charge_limit": below_limit(risk, lowest)}
        print_json(about | {"stopped_early": stopped, "notes": list(scenario.notes)} | risk.to_dict() | also)
        return STOPPED if stopped else DONE
    early = f"Stopped by Ctrl-C after {risk.trials:,} of {options['trials']:,} trips; this is what they say."
    print(
        write_verdict(
            risk,
            found,
            details=arguments.details,
            narrow=arguments.narrow,
            charge_limit=lowest,
            title=scenario.title or scenario.name,
            notes=[*[early] * stopped, *scenario.notes],
            about=f", scenario {scenario.name}, ridethrough {__version__}",
        )
    )
    return STOPPED if stopped else DONE


def suggestions_of(risk: Risk, threads: int, charge_limit: float | None = None) -> Suggestions:
    """What would help most; Ctrl-C stops only that, as the answer is there already."""
    try:
        return risk.suggestions(threads, charge_limit)
    except KeyboardInterrupt:
        return STOPPED_BEFORE


def charge_limit_of(arguments: Namespace, scenario: Scenario) -> float | None:
    """The limit of the command line, else the file's."""
    if arguments.charge_limit is None:
        return scenario.charge_limit
    return require_charge_limit("--charge-limit", arguments.charge_limit)


def below_limit(risk: Risk, charge: float | None) -> dict[str, Any] | None:
    """The chance of falling below a charge limit, for JSON."""
    return None if charge is None else {"charge": charge, "chance": plain_content(risk.below_soc(charge))}


def scenario_of(arguments: Namespace) -> Scenario:
    """The scenario of the command line."""
    return _scenario(demo_path() if arguments.file is None else arguments.file, arguments.weather)


def _scenario(file: str | Path, weather: str | None) -> Scenario:
    """The scenario; with a weather file on its measured days, and at its place where the scenario names none."""
    if weather is None:
        return load_scenario(file)
    climate = _measured(weather)
    site = None
    if climate is not None and climate.latitude is not None and climate.longitude is not None:
        site = Site(latitude=climate.latitude, longitude=climate.longitude)
    scenario = load_scenario(file, site=site)
    return scenario.replace(trip=_replayed(scenario.trip, weather, climate))


def _measured(file: str) -> Climate | None:
    """The climate of a weather file; None where the file does not say its place, which the trip then has to."""
    try:
        return read_weather(file)
    except _core.InputError as error:
        if error.path in ("latitude", "longitude") and error.value is None:
            return None
        raise


def _replayed(trip: Trip, file: str, climate: Climate | None) -> Trip:
    """The same trip on the days of a measured record."""
    if trip.site is None:
        raise bad_input("--weather", file, allowed="for a trip to one place; this one has stops")
    if climate is None:
        climate = read_weather(file, latitude=trip.site.latitude, longitude=trip.site.longitude)
    try:
        return trip.replace(site=trip.site.replace(climate=climate), weather="replayed")
    except _core.InputError as error:
        if error.path in ("Site.latitude", "Site.longitude"):
            hint = "take a record of that place, or leave [trip.site] out of the scenario to go where it was measured"
            raise bad_input(file, reason=str(error), hint=hint) from None
        raise with_prefix(file, error) from None
