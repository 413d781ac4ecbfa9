"""What a scenario file holds: a named van and trip, and how to simulate them."""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from typing import Any

from ..model.charge_limit import require_charge_limit
from ..model.checks import TRIALS, validate_seed, validate_text, validate_trials
from ..model.classes import Trip, Van
from ..model.errors import bad_input, checked_class, unknown_name


@checked_class
@dataclass(frozen=True, kw_only=True)
class Scenario:
    """A named van and trip, with the trials and the seed to simulate them.

    Parameters
    ----------
    name, title : str
        What it is called.
    van, trip : Van, Trip
        What is simulated.
    trials, seed : int
        How.
    charge_limit : float, optional
        The charge that the owner doesn't take the battery below, a share of full; the verdict counts the trips that do.
    notes : tuple of str
        What the file left open and was filled in; printed before the verdict.

    Examples
    --------
    >>> scenario = rt.Scenario(name="autumn", van=van, trip=trip)
    >>> scenario.replace(trials=500).trials, scenario.trials
    (500, 10000)
    """

    name: str
    title: str = ""
    van: Van
    trip: Trip
    trials: int = TRIALS
    seed: int = 0
    charge_limit: float | None = None
    notes: tuple[str, ...] = field(default=(), compare=False)

    def __post_init__(self) -> None:
        for name in ("name", "title"):
            validate_text(f"Scenario.{name}", getattr(self, name))
        for name, value, kind in (("van", self.van, Van), ("trip", self.trip, Trip)):
            if not isinstance(value, kind):
                raise bad_input(f"Scenario.{name}", value, reason=f"must be a {kind.__name__}")
        object.__setattr__(self, "trials", validate_trials(self.trials, "Scenario.trials"))
        object.__setattr__(self, "seed", validate_seed(self.seed, "Scenario.seed"))
        if self.charge_limit is not None:
            limit = require_charge_limit("Scenario.charge_limit", self.charge_limit)
            object.__setattr__(self, "charge_limit", limit)

    def replace(self, **changes: Any) -> Scenario:
        """Return a copy with other values: ``scenario.replace(van=scenario.van.replace(towed=True))``.

        Parameters
        ----------
        **changes : object
            By the names above.

        Returns
        -------
        Scenario
            The copy.
        """
        known = [one.name for one in fields(self)]
        for name in changes:
            if name not in known:
                raise unknown_name(f"Scenario.{name}", changes[name], known, "no such field", name=name, quoted=False)
        return replace(self, **changes)
