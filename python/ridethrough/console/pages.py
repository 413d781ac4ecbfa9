"""The verbs ``plot`` and ``report``: pictures and the page to hand on, as files."""

from __future__ import annotations

from argparse import Namespace
from functools import partial
from pathlib import Path

from ..engine.content import plain_content
from ..engine.interruption import Interrupted
from ..engine.risk import Risk
from ..engine.risk_dict import likely_range_dict
from ..engine.simulation import simulate
from ..files.scenario import Scenario
from ..model.cautions import CAUTION
from ..model.errors import bad_input, unknown_name
from ..report.page import page_path, write_page
from ..report.pictures.facts import chance_line
from ..report.pictures.picture import Picture, picture_path, require_matplotlib, size_of
from ..report.plots import KINDS
from .changes import apply_change
from .exit_status import DONE, STOPPED
from .output import STOPPED_TEXT, print_json, run_options, run_quietly
from .run import STOPPED_BEFORE, below_limit, charge_limit_of, scenario_of, suggestions_of


def run_plot(arguments: Namespace) -> int:
    """Draw one picture of a scenario file's answer."""
    path, kind = picture_path(arguments.output), arguments.kind
    if kind not in KINDS:
        raise unknown_name("KIND", kind, list(KINDS), "there is no such picture")
    if arguments.change and kind != "survival":
        raise bad_input("--change", arguments.change[0], reason="only the picture survival has several lines")
    size_of(arguments.size)
    require_matplotlib()
    scenario = scenario_of(arguments)
    changed = {change: apply_change(scenario.van, scenario.trip, change) for change in arguments.change}
    options = run_options(arguments, scenario)
    risk, stopped = run_quietly(lambda: simulate(scenario.van, scenario.trip, **options))
    others: dict[str, Risk] = {}
    for change, pair in changed.items():
        if stopped:
            break
        try:
            others[change], stopped = run_quietly(partial(simulate, *pair, **options))
        except Interrupted:  # before this line had a trip; those before it are drawn
            stopped = True
    picture = _picture(risk, kind, others, arguments.size, scenario)
    return _written(arguments, picture.save(path), scenario, risk, scenario.charge_limit, stopped, picture.alt)


def _picture(risk: Risk, kind: str, others: dict[str, Risk], size: str, scenario: Scenario) -> Picture:
    title = scenario.title or scenario.name
    if kind == "charge":
        return risk.plot.charge(charge_limit=scenario.charge_limit, size=size, title=title)
    if others:
        return risk.plot.survival(others, size=size, title=title)
    return risk.plot(kind, size=size, title=title)


def run_report(arguments: Namespace) -> int:
    """Write the page of a scenario file's answer."""
    path = page_path(arguments.output)
    require_matplotlib()
    scenario = scenario_of(arguments)
    limit = charge_limit_of(arguments, scenario)
    options = run_options(arguments, scenario)
    risk, stopped = run_quietly(lambda: simulate(scenario.van, scenario.trip, **options))
    early = [f"Stopped by Ctrl-C after {risk.trials:,} of {options['trials']:,} trips."] if stopped else []
    title, notes = scenario.title or scenario.name, [*early, *scenario.notes]
    found = STOPPED_BEFORE if stopped else suggestions_of(risk, arguments.threads)
    write_page(risk, path, title=title, name=scenario.name, charge_limit=limit, notes=notes, suggestions=found)
    return _written(arguments, path, scenario, risk, limit, stopped, chance_line(risk))


def _written(
    arguments: Namespace,
    path: Path,
    scenario: Scenario,
    risk: Risk,
    limit: float | None,
    stopped: bool,
    said: str,
) -> int:
    """Say which file was written, and what it shows."""
    if arguments.json:
        about = {"file": str(path), "shows": said, "scenario": scenario.name, "stopped_early": stopped}
        facts = {
            "cutout": plain_content(risk.cutout),
            "likely_range": likely_range_dict(risk),
            "below_charge_limit": below_limit(risk, limit),
            "notes": list(scenario.notes),
            "warnings": list(risk.warnings),
            "caution": CAUTION,
        }
        print_json(about | facts)
    else:
        print(*[STOPPED_TEXT] * stopped, *scenario.notes, path, said, sep="\n")
    return STOPPED if stopped else DONE
