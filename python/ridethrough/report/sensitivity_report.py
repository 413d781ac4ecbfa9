"""The report of a ranking of inputs, and the advice that follows from it."""

from __future__ import annotations

from ..model.cautions import CAUTION
from ..studies.sensitivity_indices import METHODS
from ..studies.sensitivity_ranking import Sensitivity
from .registry import format_report


@format_report.register(Sensitivity)
def format_sensitivity(result: Sensitivity) -> str:
    """Inputs by rank, and what follows."""
    d = result.dataset
    key, other = METHODS[str(d.attrs["method"])]
    width = max(map(len, result.ranking))
    lines = [format_advice(result), "", f"{'input':<{width}}  {key:>8}  {'95 % interval':>16}  {other:>11}"]
    for i, name in enumerate(result.ranking):
        value, half = float(d[key][i]), float(d[f"{key}_half_width"][i])
        interval = f"{value - half:.3f} to {value + half:.3f}"
        lines.append(f"{name:<{width}}  {value:>8.3f}  {interval:>16}  {float(d[other][i]):>11.3f}")
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
    best = result.dataset.sel(input=names[0])
    text = (
        f"Least sure of those that matter most: {names[0]}. Go and measure it: {best.meaning.item()}. "
        f"So far it is {best.spread.item()}{f' {best.unit.item()}' if best.unit.item() else ''}."
    )
    if len(names) > 1:
        text += f" Not told apart from it at this many points: {', '.join(names[1:])}."
    return text
