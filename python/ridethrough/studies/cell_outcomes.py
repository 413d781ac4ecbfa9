"""The outcomes that a study keeps of each cell: numbers, or a few numbers along a named axis."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..engine.event_chances import CHANCES
from ..engine.risk import Risk
from ..model.errors import bad_input
from ..model.outputs import CUTOUT_CAUSES, FLAGS, RESULTS, TANKS

SHARES = (0.05, 0.25, 0.5, 0.75, 0.95)
CHANCE_LABELS = {
    **{name: RESULTS[result].label for name, result in TANKS.items()},
    **{name: RESULTS[name].label for name in FLAGS},
    **{name: chance.description for name, chance in CHANCES.items()},
}
AXES: dict[str, tuple[object, ...]] = {
    "share": SHARES,
    "cutout_cause": CUTOUT_CAUSES[1:],
}  # and "night", of the longest trip

DIFFERENCE = ("risk_difference", "risk_difference_low", "risk_difference_high")  # of a sweep with a base
COUNTS = ("trials", "cutouts", "cutouts_by_cause")  # whole numbers, once all cells are run
Outcomes = dict[str, float | NDArray[np.float64]]

_NAMED: dict[str, tuple[str, str, str | None]] = {  # unit, what it is, axis
    "trials": ("1", "trials", None),
    "cutouts": ("1", "trials in which a low-voltage cut-out dropped the fridge", None),
    "risk": ("1", "probability that a low-voltage cut-out drops the fridge before the trip ends", None),
    "risk_low": ("1", "lower end of its 95 % interval, sampling error alone", None),
    "risk_high": ("1", "upper end of its 95 % interval, sampling error alone", None),
    "risk_difference": ("1", "risk less that of the base, on the same trials", None),
    "risk_difference_low": ("1", "lower end of its paired 95 % interval", None),
    "risk_difference_high": ("1", "upper end of its paired 95 % interval", None),
    "risk_by_night": ("1", "the same by the end of each night (24 h each, from the start)", "night"),
    "risk_by_night_low": ("1", "lower end of its 95 % interval, sampling error alone", "night"),
    "risk_by_night_high": ("1", "upper end of its 95 % interval, sampling error alone", "night"),
    "first_cutout_h": ("h", "time by which this share of all trips has had a cut-out; inf: fewer ever have", "share"),
    "min_soc_quantiles": ("1", "quantiles of the lowest charge of a trip, share of full, to within 0.0025", "share"),
    "hours_above_5c_if_failed": ("h", "inside of the fridge above 5 degC, mean of the trials with a cut-out", None),
    "mains_drawn_wh": ("Wh", "energy that the mains charger draws, mean of a trip", None),
    "cutouts_by_cause": ("1", "trials by what dropped the fridge first", "cutout_cause"),
}


def outcomes(risk: Risk) -> Outcomes:
    """All outcomes of a run that kept its columns."""
    estimate, n = risk.cutout, risk.trials
    held = risk.survival()
    first = np.sort(risk.columns["first_cutout_h"])
    found: Outcomes = {
        "trials": float(n),
        "cutouts": float(estimate.events or 0),
        "risk": estimate.value,
        "risk_low": estimate.low,
        "risk_high": estimate.high,
        "risk_by_night": np.array([1 - e.value for e in held]),
        "risk_by_night_low": np.array([1 - e.high for e in held]),
        "risk_by_night_high": np.array([1 - e.low for e in held]),
        "first_cutout_h": np.array([float(first[int(np.ceil(share * n)) - 1]) for share in SHARES]),
        "min_soc_quantiles": risk.min_soc_quantiles(SHARES),
        "cutouts_by_cause": np.array([float(risk.cutout_causes[name]) for name in CUTOUT_CAUSES[1:]]),
    }
    flags = {name: risk.flag_chance(name) for name in FLAGS}
    for name, estimate in {**flags, **risk.chances, **risk.tank_chances()}.items():
        found |= {name: estimate.value, f"{name}_low": estimate.low, f"{name}_high": estimate.high}
    found["hours_above_5c_if_failed"] = risk.warm_h_if_failed()[0]
    amounts = {name: mean for name, mean in risk.means.items() if name not in found}
    return found | amounts | {"mains_drawn_wh": risk.mains_drawn_wh}


def axis_of(name: str) -> str | None:
    """The axis that an outcome's numbers go along, if any."""
    return _NAMED[name][2] if name in _NAMED else None


def attributes(name: str) -> dict[str, str]:
    """Unit and meaning of an outcome, as an array's attributes."""
    unit, text, _ = _NAMED.get(name, ("", "", None))
    if name in _NAMED:
        return {"units": unit, "long_name": text}
    for start, what in CHANCE_LABELS.items():
        for end, part in (("", ""), ("_low", ", lower end of its 95 % interval"), ("_high", ", upper end of it")):
            if name == start + end:
                return {"units": "1", "long_name": f"chance that {what}{part}"}
    result = RESULTS[name]
    return {"units": result.unit, "long_name": f"{result.label}, mean of a trip", "comment": result.doc}


class Layout:
    """Where each outcome stands in a cell's row of numbers."""

    def __init__(self, names: list[str], nights: int) -> None:
        self.axes: dict[str, tuple[object, ...]] = {**AXES, "night": tuple(range(1, nights + 1))}
        self.names = names
        sizes = [self.length(axis_of(name)) for name in names]
        ends = np.cumsum(sizes).tolist()
        self.places = {name: slice(e - s, e) for name, s, e in zip(names, sizes, ends, strict=True)}
        self.width: int = ends[-1]

    def length(self, axis: str | None) -> int:
        """How many numbers an outcome along this axis has."""
        return len(self.axes[axis]) if axis else 1

    def row(self, found: Mapping[str, Any]) -> NDArray[np.float64]:
        """One cell's numbers; NaN for what its van has not (a tank, say) and for nights that its trip has not."""
        extra = set(found) - set(self.names)
        if extra:
            raise bad_input(
                f"outcomes {sorted(extra)} come up only in a combination of values", reason="sweep it apart"
            )
        row = np.full(self.width, np.nan)
        for name, values in found.items():
            numbers = np.atleast_1d(values)
            start = self.places[name].start
            row[start : start + len(numbers)] = numbers
        return row
