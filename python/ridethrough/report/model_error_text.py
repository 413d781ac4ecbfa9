"""The model's own error in a sentence, beside a risk and for a study of several."""

from __future__ import annotations

import math
from collections.abc import Iterable

from ..engine.model_error import NIGHTS, KnownError

WORTH_SAYING = 0.3  # of the whole error: what is smaller hardly moves the range


def format_model_error(
    error: KnownError, risk: float | None, lead: str = "Not in that interval: the model's own error."
) -> str:
    """What the odds of a risk may be off by, with the causes; None: without the range, which stands elsewhere."""
    causes = ", ".join(f"{what} {math.exp(2 * size):.1f}" for what, size in error.parts if size >= 0.02)
    range_text = ""
    if risk is None or 0 < risk < 1:
        range_text = f" up and {error.odds_factor_down:.1f} down" if error.too_low else " either way"
    if risk is not None and 0 < risk < 1:
        low, high = error.around(risk)
        range_text += f", {two_digits(low)} to {two_digits(high)} by this alone"
    longer = f" These are figures of {NIGHTS[-1]} nights: longer trips were not looked at." if error.longer else ""
    return (
        f"{lead} From what is known of it the odds may be off by a factor of "
        f"{error.odds_factor:.1f}{range_text}\n({causes}); whole vans have not been measured.{longer}"
    )


# By words of a cause: how a reader would call it, and what would rid the answer of it.
_PLAINLY = (
    ("volts and capacity", "the battery's volts and capacity", "a capacity test"),
    ("fridge in", "what the fridge draws", "measuring what the fridge draws in a day"),
    ("in place of own normals", "the default climate", "the place's own normals"),
    ("error of the normals", "the climate's own error", ""),
    ("days drawn", "how dull days cluster", ""),
    ("not measured", "years that were not measured", ""),
)


def plain_cause(cause: str) -> str:
    """A cause of the model's own error in an owner's words."""
    return next((plain for words, plain, _ in _PLAINLY if words in cause), cause)


def worth_measuring(error: KnownError) -> tuple[str, str] | None:
    """The largest cause that an owner can do something about, and what; None where there is none to speak of."""
    for cause, size in error.parts:
        remedy = next((measure for words, _, measure in _PLAINLY if words in cause), "")
        if remedy and size >= WORTH_SAYING * error.sd:
            return cause, remedy
    return None


def summarize_model_errors(errors: Iterable[KnownError]) -> str:
    """For texts of several risks."""
    return (
        "Intervals of risks are sampling error alone: the model's own error may put the odds of a risk off by a factor "
        f"of {max(error.odds_factor for error in errors):.1f} (the verdict of simulate tells why)."
    )


def two_digits(share: float) -> str:
    """Two digits of the rarer outcome, in percent."""
    rarer = 100 * min(share, 1 - share)
    return f"{100 * share:.{0 if rarer >= 9.95 else min(max(0, 1 - math.floor(math.log10(max(rarer, 1e-6)))), 8)}f} %"
