"""Differences between the failing trials of a run and the others."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model.clocks import clock_hours
from .labelled_data import Columns, make_dataset
from .result import Result

if TYPE_CHECKING:
    import xarray

    from .risk import Risk


SAMPLE = 400  # trials compared, at most, of the failing ones and of the others
SURE_SIGMA = 4.5
WORTH_SAYING = 0.35  # difference of means in standard deviations


@dataclass(frozen=True, eq=False)
class FailingDifference(Result):
    """One quantity that differs between failing trials and the others.

    Attributes
    ----------
    what, unit : str
        The quantity and its unit.
    failing, others : float
        Its means.
    strength : float
        Their difference over the standard deviation.

    Examples
    --------
    >>> found = rt.simulate(van, trip, trials=500, seed=1).failing_differences
    >>> all(abs(one.strength) > 0 for one in found)
    True
    """

    what: str
    unit: str
    failing: float
    others: float
    strength: float  # difference of means in standard deviations of all

    def to_xarray(self) -> xarray.Dataset:
        """One row: the means of the failing trials and of the others."""
        unit = self.unit or "1"
        cells: Columns = {
            "failing": (unit, "mean of the failing trials", [self.failing]),
            "others": (unit, "mean of the other trials", [self.others]),
            "strength": ("1", "difference in standard deviations", [self.strength]),
        }
        return make_dataset({"quantity": [self.what]}, cells)


def compare_failing_trials(risk: Risk) -> list[FailingDifference]:
    """Differences of drawn quantities and of the weather, strongest first; empty where trials of one kind are rare."""
    if "cutout_cause" not in risk.columns:
        return []
    failed = np.flatnonzero(risk.columns["cutout_cause"] > 0)[:SAMPLE]
    held = np.flatnonzero(risk.columns["cutout_cause"] == 0)[:SAMPLE]
    if min(len(failed), len(held)) < 20:
        return []
    chosen = np.concatenate([failed, held])
    traced = _core.trace(risk.compiled, chosen.tolist(), risk.seed, risk.precision, ["ghi_w_m2", "air_c"])
    is_failed = np.arange(len(chosen)) < len(failed)
    found = []
    paths = risk.compiled.parameter_paths
    for i in risk.compiled.spread_parameters:
        found.append(_difference(paths[i], _unit(risk, paths[i]), traced["drawn"][:, i], is_failed))
    found.append(_weather(risk, traced["ghi_w_m2"], "kWh/m2 a day", 24 / 1000, "sun from {} to {}", is_failed))
    found.append(_weather(risk, traced["air_c"], "degC", 1.0, "outdoor air from {} to {}", is_failed))
    # Many quantities are looked at: a difference also has to stand well clear of its own sampling error.
    least = max(WORTH_SAYING, SURE_SIGMA * (1 / len(failed) + 1 / len(held)) ** 0.5)
    strong = [d for d in found if abs(d.strength) >= least]
    return sorted(strong, key=lambda d: -abs(d.strength))


def _difference(what: str, unit: str, values: NDArray[np.float64], is_failed: NDArray[np.bool_]) -> FailingDifference:
    failing, others = values[is_failed], values[~is_failed]
    sd = float(values.std())
    gap = float(failing.mean() - others.mean())
    return FailingDifference(what, unit, float(failing.mean()), float(others.mean()), gap / sd if sd > 0 else 0.0)


def _weather(
    risk: Risk, hourly: NDArray[np.float64], unit: str, factor: float, label: str, is_failed: NDArray[np.bool_]
) -> FailingDifference:
    """The two days in a row, of 24 h each from the start, whose mean differs most."""
    daily = hourly.reshape(len(hourly), risk.nights, 24).mean(axis=2) * factor
    spans = [(d, min(d + 2, risk.nights)) for d in range(max(1, risk.nights - 1))]
    names = [label.format(_on_the_clock(risk, 24 * a), _on_the_clock(risk, 24 * b)) for a, b in spans]
    means = [daily[:, a:b].mean(axis=1) for a, b in spans]
    found = [_difference(name, unit, mean, is_failed) for name, mean in zip(names, means, strict=True)]
    return max(found, key=lambda d: abs(d.strength))


def _on_the_clock(risk: Risk, hour: int) -> str:
    """Date and time on the trip's clock, some hours after the start."""
    days, minutes = divmod(round(60 * float(clock_hours(risk.compiled, hour))), 24 * 60)
    day = date.fromisoformat(risk.compiled.start_date) + timedelta(days=days)
    return f"{day} {minutes // 60:02d}:{minutes % 60:02d}"


def _unit(risk: Risk, path: str) -> str:
    root = risk.trip if path.startswith("trip.") else risk.van
    try:
        owner, _, name = path.removeprefix("trip.").rpartition(".")
        part = root.get(owner) if owner else root
        return str(part.schema.field(name).unit)
    except _core.InputError:
        return ""
