"""The verdict in words: the answer first, then when, why and the day's balance, then the caution."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np

import ridethrough._core as _core

from . import chances, described, medicine
from .balance import OFF_H, SAMPLE, why_hard
from .cautions import cautions
from .clocks import clock_dict, clock_text
from .known_errors import KnownError, known_error
from .places import place_at, places_of
from .results import DEVICES, FLAGS, RESULTS, TANKS

LEAST_FAILED_STARTS = 0.005  # a trip, on average: fewer make no difference
FEW_EVENTS = 20  # shares of fewer mean nothing
LEVELS = (0.05, 0.10, 0.20)
CAUTION = _core.CAUTION


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def model_error(risk: Any) -> KnownError:
    """What is known of the model's own error in this van on this trip."""
    return model_error_of(risk.van, risk.trip, risk.compiled, risk.cutout.value)


def model_error_of(van: Any, trip: Any, compiled: _core.Compiled, risk: float) -> KnownError:
    return known_error(
        van,
        [place.site for place in places_of(trip)],
        start=trip.start,
        nights=compiled.hours // 24,
        risk=risk,
        waking=(trip.wake_h, trip.bedtime_h),
        replay=bool(compiled.replay_starts),
    )


def format_verdict(risk: Any) -> str:
    nights = f"{risk.nights} night{'s' if risk.nights > 1 else ''}"
    lines = [
        *format_warnings(risk.warnings),
        *chances.cold_lines(risk),
        f"{_core.chance_text(risk.cutout)}: a low-voltage cut-out drops the fridge within {nights}",
        f"({_core.estimate_text(risk.cutout)}).",
        model_error(risk).text(risk.cutout.value),
        *described.describe_trip(risk),
        clock_text(risk.compiled),
    ]
    if not risk.reached:
        lines.append("The interval asked for was not reached with these trials.")
    if risk.compiled.replay_starts:
        lines.append(_replay(risk))
    if risk.trip.stops:
        lines.append(_places(risk))
    lines.append(_nights(risk))
    if risk.cutout.events >= FEW_EVENTS:
        lines.append(_when(risk))
    if risk.common:
        lines.append("Failing trials had: " + "; ".join(str(d) for d in risk.common[:3]) + ".")
    lines += [*_battery(risk), *chances.food_lines(risk), *_water(risk), *_lost_starts(risk)]
    if risk.mains_drawn_wh > 0:
        lines.append(f"Drawn from the mains or a generator: {risk.mains_drawn_wh / 1000:.1f} kWh a trip, on average.")
    lines += medicine.medicine_lines(risk)
    lines += ["", *_balance_table(risk), *_unserved(risk), ""]
    lines += [*cautions(risk.van, risk.trip), CAUTION]
    return "\n".join(lines)


def _battery(risk: Any) -> list[str]:
    low = risk.lowest_charge_quantiles([0.5, 0.05])
    lines = [
        f"Lowest charge: {_percent(low[0])} in the median trip, under {_percent(max(low[1], 0.01))} in 1 of 20. "
        f"Full charge is reached on {risk.means['days_full']:.1f} of {risk.compiled.days} calendar days, on average.",
        *chances.battery_line(risk),
    ]
    frozen = risk.freezing
    if frozen.events:
        lines.append(
            f"{_core.chance_text(frozen)}: the battery gets so empty and so cold that it can freeze, which destroys it "
            f"({_core.estimate_text(frozen)}). Keep it fuller or warmer."
        )
    return lines


def format_warnings(texts: Iterable[str]) -> list[str]:
    """What stands before any number: what is allowed but probably not meant."""
    return [f"Warning: {text}" for text in dict.fromkeys(texts)]


def _replay(risk: Any) -> str:
    starts = risk.compiled.replay_starts
    text = f"Measured days replayed from {starts} start{'s' if starts > 1 else ''}"
    if risk.compiled.starts_over_a_splice:
        text += f" ({risk.compiled.starts_over_a_splice} of them cross a joint between different years)"
    return text + ": the interval says nothing about years that were not measured."


def _places(risk: Any) -> str:
    stays = ", ".join(f"{p.name} {p.nights} night{'s' if p.nights > 1 else ''}" for p in risk.places)
    return f"Stops: {stays}. Clock time is that of the first throughout; the day of a move has the new place's weather."


def _part_of_day(hour: int) -> str:
    return ("in the small hours", "in the morning", "in the afternoon", "in the evening")[hour // 6]


def _nights(risk: Any) -> str:
    """How many nights hold at the usual levels of risk, by the interval's upper end."""
    said = ", ".join(f"{risk.nights_at(level)} at {_percent(level)}" for level in LEVELS)
    return (
        f"Nights (24 h each, from the start) for which the interval's upper end stays within a risk, of {risk.nights}: "
        f"{said} ({risk.trials:,} trials)."
    )


def _when(risk: Any) -> str:
    table = risk.cutouts_by_night()
    by_night, by_part = table.sum(axis=1), table.sum(axis=0).reshape(4, 6).sum(axis=1)
    total = table.sum()
    night, part = int(by_night.argmax()), int(by_part.argmax())
    hour = 6 * part + int(table.sum(axis=0)[6 * part : 6 * part + 6].argmax())
    which = f"night {night + 1}" if night < risk.nights else "the last day"
    if risk.trip.stops:
        which += f" at {place_at(risk.places, night + 1).name}"
    text = (
        f"Of {total:,} first cut-outs {_percent(by_night[night] / total)} come on {which}; "
        f"{_percent(by_part[part] / total)} come {_part_of_day(6 * part)}, most of these around {hour}:00."
    )
    drops = {name: n for name, n in risk.devices.items() if name != DEVICES[0] and n}
    if len(drops) > 1:
        text += " By " + ", ".join(f"{name} {_percent(n / total)}" for name, n in drops.items()) + "."
    off, failing = risk.means["hours_off"], risk.cutout.value
    text += f" In the failing trips the fridge is off for {off / failing:.0f} h on average."
    if drops.get(DEVICES[3], 0) > 0.05 * total:
        text += " A battery cut-off takes everything with it: lights, heater and alarms too."
    return text


def _water(risk: Any) -> list[str]:
    lines = []
    for key, estimate in risk.tank_chances().items():
        column = TANKS[key]
        what = RESULTS[column].label.capitalize()
        text = f"{what} in {_percent(estimate.value)} of the trips ({_core.estimate_text(estimate)})"
        if estimate.events:
            night = 1 + int(risk.nights_of[column][1:].argmax())
            text += f", most often before night {night}" if night <= risk.nights else ", most often on the last day"
        lines.append(text + ".")
    return lines


def _lost_starts(risk: Any) -> list[str]:
    failed = risk.means.get("failed_starts", 0.0)
    if failed < LEAST_FAILED_STARTS:
        return []
    return [
        f"Starts of the heater that failed for want of voltage: {failed:.2g} a trip, on average. What they would have "
        "taken is not among the loads, so a heater that stays cold makes these odds look better."
    ]


def _balance_table(risk: Any) -> list[str]:
    middling, hard = risk.days
    rows: list[tuple[str, ...]] = [("Energy, Wh a day", middling.title, hard.title)]
    for label, name, sign in (
        ("solar", "solar", 1),
        ("driving", "dc_dc", 1),
        ("mains", "mains", 1),
        ("fridge", "fridge", -1),
        ("other loads", "other_loads", -1),
        ("cables", "cables", -1),
        ("from the battery", "battery", 1),
        ("sun curtailed", "curtailed", 1),
        ("of it, battery cold", "curtailed_cold", 1),
    ):
        values = [sign * getattr(day, name) for day in (middling, hard)]
        if name in ("dc_dc", "mains", "curtailed_cold") and not any(values):
            continue
        rows.append((label, *(f"{v:+.0f}" if abs(v) >= 0.5 else "0" for v in values)))
    if any(day.fridge_off_h >= OFF_H for day in (middling, hard)):
        rows.append(("hours with the fridge off", *(f"{day.fridge_off_h:.1f}" for day in (middling, hard))))
    rows.append(("charge", *(f"{100 * d.charge_before:.0f} to {_percent(d.charge_after)}" for d in (middling, hard))))
    widths = [max(len(row[i]) for row in rows) for i in range(3)]
    table = [f"{a:<{widths[0]}}  {b:>{widths[1]}}  {c:>{widths[2]}}" for a, b, c in rows]
    return [*table, *filter(None, [why_hard(middling, hard)])]


def _unserved(risk: Any) -> list[str]:
    """The table has what was served; where something stood still, that is less than was wanted."""
    lines = []
    if any(day.fridge_off_h >= OFF_H for day in risk.days):
        lines.append("A day with the fridge off takes less than was wanted: it shows what was served, not the need.")
    if risk.days[0].left_out:
        looked_at = risk.nights * min(SAMPLE, risk.trials)
        share = _percent(max(risk.days[0].left_out, 0.01))
        lines.append(f"Days with the fridge off for a time are not among these: {share} of {looked_at:,} looked at.")
    wanted, missed = sum(risk.load_ah.values()), risk.means["unserved_ah"]
    if missed >= 0.5:
        lines.append(f"Of {wanted:.0f} Ah that the other loads wanted in a trip {wanted - missed:.0f} Ah were served.")
    return lines


def _estimate(estimate: Any) -> dict[str, Any]:
    return {
        "value": estimate.value,
        "low": estimate.low,
        "high": estimate.high,
        "confidence": estimate.confidence,
        "events": estimate.events,
        "trials": estimate.trials,
    }


def _warm_if_failed(risk: Any) -> dict[str, Any] | None:
    if not risk.cutout.events:
        return None
    mean, tenth = risk.warm_h_if_failed()
    return {"mean": mean, "exceeded_by_1_in_10": tenth, "trials": risk.cutout.events}


def risk_to_dict(risk: Any) -> dict[str, Any]:
    from . import __version__  # the package is still being imported when this module is

    middling, hard = risk.days
    hours = np.repeat(np.arange(risk.hours), risk.cutouts_by_hour)
    return {
        "version": __version__,
        "cutout": _estimate(risk.cutout),
        "interval_covers": "sampling error alone",
        "model_error": model_error(risk).as_dict(risk.cutout.value),
        "seed": risk.seed,
        "precision": risk.precision,
        "nights": risk.nights,
        "clock": clock_dict(risk.compiled),
        "places": [{"name": p.name, "first_night": p.first_night, "nights": p.nights} for p in risk.places],
        "medicine": medicine.medicine_to_dict(risk),
        "survival_by_night": [_estimate(e) for e in risk.survival()],
        "median_first_cutout_h": float(np.median(hours)) if len(hours) else None,
        "first_cutouts_by_device": {k: v for k, v in risk.devices.items() if k != DEVICES[0]},
        "lowest_charge": dict(
            zip(("q05", "q50", "q95"), risk.lowest_charge_quantiles([0.05, 0.5, 0.95]).tolist(), strict=True)
        ),
        "means": {k: v for k, v in risk.means.items() if math.isfinite(v) and k not in FLAGS},
        **{name: _estimate(risk.flag_chance(name)) for name in FLAGS},
        "chances": {name: _estimate(e) for name, e in risk.chances.items()},
        "hours_above_5c_if_failed": _warm_if_failed(risk),
        "mains_drawn_wh": risk.mains_drawn_wh,
        "load_ah": risk.load_ah,
        **{key: _estimate(e) for key, e in risk.tank_chances().items()},
        "failing_trials_had": [vars(d) for d in risk.common],
        "middling_days_wh": vars(middling),
        "hard_days_wh": vars(hard),
        "replayed_starts": risk.compiled.replay_starts or None,
        "warnings": list(risk.warnings),
        "caution": " ".join([*cautions(risk.van, risk.trip), CAUTION]),
    }
