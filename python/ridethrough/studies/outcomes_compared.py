"""What two vans are compared in: each outcome's unit, label and digits."""

from __future__ import annotations

from ..model.outputs import RESULTS

_SHOWN = {"d": ("days", 1), "1": ("a trip", 2), "Wh": ("Wh", 0)}  # unit as reports name it, digits


def _of_columns(*names: str) -> dict[str, tuple[str, str, int]]:
    """Outcomes that are the mean of a column."""
    unit_and_digits = {name: _SHOWN.get(RESULTS[name].unit, (RESULTS[name].unit, 1)) for name in names}
    return {name: (unit, RESULTS[name].label, digits) for name, (unit, digits) in unit_and_digits.items()}


# Outcome: unit, label, digits.
OUTCOMES: dict[str, tuple[str, str, int]] = {
    "risk": ("points", "risk of a cut-out", 1),
    "fridge_off_over_1h": ("points", "chance of the fridge off for over 1 h in a row", 1),
    **_of_columns("hours_off", "days_full", "hours_below_half"),
    "hours_below_20": ("h", "hours below 20 % charge", 1),
    "warning_h": ("h", "warning between alarm and off", 1),
    **_of_columns("curtailed_wh", "failed_starts", "hours_above_5c"),
    "food_warm_2h": ("points", "chance of food above 5 degC for over 2 h in a row", 1),
    "food_warm_4h": ("points", "chance of food above 5 degC for over 4 h in a row", 1),
    "food_frozen": ("points", "chance of the inside of the fridge below 0 degC for over 1 h", 1),
    "cold_cabin": ("points", "chance of over 1 h below 10 degC in the cabin", 1),
    "cabin_frozen": ("points", "chance of the cabin below 0 degC", 1),
    "below_half": ("points", "chance of less than half charge", 1),
}
SHARES = frozenset(name for name, (unit, _, _) in OUTCOMES.items() if unit == "points")  # 0 or 1 in each trial


def unit_and_label(name: str) -> tuple[str, str]:
    """As labelled data have them: shares of 1, not points."""
    unit, label, _ = OUTCOMES[name]
    return ("1" if name in SHARES else RESULTS[name].unit if name in RESULTS else unit), label
