"""Reports of a hindcast, of the model's own risk by month, and of how the two compare."""

from __future__ import annotations

import numpy as np

import ridethrough._core as _core

from ..model.cautions import CAUTION
from ..studies.hindcast_results import Hindcast, MonthlyRisk
from ..studies.hindcast_scores import MARGINAL, HindcastScores
from .registry import format_report

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def hindcast_rows(result: Hindcast) -> list[tuple[str, str]]:
    """Month, and frequency with its interval and start days."""
    rows = []
    for month, row in result.by_month().iterrows():
        ends = "no interval from one year"
        if np.isfinite(row["low"]):
            ends = f"{100 * row['low']:.1f}-{100 * row['high']:.1f} %, whole years"
        days = f"{row['start_days']:.0f} start days of {result.trials} trial{'s' if result.trials > 1 else ''}"
        rows.append((MONTHS[int(str(month)) - 1], f"{100 * row['frequency']:.1f} % ({ends}; {days})"))
    return rows


def hindcast_title(result: Hindcast) -> str:
    """What was played, and on which days."""
    days = result.frame.index
    if not len(days):
        return "No start day was finished: there is no frequency of a cut-out"
    return (
        f"{result.trip.nights} nights from each of {len(days):,} measured start days, {str(days[0])[:10]} to "
        f"{str(days[-1])[:10]} ({result.days_left_out:,} left out): how often a cut-out drops the fridge"
    )


@format_report.register(Hindcast)
def format_hindcast(result: Hindcast) -> str:
    """The frequency by month."""
    return "\n".join([f"{hindcast_title(result)}", *(f"  {a}  {b}" for a, b in hindcast_rows(result)), CAUTION])


def monthly_title(result: MonthlyRisk) -> str:
    """What was played: the chance of each day of a month stands on few trials, that of the month on all of them."""
    nights, trials = result.trip.nights, result.trials
    return (
        f"Risk of a cut-out within {nights} night{'s' if nights != 1 else ''}, by month of the start: trips from each "
        f"day of the year, {trials:,} trial{'s' if trials > 1 else ''} a day"
    )


def monthly_rows(result: MonthlyRisk) -> list[tuple[str, str]]:
    """Month, and risk with its interval and trials."""
    rows = []
    for month, row in result.frame.iterrows():
        trials = int(row["trials"])
        risk = _core.wilson(round(row["risk"] * trials), trials)
        rows.append((MONTHS[int(str(month)) - 1], _core.estimate_text(risk)))
    return rows


@format_report.register(MonthlyRisk)
def format_monthly_risk(result: MonthlyRisk) -> str:
    """The risk by month."""
    return "\n".join([monthly_title(result), *(f"  {a}  {b}" for a, b in monthly_rows(result)), CAUTION])


@format_report.register(HindcastScores)
def format_hindcast_scores(result: HindcastScores) -> str:
    """The summary of all vans, in points of probability."""
    s, days = result.summary.loc["all"], int(result.months["start_days"].sum())
    vans, years = result.months["van"].nunique(), int(result.reliability["years"].iloc[0])
    head = f"Hindcast of {vans} van{'s' if vans > 1 else ''} over {years} years, {days:,} start days of vans"
    within = f"{100 * MARGINAL[0]:g} to {100 * MARGINAL[1]:g} %"
    if not s["van_months"]:
        return f"{head}: no van-month failed in {within}.\n{CAUTION}"
    lines = [
        f"{head}; {s['van_months']:.0f} van-months that failed in {within}:",
        f"mean difference {100 * s['mean_abs']:.1f} points, of a perfect model {100 * s['floor']:.1f}, excess over "
        f"it {100 * s['excess']:.1f}; bias {100 * s['bias']:+.1f} (standard error {100 * s['bias_se']:.1f}).",
    ]
    for name, against in (
        ("climatology", "the month's own frequency in other years"),
        ("worksheet", "a worksheet"),
    ):
        if f"skill_{name}" in s:
            value, low, high = (s[f"skill_{name}{end}"] for end in ("", "_low", "_high"))
            lines.append(f"Brier skill on {against}: {value:.4f} ({low:.4f} to {high:.4f}).")
    return "\n".join([*lines, CAUTION])
