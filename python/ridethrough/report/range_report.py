"""What can be stated of a range of vans."""

from __future__ import annotations

from typing import Any

import ridethrough._core as _core

from ..engine.model_error import known_error
from ..engine.risk import LEVELS
from ..model.cautions import CAUTION
from ..model.clocks import compile_with_clock
from ..model.van_parts import in_common
from ..studies.model_range import FOOD, MONTHS
from ..studies.range_result import VanRange
from .model_error_text import format_model_error
from .registry import format_report

OF_CUSTOMERS = "All customers together; trials are of each kind of customer; brochure() tells of the model's own error."


@format_report.register(VanRange)
def format_van_range(result: VanRange) -> str:
    """The worst month of each model and place."""
    sites = [str(site) for site in result.mix["site"].values]
    wide = [max(map(len, names)) + 1 for names in (["model", *result.models], ["site", *sites])]
    lines = [f"{'model':{wide[0]}} {'site':{wide[1]}} worst month  risk of {result.trip.nights} nights"]
    for model in result.models:
        for site in sites:
            worst = result.worst_month(model, site)
            estimate = _core.estimate_text(result.risk(model, site, worst))
            lines.append(f"{model:{wide[0]}} {site:{wide[1]}} {worst:>11}  {estimate}")
    return "\n".join([*lines, OF_CUSTOMERS, CAUTION])


def format_brochure(result: VanRange, model: str, site: str) -> str:
    """What a brochure may say of a model at a place."""
    sold, worst = result.months_sold(site), result.worst_month(model, site)
    every = result.trip.nights
    risk = result.risk(model, site, worst)
    stated = []
    for level in LEVELS:
        nights = int(result.nights_at(level).sel(model=model, site=site, month=sold).min())
        more = " or more" if nights == every else ""
        stated.append(f"{nights}{more} at {100 * level:g} %")
    trials = int(result.by_customer["trials"].max())
    who = ", ".join(f"{100 * w:.0f} % {c}" for c, w in zip(*result.customers(), strict=True))
    return "\n".join(
        [
            f"{model}, {site}, {_season(sold)}: nights without a cut-out of the fridge"
            + (" in the worst month" if len(sold) > 1 else ""),
            f"for which the interval's upper end stays within a risk, of {every}: {', '.join(stated)} "
            f"({trials:,} trials of each kind of customer).",
            f"Worst month {worst}, all {every} nights: {_core.chance_text(risk).lower()} "
            f"({_core.estimate_text(risk)} of each kind of customer).",
            f"That month, food above 5 degC for more than 4 h in a row: {_food(result, model, site, worst)}.",
            f"Customers: {who}. Conditions: {', '.join(_conditions(result, model, site))}.",
            _model_error(result, model, site, worst, risk.value),
            CAUTION,
        ]
    )


def _food(result: VanRange, model: str, site: str, month: str) -> str:
    cell = result.mix.sel(model=model, site=site, month=month)
    value, low, high = (100 * float(cell[name]) for name in (FOOD, f"{FOOD}_low", f"{FOOD}_high"))
    trials = int(result.by_customer["trials"].max())
    return f"{value:.2g} % ({low:.2g} to {high:.2g} %, {trials:,} trials of each kind of customer)"


def _model_error(result: VanRange, model: str, site: str, month: str, risk: float) -> str:
    error = known_error(
        result.models[model],
        [result.places[site]],
        start=result.starts[month],
        nights=result.mix.sizes["night"],
        risk=risk,
        replay=result.trip.weather == "replayed",
    )
    return format_model_error(error, risk)


def _season(sold: list[str]) -> str:
    """Names of months: from the first to the last only where none between is left out."""
    in_a_row = list(MONTHS[MONTHS.index(sold[0]) :][: len(sold)]) if sold[0] in MONTHS else []
    return f"{sold[0]} to {sold[-1]}" if len(sold) > 1 and sold == in_a_row else ", ".join(sold)


def _conditions(result: VanRange, model: str, site: str) -> list[str]:
    """The conditions under which a statement holds."""
    van, trip = result.models[model], result.trip.replace(site=result.places[site])
    charge: Any = in_common(van).initial_soc
    schedule = compile_with_clock(van, trip).schedule
    lengths = sorted({round(i.end_h - i.begin_h, 2) for i in schedule if i.kind == "drive"})
    drives, plugged = (sum(i.kind == kind for i in schedule) for kind in ("drive", "shore_power"))
    return [
        f"charge at the start {charge!r} of full",
        f"{drives} drives of {' or '.join(f'{hours:g}' for hours in lengths)} h" if drives else "no driving",
        f"{plugged} nights on shore power" if plugged else "no shore power",
        f"surroundings {trip.surroundings}" if trip.surroundings != "as_given" else f"shade {trip.shade_beam!r}",
        "battery and panel as described",
    ]
