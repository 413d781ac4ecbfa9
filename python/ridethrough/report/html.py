"""Results as compact HTML tables, which notebooks show; each keeps intervals, trials and cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import singledispatch
from html import escape

import ridethrough._core as _core

from ..engine.event_chances import FRIDGE_OFF
from ..engine.importance_sampling import RareRisk
from ..engine.model_error import model_error_of_risk
from ..engine.quasi_monte_carlo import TripMeans
from ..engine.result import Result
from ..engine.risk import Risk
from ..model.cautions import CAUTION, cautions
from ..money.prices import AmountRange
from ..studies.autonomy_worksheet import Worksheet
from ..studies.comparison_result import Comparison, OutcomeDifference
from ..studies.cutout_table import CutoutTable
from ..studies.hindcast_results import Hindcast, MonthlyRisk
from ..studies.hindcast_scores import HindcastScores
from ..studies.iso_risk_curve import IsoRisk
from ..studies.lithium_break_even import LithiumPays
from ..studies.outcomes_compared import OUTCOMES, SHARES
from ..studies.range_result import VanRange
from ..studies.sensitivity_indices import METHODS
from ..studies.sensitivity_ranking import Sensitivity
from ..studies.sizing import Size
from ..studies.sweep_result import Sweep
from ..studies.upgrade_result import Upgrades
from ..tonight.forecast_result import Forecast
from .break_even_report import format_break_even
from .chance_text import format_chance, risk_text
from .comparison_report import cost_and_mass, name_of_base
from .forecast_report import chance_from_now
from .hindcast_report import hindcast_rows, hindcast_title, monthly_rows, monthly_title
from .model_error_text import format_model_error, summarize_model_errors
from .range_report import OF_CUSTOMERS
from .registry import write_report
from .sensitivity_report import format_advice, meaning_of
from .sentences import NONE_SHOWN, format_warnings, percent
from .sweep_report import sweep_header, sweep_notes, sweep_rows
from .trip_description import describe_trip
from .trip_means_report import means_rows
from .verdict_answers import how_many_nights, stay_on

MOST_ROWS = 30


@dataclass(frozen=True)
class Table:
    """A title, columns and rows of text, and what stands below them."""

    title: str
    header: tuple[str, ...]
    rows: Sequence[tuple[str, ...]]
    notes: tuple[str, ...] = ()
    size: int = 0  # rows that there would be, where not all are made


def format_html(result: Result) -> str:
    """The result's table with its cautions; its report, for a type that has no table."""
    if isinstance(result, Risk):
        return _verdict(result)
    return _as_table(result)


def _verdict(risk: Risk) -> str:
    """The compact verdict of a risk: the answer, its table, the charge picture."""
    answer = [*stay_on(risk, None).content, *how_many_nights(risk).content]
    said = "".join(f"<p>{'<b>' * (not i)}{escape(str(text))}{'</b>' * (not i)}</p>" for i, text in enumerate(answer))
    try:
        picture = risk.plot.charge().html()
    except _core.InputError as error:  # no matplotlib
        picture = f"<p><small>{escape(str(error))}</small></p>"
    return _as_table(risk, said + picture)


def _as_table(result: Result, first: str = "") -> str:
    """The table; before it its warnings, and what else comes first."""
    table = table_of(result)
    if table is None:
        return f"<pre>{escape(write_report(result))}</pre>"
    head = "".join(f"<th>{escape(cell)}</th>" for cell in table.header)
    shown = table.rows[:MOST_ROWS]
    rows = "".join(f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in row)}</tr>" for row in shown)
    left_out = max(table.size, len(table.rows)) - len(shown)
    warned = format_warnings(result.warnings)
    notes = [f"{left_out} more rows: print the result, or take to_dataframe()."] if left_out else []
    notes += [note for note in table.notes if note not in warned]
    above = "".join(f"<p><b>{escape(text)}</b></p>" for text in warned)
    below = "".join(f"<p><small>{escape(note)}</small></p>" for note in [*notes, CAUTION])
    title = f"<caption>{escape(table.title)}</caption>"
    return f"<div>{above}{first}<table>{title}<thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>{below}</div>"


@singledispatch
def table_of(result: object) -> Table | None:
    """The table of a type of result, where it has one."""
    return None


def _estimate(estimate: _core.Estimate | None) -> str:
    return "" if estimate is None else risk_text(estimate)


def _range(value: AmountRange | None, digits: int = 0) -> str:
    if value is None:
        return ""
    return f"{value.value:,.{digits}f} ({value.low:,.{digits}f} to {value.high:,.{digits}f})"


def _change(difference: OutcomeDifference) -> str:
    unit, _, digits = OUTCOMES[difference.outcome]
    scale, gap = (100 if difference.outcome in SHARES else 1), difference.difference
    if gap is None:
        return "nothing to compare"
    interval = f"({scale * gap.low:+.{digits}f} to {scale * gap.high:+.{digits}f} {unit}, {gap.trials:,} trials)"
    return f"{scale * gap.value:+.{digits}f} {interval}" if difference.shown else f"{NONE_SHOWN} {interval}"


@table_of.register(Risk)
def _(result: Risk) -> Table:
    off = result.fridge_off_over_1h
    rows = [
        ("a cut-out drops the fridge", _core.chance_text(result.cutout), _estimate(result.cutout)),
        ("the fridge is off for more than an hour in a row", _core.chance_text(off), _estimate(off)),
        *(
            (OUTCOMES[name][1], "", format_chance(chance))
            for name, chance in result.chances.items()
            if name != FRIDGE_OFF
        ),
    ]
    notes = (
        format_model_error(result.model_error, None, "The range above counts the model's own error too."),
        *describe_trip(result)[:3],
        *cautions(result.van, result.trip),
    )
    return Table(f"Risk over {result.nights} nights from {result.trip.start}", ("", "", "interval"), rows, notes)


@table_of.register(Forecast)
def _(result: Forecast) -> Table:
    until = {f"before the sun of {result.tomorrow_at}": result.tomorrow}
    until |= {f"by the end of {day}": estimate for day, estimate in result.by_day.items()}
    until |= {"by the end of the trip": result.end}
    rows = [(name, chance_from_now(result, estimate)) for name, estimate in until.items()]
    charge = f"Charge now {percent(result.soc[0.5])}, in 9 of 10 such trips {percent(result.soc[0.05])} to "
    notes = (
        f"Read: {'; '.join(map(str, result.readings)) or 'nothing'}. {charge}{percent(result.soc[0.95])}.",
        "The intervals are of the number of trials alone: the model's own error comes on top.",
    )
    return Table(f"From {result.now} on", ("", "chance of a cut-out"), rows, notes)


@table_of.register(Comparison)
def _(result: Comparison) -> Table:
    base, rows = result.base_name, []
    for trip in result.trips:
        rows.append((base, trip, _estimate(result.risks[base, trip].cutout), "", ""))
    for (van, trip), difference in result.differences.items():
        risk = result.risks.get((van, trip))
        first = van not in [row[0] for row in rows]
        money = cost_and_mass(result.cost[van], result.mass_kg[van], result.prices) if first else ""
        rows.append((van, trip, _estimate(risk.cutout if risk else None), _change(difference["risk"]), money))
    errors = summarize_model_errors(map(model_error_of_risk, result.risks.values()))
    header = (
        "van",
        "trip",
        "risk of a cut-out",
        f"difference from {name_of_base(result)}",
        "cost and mass",
    )
    warned = format_warnings(text for risk in result.risks.values() for text in risk.warnings)
    return Table("Vans on the same trials", header, rows, (*warned, errors))


@table_of.register(Size)
def _(result: Size) -> Table:
    rows = [(f"{size:g} {result.unit}", _estimate(risk)) for size, risk in sorted(result.tried.items())]
    found = "none" if result.value is None else f"{result.value:g} {result.unit}"
    title = f"{result.path} for a risk within {100 * result.target_risk:g} %: {found}"
    notes = []
    if result.model_error is not None and result.risk is not None:
        notes.append(format_model_error(result.model_error, result.risk.value))
    return Table(title, ("size tried", "risk of a cut-out"), rows, tuple(notes))


@table_of.register(IsoRisk)
def _(result: IsoRisk) -> Table:
    rows = []
    for p in result.points:
        battery = "none" if p.size.value is None else f"{p.size.value:g} Ah"
        fits = "yes" if p.fits else f"no: {p.why_not}"
        rows.append((f"{p.panel_w:g} W", battery, _estimate(p.size.risk), _range(p.cost), _range(p.mass_kg, 1), fits))
    header = ("panel", "battery", "risk of a cut-out", f"cost, {result.currency}", "mass, kg", "fits")
    errors = [p.size.model_error for p in result.points if p.size.model_error]
    notes = (summarize_model_errors(errors),) if errors else ()
    return Table(f"Panel and battery for a risk within {100 * result.target_risk:g} %", header, rows, notes)


@table_of.register(CutoutTable)
def _(result: CutoutTable) -> Table:
    rows = [
        (f"{s.cutout_v:g} V", _estimate(s.risk), _change(s.risk_change), _change(s.hours_below_20_change))
        for s in result.settings
    ]
    header = ("cut-out", "risk of a cut-out", "change", "change of hours below 20 % charge")
    note = "Never bypass a cut-out. On a starter battery none of this holds."
    return Table(f"Fridge cut-out, now at {result.present_v:g} V", header, rows, (note,))


@table_of.register(Upgrades)
def _(result: Upgrades) -> Table:
    entries = [*result.first, *result.paid, *(e for e in result.pairs if e.shown), *result.worse]
    rows = [
        (
            e.name,
            f"{100 * e.removed.value:+.1f} ({100 * e.removed.low:+.1f} to {100 * e.removed.high:+.1f})",
            _estimate(e.risk),
            _range(e.cost),
            _range(e.mass_kg, 1),
        )
        for e in entries
    ]
    header = ("change", "points of risk removed", "risk left", f"cost, {result.prices.currency}", "mass, kg")
    title = f"Upgrades; as it is: {_estimate(result.base.cutout)}"
    return Table(title, header, rows, (summarize_model_errors([model_error_of_risk(result.base)]),))


@table_of.register(Sensitivity)
def _(result: Sensitivity) -> Table:
    data = result.dataset
    key = METHODS[str(data.attrs["method"])][0]
    rows = []
    for i, name in enumerate(result.ranking):
        value, low, high = result.interval(key, i)
        rows.append((name, f"{value:.3f}", f"{low:.3f} to {high:.3f}"))
    title = f"Inputs by their effect on {data.attrs['outcome']}, {data.attrs['points']} points"
    notes = (format_advice(result), f"{key}: {meaning_of(result, key)}.")
    return Table(title, ("input", key, "95 % interval"), rows, notes)


@table_of.register(VanRange)
def _(result: VanRange) -> Table:
    rows = []
    for model in result.models:
        for site in map(str, result.mix["site"].values):
            worst = result.worst_month(model, site)
            rows.append((model, site, worst, _estimate(result.risk(model, site, worst))))
    title = f"Risk of {result.trip.nights} nights in the worst month sold"
    return Table(title, ("model", "site", "month", "risk of a cut-out"), rows, (OF_CUSTOMERS,))


@table_of.register(RareRisk)
def _(result: RareRisk) -> Table:
    rows = [
        ("a cut-out drops the fridge", f"{_core.chance_text(result.cutout)} ({_estimate(result.cutout)}, weighted)"),
        ("effective failing trials", f"{result.effective_failures:,.0f}"),
    ]
    note = format_model_error(result.model_error, result.cutout.value)
    return Table(f"Small risk over {result.nights} nights", ("", ""), rows, (note,))


@table_of.register(LithiumPays)
def _(result: LithiumPays) -> Table:
    runs = {"lithium": result.lithium, "new AGM": result.new_agm, "old AGM": result.old_agm}
    rows = [(name, _estimate(risk.cutout)) for name, risk in runs.items()]
    pays = (format_break_even(result.pays_against_new), format_break_even(result.pays_against_old))
    errors = summarize_model_errors(map(model_error_of_risk, runs.values()))
    return Table("Does lithium pay?", ("battery", "risk of a cut-out"), rows, (*pays, errors))


@table_of.register(Worksheet)
def _(result: Worksheet) -> Table:
    passes = "passes" if result.passes else "does not pass"
    rows = [
        ("as it is", passes, _estimate(result.present.cutout)),
        (
            f"as sized: {result.battery.capacity_ah:.0f} Ah, {result.array_w:.0f} W",
            "passes",
            _estimate(result.risk.cutout),
        ),
    ]
    title = f"Worksheet, {result.days:g} days of autonomy"
    note = "The worksheet has no probability; the interval is sampling error alone."
    return Table(title, ("van", "worksheet", "risk of a cut-out"), rows, (note,))


@table_of.register(Sweep)
def _(result: Sweep) -> Table:
    rows, header = sweep_rows(result, MOST_ROWS), sweep_header(result)
    return Table("Risk of each cell", header, rows, tuple(sweep_notes(result)), int(result.dataset["risk"].size))


@table_of.register(Hindcast)
def _(result: Hindcast) -> Table:
    return Table(hindcast_title(result), ("month", "frequency"), hindcast_rows(result))


@table_of.register(MonthlyRisk)
def _(result: MonthlyRisk) -> Table:
    return Table(monthly_title(result), ("month", "risk of a cut-out"), monthly_rows(result))


@table_of.register(HindcastScores)
def _(result: HindcastScores) -> Table:
    def points(share: float) -> str:
        return f"{100 * share:.1f}" if share == share else ""

    rows = [
        (
            str(van),
            f"{s['van_months']:.0f}",
            *(points(s.get(name, float("nan"))) for name in ("mean_abs", "floor", "bias")),
        )
        for van, s in result.summary.iterrows()
    ]
    header = ("van", "van-months", "mean difference, points", "of a perfect model", "bias")
    note = f"{int(result.months['start_days'].sum()):,} start days, of some trials each."
    return Table("Risks given against frequencies on measured days", header, rows, (note,))


@table_of.register(TripMeans)
def _(result: TripMeans) -> Table:
    title = f"Means of a trip, {result.trials:,} trials in {result.replicates} replicates"
    return Table(title, ("what", "mean (95 %, Student)"), means_rows(result))
