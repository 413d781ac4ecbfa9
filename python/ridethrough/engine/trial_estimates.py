"""Chances and quantiles that are read off the trials of a risk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model.errors import bad_input, checked_call, unknown_name
from ..model.outputs import FLAGS, TANKS
from ..model.parameter_help import CHARGE_LIMITS
from . import event_chances
from .histograms import quantiles_of_counts, validate_shares
from .named_numbers import Named
from .result import Result
from .trial_sums import Summary
from .validation import validate_number


class TrialEstimates(Result):
    """Base of a risk: what its counts and columns say of charge, food, cabin and tanks."""

    trials: int
    nights: int
    columns: Mapping[str, NDArray[Any]]
    means: Mapping[str, float]
    event_counts: Mapping[str, int]
    night_counts: Mapping[str, NDArray[np.int64]]
    cutouts_by_hour: NDArray[np.int64]
    _summary: Summary

    @checked_call
    def soc_quantiles(self, shares: Sequence[float]) -> NDArray[np.float64]:
        """Quantiles of the state of charge over the trials, hour by hour.

        Parameters
        ----------
        shares : sequence of float
            Of the trials, 0 to 1: 0.05 for the charge that 5 of 100 trials are below.

        Returns
        -------
        ndarray of float, shape (len(shares), hours)
            State of charge at the end of each hour [share of full]. From counts in bins of 0.005, and so right to
            within 0.005; where trials crowd at full, that much too low.
        """
        histogram = self._summary.charge_histogram
        assert histogram is not None  # there is no risk without a trial
        return quantiles_of_counts(histogram, validate_shares(shares))

    @checked_call
    def min_soc_quantiles(self, shares: Sequence[float]) -> NDArray[np.float64]:
        """Quantiles of the lowest state of charge of a trip over the trials.

        Parameters
        ----------
        shares : sequence of float
            Of the trials, 0 to 1.

        Returns
        -------
        ndarray of float, shape (len(shares),)
            Lowest state of charge [share of full], to within its bins of 0.0025.
        """
        return quantiles_of_counts(self._summary.lowest_histogram[None, :], validate_shares(shares))[:, 0]

    @checked_call
    def below_soc(self, soc: float) -> _core.Estimate:
        """Chance that the state of charge falls below a limit at some time.

        Parameters
        ----------
        soc : float
            The limit [share of full], 0.01 to 0.99; counted in bins of 0.0025.

        Returns
        -------
        Estimate
            With its 95 % interval.
        """
        limit = validate_number("soc", soc, *CHARGE_LIMITS)
        histogram = self._summary.lowest_histogram
        return _core.wilson(int(histogram[: round(limit * len(histogram))].sum()), self.trials)

    @checked_call
    def quantile(self, column: str, share: float) -> _core.Estimate:
        """Quantile of a column over the trials, with its interval.

        Parameters
        ----------
        column : str
            One of ``columns``.
        share : float
            Of the trials, 0 to 1.

        Returns
        -------
        Estimate
            The quantile in the column's unit, with its 95 % interval (order statistics).
        """
        if not isinstance(column, str) or column not in self.columns:
            raise bad_input("column", column, allowed=", ".join(self.columns) or "none was kept")
        return _core.quantile_interval(self.columns[column].astype(np.float64), validate_number("share", share, 0, 1))

    def survival(self) -> list[_core.Estimate]:
        """Chance that no cut-out has dropped the fridge yet, by night.

        Returns
        -------
        list of Estimate
            By 24 h, 48 h, ... after the start.
        """
        lost = np.cumsum(self.cutouts_by_hour.reshape(self.nights, 24).sum(axis=1))
        return [_core.wilson(self.trials - int(n), self.trials) for n in lost]

    @property
    def chances(self) -> dict[str, _core.Estimate]:
        """Estimates of what else may happen.

        ``fridge_off_over_1h`` [in a row], ``food_warm_2h``, ``food_warm_4h`` [above 5 degC in a row], ``food_frozen``
        [below 0 degC for over 1 h], ``cold_cabin`` [cabin below 10 degC for over 1 h, people aboard],
        ``cabin_frozen``, ``below_half`` [charge].
        """
        return Named("chances", event_chances.estimate_chances(self.event_counts, self.trials))

    @property
    def fridge_off_over_1h(self) -> _core.Estimate:
        """Chance that the fridge is off for more than an hour in a row, by whatever cut-out: the second headline."""
        return self.chances[event_chances.FRIDGE_OFF]

    @checked_call
    def flag_chance(self, name: str) -> _core.Estimate:
        """Chance of a result that is 0 or 1 in each trial.

        Parameters
        ----------
        name : str
            Of the column, such as "frozen".

        Returns
        -------
        Estimate
            With its 95 % interval.
        """
        if not isinstance(name, str) or name not in FLAGS:
            raise unknown_name("name", name, FLAGS, "is not 0 or 1 in each trial")
        return _core.wilson(round(self.means[name] * self.trials), self.trials)

    @property
    def freezing(self) -> _core.Estimate:
        """Estimate of the chance that a lead-acid battery gets to its freezing point."""
        return self.flag_chance("frozen")

    def tank_chances(self) -> dict[str, _core.Estimate]:
        """Chances that the water tanks end the comfort.

        Returns
        -------
        dict of str to Estimate
            That the fresh tank runs dry, and that the grey one is full; empty without ``Van.water``.
        """
        return {
            key: _core.wilson(self.trials - int(self.night_counts[name][0]), self.trials)
            for key, name in TANKS.items()
            if name in self.night_counts
        }

    @checked_call
    def warm_h_if_failed(self, share: float = 0.1) -> tuple[float, float]:
        """Hours above 5 degC inside the fridge, given that a cut-out dropped it.

        Parameters
        ----------
        share : float
            Of the failing trials, 0 to 1.

        Returns
        -------
        (float, float)
            The mean, and the whole hours that this share of them exceeds [h]; NaN where none failed.
        """
        return self._summary.warm_h_if_failed(validate_number("share", share, 0, 1))
