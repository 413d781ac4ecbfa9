"""Outputs of a trial as the core declares them: results (columns), causes of a cut-out, hourly time series."""

from __future__ import annotations

import textwrap

import ridethrough._core as _core

RESULTS = {result.name: result for result in _core.RESULTS}
CUTOUT_CAUSES = tuple(cause.name for cause in _core.CUTOUT_CAUSES)
SERIES = {series.name: series for series in _core.TIME_SERIES}
TIME_SERIES = tuple(SERIES)


def results_of_type(wanted: str) -> tuple[str, ...]:
    """Results of this type."""
    return tuple(name for name, result in RESULTS.items() if result.type == wanted)


AVERAGED = tuple(name for name, result in RESULTS.items() if result.averaged)
FLAGS = results_of_type("flag")
NIGHTS = results_of_type("night")
# Outcome of a tank, such as "water_dry", and the result that holds the night before which it happens.
TANKS = {name.removesuffix("_night"): name for name in NIGHTS if RESULTS[name].condition == "water tanks"}
MEDICINE = tuple(name for name, result in RESULTS.items() if result.condition == "medicine in the fridge")


def result_line(name: str) -> str:
    """Unit and meaning of a result, where it is filled, and what stands for "never"."""
    result = RESULTS[name]
    notes = []
    if result.never is not None:
        notes.append(f"{result.never:g} where that never happens")
    if result.condition != "always":
        notes.append(f"{'absent' if result.absent_without else '0'} without {result.condition}")
    return f"{name} [{result.unit}]: {result.doc[:-1]}{''.join('; ' + note for note in notes)}."


def series_line(name: str) -> str:
    """Unit, what of the hour it is and meaning of an hourly time series."""
    series = SERIES[name]
    return f"{name} [{series.unit}], {series.type}: {series.doc}"


def format_list(lines: list[str]) -> str:
    """Lines as a list inside a class's docstring."""
    return "\n".join(
        textwrap.fill(f"- {line}", 116, initial_indent=" " * 8, subsequent_indent=" " * 10) for line in lines
    )
