"""Command line: ``python -m ridethrough [scenario.toml]``; without a file, the shipped demo."""

from __future__ import annotations

import argparse
import dataclasses
import json
import math
import os
import re
import sys
import warnings
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

import ridethrough

from .engine.interruption import Interrupted
from .engine.progress import ProgressOption
from .engine.risk import Risk
from .engine.simulation import simulate
from .files.scenario import Scenario, demo_path, load_scenario
from .model.cautions import CAUTION
from .model.classes import Climate, Site, Trip
from .model.clocks import offset_text
from .model.errors import bad_input, with_prefix
from .model.parameter_help import explain
from .report.trip_description import place_text

BAD_INPUT, STOPPED = 2, 130  # exit statuses; 130 is what shells give for Ctrl-C


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; returns the exit code."""
    arguments = _parser().parse_args(argv)
    try:
        if arguments.explain is not None:
            print(explain(arguments.explain))
            return 0
        status = _run(arguments)
        sys.stdout.flush()
        return status
    except BrokenPipeError:  # the program that reads the output has closed it
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except ridethrough.InputError as error:
        print(f"error: {error}", file=sys.stderr)
        return BAD_INPUT
    except KeyboardInterrupt:
        print("stopped before any trial was finished", file=sys.stderr)
        return STOPPED


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        """One line, as for every other bad input."""
        print(f"error: {message}; see --help", file=sys.stderr)
        sys.exit(BAD_INPUT)


def _whole(text: str) -> int:
    """With commas between the thousands too, as a verdict prints them."""
    if not re.fullmatch(r"[-+]?(\d+|\d{1,3}(,\d{3})+)", text):
        raise argparse.ArgumentTypeError(f"{text!r}: allowed whole numbers, such as 20000")
    return int(text.replace(",", ""))


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="python -m ridethrough",
        description="Whether a camper van's 12 V battery keeps the fridge on for a trip, and how sure that is.",
        epilog=CAUTION,
    )
    parser.add_argument("scenario", nargs="?", help="scenario file in TOML; without one, the shipped demo")
    parser.add_argument(
        "--weather", metavar="FILE", help="replay a measured record (TMY3 or daily .csv, .epw, TMY2 .tm2)"
    )
    parser.add_argument("--trials", type=_whole, metavar="N", help="trials, instead of the scenario's")
    parser.add_argument("--seed", type=_whole, metavar="S", help="seed, instead of the scenario's")
    parser.add_argument("--threads", type=_whole, default=0, metavar="N", help="0 (default): one per processor")
    parser.add_argument("--json", action="store_true", help="print one JSON object instead of the verdict")
    parser.add_argument("--explain", metavar="PATH", help="what a parameter or part means, e.g. van.fridge; or guesses")
    parser.add_argument("--version", action="version", version=f"ridethrough {ridethrough.__version__}")
    return parser


def _run(arguments: argparse.Namespace) -> int:
    scenario = _scenario(demo_path() if arguments.scenario is None else arguments.scenario, arguments.weather)
    trip = scenario.trip
    trials = scenario.trials if arguments.trials is None else arguments.trials
    seed = scenario.seed if arguments.seed is None else arguments.seed
    stopped = False
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)  # the verdict and the JSON carry them
            risk = simulate(
                scenario.van, trip, trials=trials, seed=seed, threads=arguments.threads, progress=_progress()
            )
    except Interrupted as early:
        if early.finished is None:
            raise
        risk, stopped = early.finished, True
    finally:
        if sys.stderr.isatty():
            print("\r\033[K", end="", file=sys.stderr, flush=True)
    if arguments.json:
        about = {"scenario": scenario.name, "title": scenario.title, "start": trip.start, "stopped_early": stopped}
        about["notes"] = list(scenario.notes)
        print(json.dumps(_plain(about | risk.to_dict()), allow_nan=False))
    else:
        if stopped:
            print(f"Stopped by Ctrl-C after {risk.trials:,} of {trials:,} trials; this is what they say.\n")
        print(_header(scenario, risk), *scenario.notes, risk, sep="\n\n")
    return STOPPED if stopped else 0


def _scenario(file: str | Path, weather: str | None) -> Scenario:
    """The scenario; with a weather file on its measured days, and at its place where the scenario names none."""
    if weather is None:
        return load_scenario(file)
    climate = _measured(weather)
    site = None
    if climate is not None and climate.latitude is not None and climate.longitude is not None:
        site = Site(latitude=climate.latitude, longitude=climate.longitude)
    scenario = load_scenario(file, site=site)
    return dataclasses.replace(scenario, trip=_replayed(scenario.trip, weather, climate))


def _measured(file: str) -> Climate | None:
    """The climate of a weather file; None where the file does not say its place, which the trip then has to."""
    from .weather.weather_files import read_weather

    try:
        return read_weather(file)
    except ridethrough.InputError as error:
        if error.path in ("latitude", "longitude") and error.value is None:
            return None
        raise


def _replayed(trip: Trip, file: str, climate: Climate | None) -> Trip:
    """The same trip on the days of a measured record."""
    from .weather.weather_files import read_weather

    if trip.site is None:
        raise bad_input("--weather", file, allowed="for a trip to one place; this one has stops")
    if climate is None:
        climate = read_weather(file, latitude=trip.site.latitude, longitude=trip.site.longitude)
    try:
        return trip.replace(site=trip.site.replace(climate=climate), weather="replayed")
    except ridethrough.InputError as error:
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
        f"scenario {scenario.name}, {risk.trials:,} trials, seed {risk.seed}, ridethrough {ridethrough.__version__}"
    )


def _progress() -> ProgressOption:
    if not sys.stderr.isatty():
        return None
    return lambda done, wanted: print(f"\r{done:,} of {wanted:,} trials", end="", file=sys.stderr, flush=True)


def _plain(value: Any) -> Any:
    """Plain numbers only; JSON has no word for NaN and infinity."""
    if isinstance(value, dict):
        return {str(key): _plain(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(inner) for inner in value]
    if hasattr(value, "tolist"):  # NumPy
        return _plain(value.tolist())
    return None if isinstance(value, float) and not math.isfinite(value) else value


if __name__ == "__main__":
    sys.exit(main())
