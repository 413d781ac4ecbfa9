"""The report of how monthly risks compare with a hindcast."""

from __future__ import annotations

from ..model.cautions import CAUTION
from ..studies.hindcast_scores import MARGINAL, HindcastScores
from .registry import format_report


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
