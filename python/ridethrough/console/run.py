"""The verb ``run``: the answer for a scenario file."""

from __future__ import annotations

import sys
from argparse import Namespace

import ridethrough._core as _core

from ..engine.progress import ProgressOption
from ..engine.risk import Risk
from ..engine.simulation import simulate
from ..files.scenario import Scenario, demo_path, load_scenario
from ..model.classes import Trip
from ..model.clocks import offset_text
from ..model.errors import bad_input, with_prefix
from ..report.trip_description import place_text
from ..version import __version__
from .exit_status import DONE, STOPPED
from .output import print_json, run_quietly


def run_scenario(arguments: Namespace) -> int:
    """Simulate and print the verdict, or one JSON object."""
    scenario = load_scenario(demo_path() if arguments.file is None else arguments.file)
    trip = scenario.trip if arguments.weather is None else _replayed(scenario.trip, arguments.weather)
    trials = scenario.trials if arguments.trials is None else arguments.trials
    seed = scenario.seed if arguments.seed is None else arguments.seed
    how = {"trials": trials, "seed": seed, "threads": arguments.threads, "progress": _progress()}
    risk, stopped = run_quietly(lambda: simulate(scenario.van, trip, **how))
    if arguments.json:
        about = {"scenario": scenario.name, "title": scenario.title, "start": trip.start, "stopped_early": stopped}
        about["notes"] = list(scenario.notes)
        print_json(about | risk.to_dict())
    else:
        if stopped:
            print(f"Stopped by Ctrl-C after {risk.trials:,} of {trials:,} trials; this is what they say.\n")
        print(_header(scenario, risk), *scenario.notes, risk, sep="\n\n")
    return STOPPED if stopped else DONE


def _replayed(trip: Trip, file: str) -> Trip:
    """The same trip on the days of a measured record."""
    from ..weather.weather_files import read_weather

    climate = read_weather(file)
    if trip.site is None:
        raise bad_input("--weather", file, allowed="for a trip to one place; this one has stops")
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


def _progress() -> ProgressOption:
    if not sys.stderr.isatty():
        return None
    return lambda done, wanted: print(f"\r{done:,} of {wanted:,} trials", end="", file=sys.stderr, flush=True)
