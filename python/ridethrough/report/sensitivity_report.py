"""The report of a ranking of inputs, and the advice that follows from it."""

from __future__ import annotations

from ..model.cautions import CAUTION
from ..studies.sensitivity_indices import METHODS
from ..studies.sensitivity_ranking import Sensitivity
from .registry import format_report

MOST_NAMES = 3  # that are not told apart from the first, in a sentence


@format_report.register(Sensitivity)
def format_sensitivity(result: Sensitivity) -> str:
    """Inputs by rank, and what follows."""
    d = result.dataset
    key, other = METHODS[str(d.attrs["method"])]
    width = max(map(len, result.ranking))
    lines = [format_advice(result), "", f"{'input':<{width}}  {key:>8}  {'95 % interval':>16}  {other:>11}"]
    for i, name in enumerate(result.ranking):
        value, low, high = result.interval(key, i)
        interval = f"{low:.3f} to {high:.3f}"
        lines.append(f"{name:<{width}}  {value:>8.3f}  {interval:>16}  {float(d[other][i]):>11.3f}")
    lines += [f"{column}: {meaning_of(result, column)}." for column in (key, other)]
    lines.append(
        f"Of {d.attrs['outcome']}, at {d.attrs['points']:,} points with 2 x {d.attrs['trials']:,} trials each; "
        f"noise of the trials was {100 * d.attrs['noise_share']:.0f} % of the variance"
        + (" and has been taken off." if key == "total" else ".")
    )
    return "\n".join([*lines, CAUTION])


def format_advice(result: Sensitivity) -> str:
    """One sentence or two: go and measure this."""
    if not (names := result.measure_first):
        return "No difference between inputs shown at this many points and trials: none stands out of the noise."
    text = f"Matters most of what is not known: {names[0]}."
    if others := names[1:]:
        shown, more = ", ".join(others[:MOST_NAMES]), len(others) - MOST_NAMES
        text += f" Not told apart from it at this many points: {shown}{f' and {more} more' if more > 0 else ''}."
    if not (measurable := result.measurable):
        return f"{text} None of these can be measured on a van: they are habits, weather or the model's own."
    best = result.dataset.sel(input=measurable[0])
    unit = f" {best.unit.item()}" if best.unit.item() else ""
    which = "it" if measurable[0] == names[0] else measurable[0]
    return f"{text} Go and measure {which}: {best.meaning.item()}. So far it is {best.spread.item()}{unit}."


def meaning_of(result: Sensitivity, column: str) -> str:
    """What a column says, with its unit."""
    about = result.dataset[column].attrs
    return str(about["long_name"]) + (f", {about['units']}" if about["units"] != "1" else "")
