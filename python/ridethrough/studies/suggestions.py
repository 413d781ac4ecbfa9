"""A few usual changes tried on the first trials of a risk, for the verdict: what would help most.

Quick rather than complete: :func:`upgrades` ranks more changes, with prices, and in pairs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import cast

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..engine.content import plain_content
from ..engine.risk import Risk
from ..engine.run_options import Precision, RunOptions
from ..engine.simulation import run_trip
from ..model.cautions import COMPETENT, DRIVE_TO_CHARGE
from ..model.classes import Drive, Standby, Trip, Van
from ..model.values import mean_value
from ..model.van_parts import is_lithium, rated_ah
from ..money.lithium_conversion import lithium_bundle
from .upgrade_candidates import Candidate, add_to_trip, catalogue
from .upgrade_ranking import food_rule

# Own choices: some two seconds on one processor, and intervals that still tell a large change from none.
TRIAL_NIGHTS, MOST_TRIALS, LEAST_TRIALS = 80_000, 4_000, 200
MOST_CHANGES, FEWEST_EVENTS = 8, 10
DRIVE_H = 2
LITHIUM = "lithium"  # group of the change that puts it in the AGM's place
# Of the catalogue, in the order in which they are tried: what an owner can do at once stands first.
_TRIED = (
    "out of the shade",
    "a powered night",
    "panel tilted",
    "inverter never left on",
    "set point",
    "100 W more panel",
    "100 W folding panel",
    "lithium bundle",
    "another battery",
)


@dataclass(frozen=True)
class Suggestion:
    """One change, tried on the same trips.

    Attributes
    ----------
    name : str
        What is changed.
    risk : Estimate
        Chance of a cut-out with the change.
    change : Estimate
        That chance less the one without, paired, as a share.
    group, note : str
        What kind of change it is, where that matters, and what to know about it.

    Examples
    --------
    >>> found = rt.simulate(van, trip, trials=50, seed=1).suggestions()
    >>> all(one.change.low <= one.change.value <= one.change.high for one in found.tried)
    True
    """

    name: str
    risk: _core.Estimate
    change: _core.Estimate
    group: str = ""
    note: str = ""

    @property
    def helps(self) -> bool:
        """Whether it is shown to take risk off."""
        return self.change.high < 0

    @property
    def harms(self) -> bool:
        """Whether it is shown to add risk."""
        return self.change.low > 0


@dataclass(frozen=True)
class Suggestions:
    """Changes tried on the first trials of a risk.

    Attributes
    ----------
    base : Estimate
        Chance of a cut-out without a change, in these trials; None where none were tried.
    tried : tuple of Suggestion
        Most risk taken off first.
    reason : str
        Why none were tried.

    Examples
    --------
    >>> found = rt.simulate(van, trip, trials=50, seed=1).suggestions()
    >>> bool(found.tried) or bool(found.reason)
    True
    """

    base: _core.Estimate | None
    tried: tuple[Suggestion, ...] = ()
    reason: str = ""

    def to_dict(self) -> dict[str, object]:
        """Plain numbers and texts, ready for JSON."""
        return {"base": plain_content(self.base), "reason": self.reason or None} | {
            "tried": [
                {"name": s.name, "risk": plain_content(s.risk), "change": plain_content(s.change), "note": s.note}
                for s in self.tried
            ]
        }


def try_changes(risk: Risk, threads: int = 0) -> Suggestions:
    """Try a few changes on the first trials of a risk; see `Risk.suggestions`."""
    changes = changes_to_try(risk)
    trials = min(MOST_TRIALS, risk.trials, TRIAL_NIGHTS // (risk.nights * max(len(changes), 1)))
    if trials < min(LEAST_TRIALS, risk.trials):
        return Suggestions(None, reason="the trip is too long for a quick look")
    if not risk.cutout.events:
        return Suggestions(None, reason="no trip failed")
    if risk.cutout.value * trials < FEWEST_EVENTS:
        return Suggestions(None, reason="too few trips fail to tell changes apart quickly")
    precision = cast(Precision, risk.precision)
    options = RunOptions(trials=trials, seed=risk.seed, precision=precision, threads=threads)
    failed = _failed(risk, options)
    base = _core.wilson(int(failed.sum()), trials)
    tried = [found for change in changes if (found := _tried(risk, change, options, failed)) is not None]
    return Suggestions(base, tuple(sorted(tried, key=lambda s: s.change.value)))


def _failed(risk: Risk, options: RunOptions) -> NDArray[np.bool_]:
    """Which of the first trials fail: they are those of the longer run."""
    cause = risk.columns.get("cutout_cause")
    if cause is None:
        cause = run_trip(risk.van, risk.trip, options, clock=risk.clock).columns["cutout_cause"]
    return np.asarray(cause[: options.trials] > 0)


def _tried(risk: Risk, change: Candidate, options: RunOptions, failed: NDArray[np.bool_]) -> Suggestion | None:
    try:
        changed = change.change(risk.van, risk.trip)
        if changed is None:
            return None
        after = run_trip(*changed, options, clock=risk.clock)
    except _core.InputError:  # such as a panel that would be larger than a van's may be
        return None
    if change.food_rule and food_rule(after):
        return None
    gap = _core.paired_difference(after.columns["cutout_cause"] > 0, failed)
    return Suggestion(change.name, after.cutout, gap, change.group, change.note)


def changes_to_try(risk: Risk) -> list[Candidate]:
    """A few that fit this van and trip, at most `MOST_CHANGES`."""
    van, trip = risk.van, risk.trip
    offered = catalogue(van, trip)
    found = [*_drives(risk), *_standby(van)]
    found += [_as_said(van, c) for begin in _TRIED for c in offered if c.name.startswith(begin)]
    return found[:MOST_CHANGES]


def _as_said(van: Van, candidate: Candidate) -> Candidate:
    """The candidate under a name that needs no catalogue beside it."""
    if candidate.name.startswith("lithium bundle"):
        return replace(candidate, name=f"lithium, {rated_ah(lithium_bundle(van).van):g} Ah", group=LITHIUM)
    if candidate.name.startswith("another battery"):
        return replace(candidate, name=f"100 Ah more {'lithium' if is_lithium(van) else 'AGM'}")
    name = candidate.name.removesuffix(" on the roof").removesuffix(", in open ground")
    return replace(candidate, name=name.replace("a powered night, night", "shore power on night"))


def _drives(risk: Risk) -> list[Candidate]:
    """A drive on every second day on which there is none."""
    van, trip = risk.van, risk.trip
    driven = {i.day for i in risk.compiled.schedule if i.kind in ("drive", "day_trip")}
    days = [day for day in range(2, risk.nights + 1, 2) if day not in driven]
    if van.dc_dc is None or trip.stops or not days:
        return []
    said = f"on day{'s' if len(days) > 1 else ''} {', '.join(map(str, days))}"
    if len(days) == 2:
        said = said.replace(", ", " and ")
    name = f"drive {DRIVE_H} h {said if len(days) <= 3 else 'every second day'}{', hitched' if van.towed else ''}"
    usual = trip.drives[0] if trip.drives else Drive(days=days)
    drive = usual.replace(days=days, duration_h=DRIVE_H)
    return [Candidate(name, partial(add_to_trip, "drives", drive), note=DRIVE_TO_CHARGE)]


def _standby(van: Van) -> list[Candidate]:
    """What is never off, halved; nobody is told to switch a detector off, which is a load of its own."""
    found = [load for load in van.loads if isinstance(load, Standby)]
    if not found or mean_value(found[0].current_a) <= 0:
        return []
    note = f"leave detectors and alarms on; wiring {COMPETENT}"
    return [Candidate("standby loads halved", _halved(found[0].name), note=note)]


def _halved(name: str) -> Callable[[Van, Trip], tuple[Van, Trip]]:
    return partial(_halve_standby, name)


def _halve_standby(name: str, van: Van, trip: Trip) -> tuple[Van, Trip]:
    path = f"loads.{name}.current_a"
    return van.replace(path, mean_value(van.get(path)) / 2), trip
