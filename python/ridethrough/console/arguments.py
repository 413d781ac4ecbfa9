"""What the command line takes: its verbs, each with its own options."""

from __future__ import annotations

import argparse
import sys
from typing import NoReturn

from ..files.scenario import OPEN
from ..files.starter_questions import QUESTIONS
from ..model.cautions import CAUTION
from ..model.quantities import read_whole
from ..report.pictures.style import SIZES
from ..report.plots import KINDS
from ..version import __version__
from .exit_status import BAD_INPUT

VERBS = ("run", "new", "explain", "compare", "size", "upgrades", "plot", "report", "tonight")


class Parser(argparse.ArgumentParser):
    """One line for a wrong argument, as for every other bad input."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong and leave."""
        print(f"error: {message}; see {self.prog} --help", file=sys.stderr)
        sys.exit(BAD_INPUT)


def whole_number(text: str) -> int:
    """20000, 20,000 or 2e4."""
    if (number := read_whole(text)) is not None:
        return number
    raise argparse.ArgumentTypeError(f"{text!r}: allowed whole numbers, such as 20000, 20,000 or 2e4")


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    top = Parser(
        prog="ridethrough",
        description="Whether a camper van's 12 V battery keeps the fridge on for a trip, and how sure that is.",
        epilog=f"ridethrough VERB --help tells of a verb; without a verb the shipped demo is run. {CAUTION}",
    )
    top.add_argument("--version", action="version", version=f"ridethrough {__version__}")
    verbs = top.add_subparsers(dest="verb", metavar="VERB", title="verbs", parser_class=Parser, required=True)

    def verb(name: str, in_short: str, at_length: str, epilog: str = CAUTION) -> argparse.ArgumentParser:
        return verbs.add_parser(name, help=in_short, description=at_length, epilog=epilog)

    _run(
        verb(
            "run",
            "the chance that the fridge stays on, for a scenario file",
            "Plays the trip of a scenario file many thousand times and prints the chance that a low-voltage cut-out "
            "drops the fridge, how sure that is, when it happens and why.",
        )
    )
    _new(
        verb(
            "new",
            "a starter file, which asks what decides a trip",
            "Writes a commented scenario file that runs as it is, once it says where and when. On a terminal it asks, "
            "one by one, for what is not given here; each answer may have a unit, such as '40 degF'.",
        )
    )
    explain = verb(
        "explain",
        "what a parameter or a part is: unit, range, default, source",
        "Tells what a parameter or a part of a van or a trip is: its unit, its range, its default and where that "
        "default comes from.",
    )
    _explain(explain)
    _compare(
        verb(
            "compare",
            "the trip with changes and without, side by side",
            "Plays the same trips, in the same weather and with the same habits, as the file has them and with each "
            "change, so that the difference is sharper than either number.",
        )
    )
    _size(
        verb(
            "size",
            "the smallest value that keeps the risk within a target",
            "Finds the smallest value of one number of the file (of nights the largest) that keeps the chance of a "
            "cut-out within a target.",
        )
    )
    _upgrades(
        verb(
            "upgrades",
            "what takes off most risk, by price and by mass",
            "Ranks usual changes of the van and of habits by the risk that they take off, for their price and their "
            "mass, on the same trips: alone and two at a time.",
        )
    )
    _plot(
        verb(
            "plot",
            "a picture of the answer, as a file",
            "Draws the trip of a scenario file: the charge through the trip, the chance by night, when it fails, "
            "the energy of a day, temperatures, a bad trip with captions, or what would help.",
        )
    )
    _report(
        verb(
            "report",
            "a page to hand on: verdict, pictures, what was assumed",
            "Writes one HTML file that needs no network: the verdict, four pictures, what was assumed and where "
            "each input came from, what would help, the cautions, and the scenario to run it again. It prints on "
            "two sheets of A4.",
        )
    )
    _tonight(
        verb(
            "tonight",
            "on the way: what the meters show, and what that does to the forecast",
            "Takes what meters show during the trip of a scenario file and prints the chance of a cut-out from now on: "
            "before tomorrow's sun, by each day, by the end.",
        )
    )
    return top


def _tonight(tonight: argparse.ArgumentParser) -> None:
    tonight.add_argument("file", metavar="FILE", help="scenario file of the whole trip, from its start")
    tonight.add_argument("--now", required=True, metavar="TIME", help='clock time of the trip, "2026-09-24 20:00"')
    tonight.add_argument(
        "--reading",
        action="append",
        default=[],
        metavar="TEXT",
        help='"62 %%", "12.1 V at fridge compressor on", "38 Ah used", "310 Wh today", "5 degC"; of an earlier time '
        'with it: "71 %% 2026-09-23 20:00". Give it again for another one',
    )
    tonight.add_argument(
        "--cut-out-before", action="store_true", help="a cut-out has, or may have, dropped the fridge before now"
    )
    tonight.add_argument("--narrow", action="store_true", help="lines of 45 columns, for a phone")
    _run_options(tonight)


def _run(run: argparse.ArgumentParser) -> None:
    run.add_argument("file", nargs="?", metavar="FILE", help="scenario file, such as new writes; without one, a demo")
    _weather(run)
    run.add_argument("--details", action="store_true", help="also the energy table, all causes and the sampling")
    run.add_argument("--narrow", action="store_true", help="lines of 45 columns, for a phone")
    _charge_limit(run)
    _run_options(run)


def _explain(explain: argparse.ArgumentParser) -> None:
    explain.add_argument(
        "path",
        metavar="PATH",
        help="such as van.fridge.cutout_v, van.fridge or Heater; or guesses, columns, time_series",
    )
    _json(explain)


def _size(size: argparse.ArgumentParser) -> None:
    size.add_argument("file", metavar="FILE", help="scenario file")
    size.add_argument(
        "path", metavar="PATH", help="what is sized, such as solar.rated_w, battery.capacity_ah or nights"
    )
    size.add_argument("--risk", default=0.05, metavar="SHARE", help="the target, 5 %% unless given")
    _run_options(size)


def _upgrades(upgrades: argparse.ArgumentParser) -> None:
    upgrades.add_argument("file", metavar="FILE", help="scenario file")
    upgrades.add_argument("--no-pairs", action="store_true", help="each change alone, not two at a time")
    _run_options(upgrades)


def _plot(plot: argparse.ArgumentParser) -> None:
    plot.add_argument("kind", metavar="KIND", type=_kind, help=", ".join(KINDS).replace("_", "-"))
    plot.add_argument("file", metavar="FILE", help="scenario file")
    plot.add_argument("-o", "--output", required=True, metavar="PICTURE", help="the file to write: .png, .svg or .pdf")
    plot.add_argument(
        "--size", default="screen", metavar="SIZE", help=f"{', '.join(SIZES)}: how wide, and how large the letters are"
    )
    plot.add_argument(
        "--change",
        action="append",
        default=[],
        metavar="PATH=VALUE",
        help="of survival: another line with this change, as compare takes it; give it again for another one",
    )
    _weather(plot)
    _run_options(plot)


def _kind(text: str) -> str:
    """The name of a picture, with hyphens or underscores."""
    return text.replace("-", "_")


def _report(report: argparse.ArgumentParser) -> None:
    report.add_argument("file", metavar="FILE", help="scenario file")
    report.add_argument("-o", "--output", required=True, metavar="PAGE", help="the file to write: .html")
    _weather(report)
    _charge_limit(report)
    _run_options(report)


def _weather(verb: argparse.ArgumentParser) -> None:
    verb.add_argument(
        "--weather", metavar="FILE", help="replay a measured record (TMY3 or daily .csv, .epw, TMY2 .tm2)"
    )


def _charge_limit(verb: argparse.ArgumentParser) -> None:
    verb.add_argument(
        "--charge-limit",
        metavar="SHARE",
        help="the charge that you don't go below, such as 50 %%, instead of the file's: trips that do are counted "
        "beside the cut-out",
    )


def _compare(compare: argparse.ArgumentParser) -> None:
    compare.add_argument("file", metavar="FILE", help="scenario file")
    compare.add_argument(
        "--change",
        action="append",
        required=True,
        metavar="PATH=VALUE",
        help='"nights=4", "solar.rated_w=300 W", "battery=lithium 100 Ah", "drives=2, 4", "loads.laptop=none"; several '
        "that are made together are joined by ;. Give it again for another one",
    )
    _run_options(compare)


def _run_options(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--trials", type=whole_number, metavar="N", help="trips played, instead of the file's number")
    verb.add_argument("--seed", type=whole_number, metavar="N", help="of the random numbers, instead of the file's")
    verb.add_argument("--threads", type=whole_number, default=0, metavar="N", help="0, as usual: one per processor")
    _json(verb)


def _json(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--json", action="store_true", help="one JSON object instead of text: see python/docs/json.md")


def _new(new: argparse.ArgumentParser) -> None:
    new.add_argument("file", metavar="FILE", help="the file to write, such as trip.toml")
    new.add_argument("--overwrite", action="store_true", help="write over a file that is there")
    _json(new)
    for question in QUESTIONS:
        usual = "" if question.standard == OPEN else f" [{question.standard}]"
        option = "--" + question.key.replace("_", "-")
        new.add_argument(option, dest=question.key, metavar="X", help=f"{question.asks}{usual}")
