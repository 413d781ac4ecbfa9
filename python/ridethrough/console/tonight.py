"""The verb ``tonight``: what meters show on the way, and what that does to the forecast."""

from __future__ import annotations

from argparse import Namespace

from ..files.scenario import load_scenario
from ..model.cautions import CAUTION
from ..report.forecast_report import write_forecast
from ..tonight.forecasting import forecast
from ..tonight.posterior import MOST_TRIALS
from .exit_status import DONE
from .output import print_json, run_options, run_quietly


def run_tonight(arguments: Namespace) -> int:
    """The chance of a cut-out from now on."""
    scenario = load_scenario(arguments.file)
    options = run_options(arguments, scenario) | {
        "trials": MOST_TRIALS if arguments.trials is None else arguments.trials
    }
    found, _ = run_quietly(
        lambda: forecast(
            scenario.van,
            scenario.trip,
            now=arguments.now,
            readings=arguments.reading,
            kept_on=not arguments.cut_out_before,
            **options,
        )
    )
    if arguments.json:
        facts = found.to_dict()
        about = {"scenario": scenario.name, "title": scenario.title, "reading_notes": facts.pop("notes")}
        print_json(about | {"notes": list(scenario.notes), "caution": CAUTION} | facts)
    else:
        text = write_forecast(found, narrow=arguments.narrow, title=scenario.title or scenario.name)
        print(*(f"{note}\n" for note in scenario.notes), text, sep="\n")
    return DONE
