"""The verb ``run``: the answer for a scenario file."""

from __future__ import annotations

import textwrap
from argparse import Namespace
from pathlib import Path

import ridethrough._core as _core

from ..engine.risk import Risk
from ..engine.simulation import simulate
from ..files.scenario import Scenario, demo_path, load_scenario
from ..model.classes import Climate, Site, Trip
from ..model.clocks import offset_text
from ..model.errors import bad_input, with_prefix
from ..report.trip_description import place_text
from ..version import __version__
from ..weather.weather_files import read_weather
from .exit_status import DONE, STOPPED
from .output import print_json, run_options, run_quietly

NARROW = 45  # columns


def run_scenario(arguments: Namespace) -> int:
    """Simulate and print the verdict, or one JSON object."""
    scenario = _scenario(demo_path() if arguments.file is None else arguments.file, arguments.weather)
    options = run_options(arguments, scenario)
    risk, stopped = run_quietly(lambda: simulate(scenario.van, scenario.trip, **options))
    if arguments.json:
        about = {"scenario": scenario.name, "title": scenario.title, "start": scenario.trip.start}
        print_json(about | {"stopped_early": stopped, "notes": list(scenario.notes)} | risk.to_dict())
    else:
        early = f"Stopped by Ctrl-C after {risk.trials:,} of {options['trials']:,} trials; this is what they say."
        text = "\n\n".join([*[early] * stopped, _header(scenario, risk), *scenario.notes, str(risk)])
        print(_narrow(text) if arguments.narrow else text)
    return STOPPED if stopped else DONE


def _narrow(text: str) -> str:
    """The same in lines that a phone shows whole; a number stays with its sign of per cent."""
    joined = text.replace(" %", "\u00a0%")
    lines = [
        line if len(line) <= NARROW else textwrap.fill(line, NARROW, break_long_words=False, break_on_hyphens=False)
        for line in joined.splitlines()
    ]
    return "\n".join(lines).replace("\u00a0", " ")


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
        raise with_prefix(file, error) from None


def _header(scenario: Scenario, risk: Risk) -> str:
    where = "; ".join(place_text(place) for place in risk.places)
    climate = risk.places[0].site.climate
    source = climate.source if climate else ""
    weather = f", weather replayed from {source}" if risk.trip.weather == "replayed" else ""
    return (
        f"{scenario.title or scenario.name}\n"
        f"{where}, from {risk.trip.start} local time ({offset_text(risk.clock.utc_offset_h)}), "
        f"{risk.nights} nights{weather}\n"
        f"scenario {scenario.name}, {risk.trials:,} trials, seed {risk.seed}, ridethrough {__version__}"
    )
