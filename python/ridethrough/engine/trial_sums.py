"""Counts, sums and columns accumulated over consecutive trials."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model.outputs import AVERAGED, CUTOUT_CAUSES, MEDICINE, NIGHTS
from . import event_chances

LOWEST_BINS = 400  # bins of the lowest charge over 0 to 1


class Summary:
    """Counts and means of the trials so far, and the columns and hourly time series that are kept."""

    def __init__(self, compiled: _core.Compiled, *, keep_columns: bool, time_series: Sequence[str] = ()) -> None:
        self.keeps_columns = keep_columns
        self.trials = 0
        self.events = 0
        self.hours: int = compiled.hours
        self.columns: dict[str, NDArray[Any]] = {}
        self.cutout_causes = np.zeros(len(CUTOUT_CAUSES), dtype=np.int64)
        self.cutouts_by_hour = np.zeros(compiled.hours, dtype=np.int64)  # first cut-outs, by hour since the start
        self.charge_histogram: NDArray[Any] | None = None
        self.lowest_histogram = np.zeros(LOWEST_BINS, dtype=np.int64)
        self.nights: dict[str, NDArray[np.int64]] = {}  # trials by the night of these results
        # Failing trials by whole hours above 5 degC.
        self.warm_hours_of_failed = np.zeros(compiled.hours + 1, dtype=np.int64)
        self.charge_balance_error = 0.0
        self.energy_balance_error = 0.0
        self.event_counts: dict[str, int] = {}  # trials with any hour out of range, of the medicine's columns
        self.time_series: dict[str, NDArray[np.float64]] = {name: np.empty((0, compiled.hours)) for name in time_series}
        self._series_parts: dict[str, list[NDArray[np.float64]]] = {name: [] for name in time_series}
        self._parts: list[dict[str, NDArray[Any]]] = []
        self._sums: dict[str, float] = {}
        self._load_sums = np.zeros(len(compiled.load_names))

    def add(self, part: dict[str, Any]) -> None:
        """Append the outcome of ``_core.simulate`` over the next trials."""
        columns, n = part["columns"], part["trials"]
        cutout_cause = columns["cutout_cause"]
        self.trials += n
        self.events += int(np.count_nonzero(cutout_cause))
        self.cutout_causes += np.bincount(cutout_cause, minlength=len(CUTOUT_CAUSES))
        hours = np.minimum(columns["first_cutout_h"][cutout_cause > 0].astype(np.int64), self.hours - 1)
        self.cutouts_by_hour += np.bincount(hours, minlength=self.hours)
        bins = np.clip(columns["min_soc"] * LOWEST_BINS, 0, LOWEST_BINS - 1).astype(np.int64)
        self.lowest_histogram += np.bincount(bins, minlength=LOWEST_BINS)
        histogram = part["charge_histogram"].astype(np.int64)
        self.charge_histogram = histogram if self.charge_histogram is None else self.charge_histogram + histogram
        self.charge_balance_error = max(self.charge_balance_error, part["worst_charge_miss"])
        self.energy_balance_error = max(self.energy_balance_error, part["worst_energy_miss"])
        self._load_sums += np.asarray(part["load_ah"]) * n
        for name, values in columns.items():
            if name in NIGHTS:
                self.nights[name] = self.nights.get(name, 0) + np.bincount(values, minlength=self.hours // 24 + 1)
            elif name in AVERAGED:
                self._sums[name] = self._sums.get(name, 0.0) + float(values.sum(dtype=np.float64))
        _add_counts(self.event_counts, event_chances.count_events(columns))
        warm = np.clip(columns["hours_above_5c"][cutout_cause > 0], 0, self.hours).astype(np.int64)
        self.warm_hours_of_failed += np.bincount(warm, minlength=self.hours + 1)
        self._sums["warm_h_of_failed"] = self._sums.get("warm_h_of_failed", 0.0) + float(
            columns["hours_above_5c"][cutout_cause > 0].sum(dtype=np.float64)
        )
        for name in MEDICINE:
            if name in columns:
                some = int(np.count_nonzero(columns[name] > 0))
                self.event_counts[name] = self.event_counts.get(name, 0) + some
        if self.keeps_columns:
            self._parts.append(columns)
        for name, parts in self._series_parts.items():
            parts.append(part["time_series"][name])

    def merge(self, later: Summary) -> None:
        """Append the outcome of the next trials, gathered elsewhere."""
        self.trials += later.trials
        self.events += later.events
        self.cutout_causes += later.cutout_causes
        self.cutouts_by_hour += later.cutouts_by_hour
        self.lowest_histogram += later.lowest_histogram
        self.warm_hours_of_failed += later.warm_hours_of_failed
        histogram = later.charge_histogram
        self.charge_histogram = histogram if self.charge_histogram is None else self.charge_histogram + histogram
        self.charge_balance_error = max(self.charge_balance_error, later.charge_balance_error)
        self.energy_balance_error = max(self.energy_balance_error, later.energy_balance_error)
        self._load_sums += later._load_sums
        _add_counts(self.nights, later.nights)
        _add_counts(self.event_counts, later.event_counts)
        _add_counts(self._sums, later._sums)
        self._parts += later._parts
        for name, parts in self._series_parts.items():
            parts += later._series_parts[name]

    def finish(self) -> Summary:
        """Join the columns and time series of all parts."""
        if len(self._parts) == 1:
            self.columns = self._parts[0]
        elif self._parts:
            self.columns = {name: np.concatenate([p[name] for p in self._parts]) for name in self._parts[0]}
        for values in self.columns.values():
            values.flags.writeable = False
        self._parts = []
        for name, parts in self._series_parts.items():
            self.time_series[name] = parts[0] if len(parts) == 1 else np.concatenate(parts)
            parts.clear()
        return self

    def take_time_series(self) -> dict[str, NDArray[np.float64]]:
        """The joined hourly time series, which are large, and which this then no longer holds."""
        taken, self.time_series = self.time_series, {}
        return taken

    @property
    def means(self) -> dict[str, float]:
        """Mean per trial of every column that is an amount."""
        return {name: total / self.trials for name, total in self._sums.items() if name != "warm_h_of_failed"}

    def warm_h_if_failed(self, share: float) -> tuple[float, float]:
        """Hours above 5 degC in trials with a cut-out: the mean, and the whole hours that a share of them exceeds."""
        if not self.events:
            return float("nan"), float("nan")
        more = self.events - np.cumsum(self.warm_hours_of_failed)
        return self._sums["warm_h_of_failed"] / self.events, float(np.argmax(more <= share * self.events))

    @property
    def load_ah(self) -> NDArray[np.float64]:
        """Mean ampere-hours a trial that each load asked for."""
        return self._load_sums / self.trials


def _add_counts(to: dict[str, Any], more: dict[str, Any]) -> None:
    for name, value in more.items():
        to[name] = to[name] + value if name in to else value
