"""The model's own error in a sentence, beside a risk and for a study of several."""

from __future__ import annotations

import math
from collections.abc import Iterable

from ..engine.error_causes import GROUPS
from ..engine.model_error import NIGHTS, KnownError

MEASURES = 2  # told
TOO_RARE = "Too rare to size: general figures."
WORTH_SAYING = 0.3  # of the whole error: what is smaller hardly moves the range


def format_model_error(
    error: KnownError, risk: float | None, lead: str = "Not in that interval: the model's own error."
) -> str:
    """What the odds of a risk may be off by, with the causes; None: without the range, which stands elsewhere."""
    causes = ", ".join(f"{what} {math.exp(2 * size):.1f}" for what, size in error.parts if size >= 0.02)
    range_text = ""
    if risk is None or 0 < risk < 1:
        uneven = f"{error.odds_factor:.1f}" != f"{error.odds_factor_down:.1f}"
        range_text = f" up and {error.odds_factor_down:.1f} down" if uneven else " either way"
    if risk is not None and 0 < risk < 1:
        low, high = error.around(risk)
        range_text += f", {two_digits(low)} to {two_digits(high)} by this alone"
    longer = f" These are figures of {NIGHTS[-1]} nights: longer trips were not looked at." if error.longer else ""
    return (
        f"{lead} From what is known of it the odds may be off by a factor of "
        f"{error.odds_factor:.1f}{range_text}\n({causes}); {_played(error)}whole vans have not been measured.{longer}"
    )


def _played(error: KnownError) -> str:
    """Whose figures they are."""
    if not error.effects:
        return "figures of vans in general; "
    return f"from {error.failures:,} failures in {error.trials:,} trials with all causes drawn at once; "


# By words of a cause that is not in the table: how a reader would call it, and what would rid the answer of it.
_PLAINLY = (
    ("in place of own normals", "the default climate", GROUPS["normals"].measure),
    ("error of the normals", GROUPS["normals"].words, ""),
    ("days drawn", "how dull days cluster", ""),
    ("not measured", "years that were not measured", ""),
    *((group.words, group.words, group.measure) for group in GROUPS.values()),
)


def plain_cause(cause: str) -> str:
    """A cause of the model's own error in an owner's words."""
    return next((plain for words, plain, _ in _PLAINLY if words in cause), cause)


def worth_measuring(error: KnownError) -> list[tuple[str, str]]:
    """The two largest causes that an owner can do something about, as far as they matter, and what."""
    found = []
    for cause, size in error.parts:
        remedy = next((measure for words, _, measure in _PLAINLY if words in cause), "")
        if remedy and size >= WORTH_SAYING * error.sd:
            found.append((cause, remedy))
    return found[:MEASURES]


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
