"""The result of a forecast."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import ridethrough._core as _core

from ..engine.labelled_data import Columns, make_dataset, run_attributes
from ..engine.result import Result
from ..model.classes import Trip, Van
from ..model.date_forms import require_date_form
from ..model.errors import bad_input, checked_call
from ..model.values import to_python_value
from .reading import Reading

if TYPE_CHECKING:
    import xarray

SHARES = (0.05, 0.25, 0.5, 0.75, 0.95)


@dataclass(frozen=True)
class Evening:
    """What was to be said at an earlier time.

    Attributes
    ----------
    when : str
        "the start", or a clock time with readings.
    end : Estimate
        Chance of a cut-out from then to the trip's end, given the readings until then.
    """

    when: str
    end: _core.Estimate


@dataclass(frozen=True, eq=False)
class Forecast(Result):
    """The rest of a trip, given what its meters have shown.

    All chances are of a low-voltage cut-out that drops the fridge *from now on*. Their intervals are of so many
    trips alone; the model's own error comes on top, and the readings do not take it away.

    Attributes
    ----------
    van, trip : Van, Trip
        Of which trip.
    now : str
        Clock time.
    readings : tuple of Reading
        In the order of their times.
    notes : tuple of str
        How each reading was taken.
    kept_on : bool
        Whether it is known that the fridge has kept on until now.
    end : Estimate
        Chance of a cut-out from now to the trip's end.
    tomorrow : Estimate
        Chance of one before tomorrow's sun charges, see ``tomorrow_at``.
    tomorrow_at : str
        Clock time: the Sun next gets 15 degrees high; where it does not, noon of the next day.
    by_day : dict of str and Estimate
        Chance of one by the end of each date to come.
    soc : dict of float
        Quantiles of the state of charge now [share of full], by share of the trips: .05, .25, .5, .75, .95.
    lowest_soc : dict of float
        The same of the lowest charge from now on.
    lowest_at : str
        Clock time at which the middle trip is lowest.
    evenings : tuple of Evening
        What was to be said at the start and at each earlier time with readings.
    effective_trials : int
        Trips of equal weight that would say as much.
    trials : int
        Trips that were drawn.
    method : str
        "weights": of trips as they are drawn; "moves": of copies that were moved until they agreed with the readings.
    log_evidence : float
        Log of the readings' probability in this model.
    seed : int
        Of the random numbers.

    Examples
    --------
    >>> tonight = rt.forecast(van, trip, now="2026-11-07 20:00", readings="72 %", trials=16_384)
    >>> tonight.by("2026-11-09").value <= tonight.end.value
    True
    """

    van: Van
    trip: Trip
    now: str
    readings: tuple[Reading, ...]
    notes: tuple[str, ...]
    kept_on: bool
    end: _core.Estimate
    tomorrow: _core.Estimate
    tomorrow_at: str
    by_day: Mapping[str, _core.Estimate]
    soc: Mapping[float, float]
    lowest_soc: Mapping[float, float]
    lowest_at: str
    evenings: tuple[Evening, ...]
    effective_trials: int
    trials: int
    method: str
    log_evidence: float
    seed: int

    @checked_call
    def by(self, day: Any) -> _core.Estimate:
        """Chance of a cut-out from now to the end of a day.

        Parameters
        ----------
        day : str or date
            After today, "2026-09-27".

        Returns
        -------
        Estimate
            With its 95 % interval.

        Raises
        ------
        InputError
            No day of the trip, or one that is not to come.
        """
        text = str(to_python_value(day))[:10]
        require_date_form("day", text)
        if text not in self.by_day:
            days = list(self.by_day)
            raise bad_input("day", text, allowed=f"{days[0]} to {days[-1]}" if days else "none: it is the last day")
        return self.by_day[text]

    def to_xarray(self) -> xarray.Dataset:
        """Dimension until: tomorrow's sun, each date to come, the end; and the charge now in the attributes.

        Returns
        -------
        xarray.Dataset
            ``cutout`` with ``cutout_low`` and ``cutout_high``.
        """
        until = {f"sun of {self.tomorrow_at}": self.tomorrow} | dict(self.by_day) | {"the end": self.end}
        cells: Columns = {"cutout": ("1", "chance of a cut-out from now until then", list(until.values()))}
        about = run_attributes(self.van, self.trip, self.seed, self.trials)
        charge = {f"soc_{round(100 * share):02d}": value for share, value in self.soc.items()}
        return make_dataset(
            {"until": list(until)}, cells, now=self.now, effective_trials=self.effective_trials, **charge, **about
        )
