"""The details of a verdict: all causes, the sampling, and the energy balance of days."""

from __future__ import annotations

import ridethrough._core as _core

from ..engine.energy_balance import OFF_H, SAMPLE, DayBalance
from ..engine.failing_trials import FailingDifference
from ..engine.risk import LEVELS, Risk
from ..model.cautions import MEDICINE_CAUTION
from ..model.outputs import CUTOUT_CAUSES, RESULTS, TANKS
from ..model.places import place_at
from . import chance_text, medicine_text, trip_description
from .cause_text import plain_difference
from .clock_text import clock_text
from .model_error_text import format_model_error
from .registry import format_report
from .sentences import percent

LEAST_FAILED_STARTS = 0.005  # a trip, on average: fewer make no difference
LEAST_INVERTER_CUTOUTS = 0.05  # a trip, on average
FEW_EVENTS = 20  # shares of fewer mean nothing
MOST_NIGHTS = 7  # told one by one


def detail_lines(risk: Risk) -> list[str]:
    """All facts of a risk but its warnings and cautions, a line each."""
    nights = f"{risk.nights} night{'s' if risk.nights > 1 else ''}"
    lines = [
        f"{_core.chance_text(risk.cutout)}: a low-voltage cut-out drops the fridge within {nights} "
        f"({_core.estimate_text(risk.cutout)}).",
        chance_text.off_line(risk),
        format_model_error(risk.model_error, risk.cutout.value).replace("\n", " "),
        *trip_description.describe_trip(risk),
        clock_text(risk.compiled),
    ]
    if not risk.half_width_reached:
        lines.append("The interval asked for was not reached with these trials.")
    if risk.compiled.replay_starts:
        lines.append(replay_text(risk))
    if risk.trip.stops:
        lines.append(_places(risk))
    lines += [_nights(risk), *_by_night(risk)]
    if (risk.cutout.events or 0) >= FEW_EVENTS:
        lines.append(_when(risk))
    if had := [_difference(risk, one) for one in risk.failing_differences]:
        lines.append(f"Failing trials had: {'; '.join(had)}.")
    lines += [*_battery(risk), *chance_text.food_lines(risk), *chance_text.cold_hours(risk), *_water(risk)]
    lines += [*_lost_starts(risk), *_inverter(risk)]
    if risk.mains_drawn_wh > 0:
        lines.append(f"Drawn from the mains or a generator: {risk.mains_drawn_wh / 1000:.1f} kWh a trip, on average.")
    lines += [line for line in medicine_text.medicine_lines(risk) if line != MEDICINE_CAUTION]
    return [*lines, "", *_balance_table(risk), *_unserved(risk)]


def _battery(risk: Risk) -> list[str]:
    low = risk.min_soc_quantiles([0.5, 0.05])
    lines = [
        f"Lowest charge: {percent(low[0])} in a middling trip, under {percent(max(low[1], 0.01))} in 1 of 20. "
        f"Full charge is reached on {risk.means['days_full']:.1f} of {risk.compiled.days} calendar days, on average.",
        *chance_text.battery_line(risk),
    ]
    frozen = risk.freezing
    if frozen.events:
        lines.append(
            f"{_core.chance_text(frozen)}: the battery gets so empty and so cold that it can freeze, which destroys it "
            f"({_core.estimate_text(frozen)}). Keep it fuller or warmer."
        )
    return lines


def replay_text(risk: Risk) -> str:
    """Which measured days were played, and what that leaves out."""
    starts = risk.compiled.replay_starts
    text = f"Measured days replayed from {starts} start{'s' if starts > 1 else ''}"
    if risk.compiled.starts_over_a_splice:
        text += f" ({risk.compiled.starts_over_a_splice} of them cross a joint between different years)"
    return text + ": the interval says nothing about years that were not measured."


def _places(risk: Risk) -> str:
    stays = ", ".join(f"{p.name} {p.nights} night{'s' if p.nights > 1 else ''}" for p in risk.places)
    return f"Stops: {stays}. Clock time is that of the first throughout; the day of a move has the new place's weather."


def _part_of_day(hour: int) -> str:
    return ("in the small hours", "in the morning", "in the afternoon", "in the evening")[hour // 6]


def _nights(risk: Risk) -> str:
    """How many nights hold at the usual levels of risk, by sampling alone; the answer counts the model's error."""
    said = ", ".join(f"{risk.nights_at(level)} at {percent(level)}" for level in LEVELS)
    return (
        f"Nights (24 h each, from the start) for which the interval's upper end stays within a risk, of {risk.nights}, "
        f"by sampling error alone, without the model's: {said} ({risk.trials:,} trials)."
    )


def _by_night(risk: Risk) -> list[str]:
    """The chance of a cut-out up to the end of each of the first nights, where it grows."""
    failed = [risk.trials - (estimate.events or 0) for estimate in risk.survival()[: risk.nights]]
    grown = [n for n in range(risk.nights) if failed[n] and (not n or failed[n] > failed[n - 1])][:MOST_NIGHTS]
    said = [f"{n + 1}: {chance_text.format_chance(_core.wilson(failed[n], risk.trials))}" for n in grown]
    return [f"Cut out by the end of night {'; '.join(said)}."] if said else []


def _when(risk: Risk) -> str:
    table = risk.cutouts_by_night()
    by_night, by_part = table.sum(axis=1), table.sum(axis=0).reshape(4, 6).sum(axis=1)
    total = table.sum()
    night, part = int(by_night.argmax()), int(by_part.argmax())
    hour = 6 * part + int(table.sum(axis=0)[6 * part : 6 * part + 6].argmax())
    which = f"night {night + 1}" if night < risk.nights else "the last day"
    if risk.trip.stops:
        which += f" at {place_at(risk.places, night + 1).name}"
    text = (
        f"Of {total:,} first cut-outs {percent(by_night[night] / total)} come on {which}; "
        f"{percent(by_part[part] / total)} come {_part_of_day(6 * part)}, most of these around {hour}:00."
    )
    drops = {name: n for name, n in risk.cutout_causes.items() if name != CUTOUT_CAUSES[0] and n}
    if len(drops) > 1:
        text += " By " + ", ".join(f"{name} {percent(n / total)}" for name, n in drops.items()) + "."
    off, failing = risk.means["hours_off"], risk.cutout.value
    hours = off / failing
    said = f"{hours:.0f} h" if hours >= 1 else f"{60 * hours:.0f} min"
    text += f" In the failing trips the fridge is off for {said} on average."
    if sum(drops.get(name, 0) for name in CUTOUT_CAUSES[3:]) > 0.05 * total:
        text += " A battery cut-off takes everything with it: lights, heater and alarms too."
    return text


def _water(risk: Risk) -> list[str]:
    lines = []
    for key, estimate in risk.tank_chances().items():
        column = TANKS[key]
        what = RESULTS[column].label.capitalize()
        text = f"{what} in {percent(estimate.value)} of the trips ({_core.estimate_text(estimate)})"
        if estimate.events:
            night = 1 + int(risk.night_counts[column][1:].argmax())
            text += f", most often before night {night}" if night <= risk.nights else ", most often on the last day"
        lines.append(text + ".")
    return lines


def _lost_starts(risk: Risk) -> list[str]:
    failed = risk.means.get("failed_starts", 0.0)
    if failed < LEAST_FAILED_STARTS:
        return []
    return [
        f"Starts of the heater that failed for want of voltage: {failed:.2g} a trip, on average. What they would have "
        "taken is not among the loads, so a heater that stays cold makes these odds look better."
    ]


def _inverter(risk: Risk) -> list[str]:
    cutouts = risk.means.get("inverter_cutouts", 0.0)
    if cutouts < LEAST_INVERTER_CUTOUTS:
        return []
    return [
        f"The inverter cuts itself out {cutouts:.2g} times a trip, on average; what hangs on it then goes without "
        f"{risk.means['inverter_unserved_ah']:.2g} Ah."
    ]


def _balance_table(risk: Risk) -> list[str]:
    middling, hard = risk.day_balances
    rows: list[tuple[str, ...]] = [("Energy, Wh a day", middling.title, hard.title)]
    for label, name, sign in (
        ("sun", "solar_wh", 1),
        ("driving", "dc_dc_wh", 1),
        ("plug, generator", "mains_wh", 1),
        ("fridge", "fridge_wh", -1),
        ("other loads", "other_loads_wh", -1),
        ("cables", "cables_wh", -1),
        ("from the battery", "battery_wh", 1),
        ("sun curtailed", "curtailed_wh", 0),  # no part of the sum
        ("of it, battery cold", "curtailed_cold_wh", 0),
    ):
        values = [(sign or 1) * getattr(day, name) for day in (middling, hard)]
        if name in ("dc_dc_wh", "mains_wh", "curtailed_cold_wh") and not any(values):
            continue
        rows.append((label, *(f"{v:{'+' if sign else ''}.0f}" if abs(v) >= 0.5 else "0" for v in values)))
    if any(day.fridge_off_h >= OFF_H for day in (middling, hard)):
        rows.append(("hours with the fridge off", *(f"{day.fridge_off_h:.1f}" for day in (middling, hard))))
    rows.append(("charge", *(f"{100 * d.soc_before:.0f} to {percent(d.soc_after)}" for d in (middling, hard))))
    widths = [max(len(row[i]) for row in rows) for i in range(3)]
    table = [f"{a:<{widths[0]}}  {b:>{widths[1]}}  {c:>{widths[2]}}" for a, b, c in rows]
    return [*table, *filter(None, [_why_hard(middling, hard)])]


def _unserved(risk: Risk) -> list[str]:
    """The table has what was served; where something stood still, that is less than was wanted."""
    lines = []
    if any(day.fridge_off_h >= OFF_H for day in risk.day_balances):
        lines.append("A day with the fridge off takes less than was wanted: it shows what was served, not the need.")
    if risk.day_balances[0].left_out:
        looked_at = risk.nights * min(SAMPLE, risk.trials)
        share = percent(max(risk.day_balances[0].left_out, 0.01))
        lines.append(f"Days with the fridge off for a time are not among these: {share} of {looked_at:,} looked at.")
    wanted, missed = sum(risk.load_ah.values()), risk.means["unserved_ah"]
    if missed >= 0.5:
        lines.append(f"Of {wanted:.0f} Ah that the other loads wanted in a trip {wanted - missed:.0f} Ah were served.")
    return lines


def _why_hard(middling: DayBalance, hard: DayBalance) -> str:
    """What makes the hard days hard, largest part first."""

    def charged(day: DayBalance) -> float:
        return day.dc_dc_wh + day.mains_wh

    parts = [
        (middling.sun_wh - hard.sun_wh, "less sun", "more sun"),
        (hard.fridge_wh - middling.fridge_wh, "more for the fridge", "less for the fridge"),
        (hard.other_loads_wh - middling.other_loads_wh, "more for other loads", "less for other loads"),
        (charged(middling) - charged(hard), "less charged otherwise", "more charged otherwise"),
    ]
    causes = [
        f"{abs(wh):.0f} Wh {more if wh > 0 else less}"
        for wh, more, less in sorted(parts, key=lambda p: -p[0])
        if abs(wh) >= 1
    ]
    if not causes:
        return ""
    said = ", ".join(causes)
    return f"Hard days (the tenth that leaves most to the battery) have {said} than middling ones (the middle tenth)."


def _difference(risk: Risk, difference: FailingDifference) -> str:
    """Weather with its hours and figures, what is drawn in words, not by its path."""
    of_weather = difference.what.startswith(("sun from", "outdoor air from"))
    return format_failing_difference(difference) if of_weather else plain_difference(risk, difference)


@format_report.register(FailingDifference)
def format_failing_difference(result: FailingDifference) -> str:
    """One quantity of the failing trials beside that of the others."""
    unit = f" {result.unit}" if result.unit else ""
    return f"{result.what} {result.failing:.3g}{unit} against {result.others:.3g}{unit}"
