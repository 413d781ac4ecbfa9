"""What the command line takes: its verbs, each with its own options."""

from __future__ import annotations

import argparse
import re
import sys
from typing import NoReturn

from ..model.cautions import CAUTION
from ..version import __version__
from .exit_status import BAD_INPUT
from .starter_questions import QUESTIONS

VERBS = ("run", "new", "explain", "compare", "size", "upgrades")


class Parser(argparse.ArgumentParser):
    """One line for a wrong argument, as for every other bad input."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong and leave."""
        print(f"error: {message}; see {self.prog} --help", file=sys.stderr)
        sys.exit(BAD_INPUT)


def whole_number(text: str) -> int:
    """20000, with commas between the thousands too, as a verdict prints them, or 2e4."""
    if re.fullmatch(r"[-+]?(\d+|\d{1,3}(,\d{3})+)", text):
        return int(text.replace(",", ""))
    if re.fullmatch(r"\d+(\.\d+)?[eE]\+?\d{1,2}", text) and float(text).is_integer():
        return int(float(text))
    raise argparse.ArgumentTypeError(f"{text!r}: allowed whole numbers, such as 20000, 20,000 or 2e4")


def share(text: str) -> float:
    """0.05 or 5 %."""
    match = re.fullmatch(r"\s*(\d*\.?\d+)\s*(%?)\s*", text)
    if not match:
        raise argparse.ArgumentTypeError(f"{text!r}: allowed a share, such as 5 % or 0.05")
    return float(match[1]) / (100 if match[2] else 1)


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    top = Parser(
        prog="ridethrough",
        description="Whether a camper van's 12 V battery keeps the fridge on for a trip, and how sure that is.",
        epilog=f"{CAUTION} Without a verb, the shipped demo is run.",
    )
    top.add_argument("--version", action="version", version=f"ridethrough {__version__}")
    verbs = top.add_subparsers(dest="verb", metavar="verb", parser_class=Parser)
    run = verbs.add_parser("run", help="will the fridge stay on? the answer for a scenario file", epilog=CAUTION)
    run.add_argument("file", nargs="?", help="scenario file in TOML; without one, the shipped demo")
    run.add_argument("--weather", metavar="FILE", help="replay a measured record (TMY3 or daily .csv, .epw, TMY2 .tm2)")
    run.add_argument("--details", action="store_true", help="also the energy table, all causes and the sampling")
    run.add_argument("--narrow", action="store_true", help="lines of 45 columns, for a phone")
    _run_options(run)
    _new(verbs.add_parser("new", help="write a starter file that asks what decides a trip"))
    explain = verbs.add_parser("explain", help="what a parameter or a part means: unit, range, default, source")
    explain.add_argument("path", help="such as van.fridge or Heater; or guesses, columns, time_series")
    compare = verbs.add_parser("compare", help="the trip with and without changes, the same trials", epilog=CAUTION)
    compare.add_argument("file", help="scenario file")
    compare.add_argument(
        "--change",
        action="append",
        required=True,
        metavar="PATH=VALUE",
        help='"nights=4", "solar.rated_w=300 W", "battery=lithium 100 Ah"; several in one change are joined by ;',
    )
    _run_options(compare)
    size = verbs.add_parser("size", help="the smallest value that keeps the risk within a target", epilog=CAUTION)
    size.add_argument("file", help="scenario file")
    size.add_argument("path", help="what is sized: solar.rated_w, battery.capacity_ah, ...")
    size.add_argument("--risk", type=share, default=0.05, metavar="SHARE", help="target, 5 %% by default")
    _run_options(size)
    upgrades = verbs.add_parser("upgrades", help="what buys the most safety, by price and by mass", epilog=CAUTION)
    upgrades.add_argument("file", help="scenario file")
    upgrades.add_argument("--no-pairs", action="store_true", help="changes alone, not two at a time")
    _run_options(upgrades)
    return top


def _run_options(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--trials", type=whole_number, metavar="N", help="trips played, instead of the file's")
    verb.add_argument("--seed", type=whole_number, metavar="S", help="instead of the file's")
    verb.add_argument("--threads", type=whole_number, default=0, metavar="N", help="0 (default): one per processor")
    verb.add_argument("--json", action="store_true", help="one JSON object instead of text: see python/docs/json.md")


def _new(new: argparse.ArgumentParser) -> None:
    new.add_argument("file", help="the file to write, such as trip.toml")
    new.add_argument("--overwrite", action="store_true", help="also where there is one")
    for question in QUESTIONS:
        new.add_argument("--" + question.key.replace("_", "-"), dest=question.key, metavar="X", help=question.asks)
