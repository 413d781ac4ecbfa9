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
from .charge_kept import failing, nights_kept
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
    charge_limit : float or None
        The charge that the owner keeps to [share of full]: chances here are those of a trip that falls below it or
        has a cut-out. None: of a cut-out.
    nights : tuple of int
        With such a limit, most nights for which that chance stays within 5, 10 and 20 %, the model's error counted.

    Examples
    --------
    >>> found = rt.simulate(van, trip, trials=50, seed=1).suggestions()
    >>> bool(found.tried) or bool(found.reason)
    True
    """

    base: _core.Estimate | None
    tried: tuple[Suggestion, ...] = ()
    reason: str = ""
    charge_limit: float | None = None
    nights: tuple[int, ...] = ()

    def to_dict(self) -> dict[str, object]:
        """Plain numbers and texts, ready for JSON."""
        limit = {"charge_limit": self.charge_limit, "nights_above_limit": list(self.nights) or None}
        return (
            {"base": plain_content(self.base), "reason": self.reason or None}
            | limit
            | {
                "tried": [
                    {"name": s.name, "risk": plain_content(s.risk), "change": plain_content(s.change), "note": s.note}
                    for s in self.tried
                ]
            }
        )


def try_changes(risk: Risk, threads: int = 0, charge_limit: float | None = None) -> Suggestions:
    """Try a few changes on the first trials of a risk; see `Risk.suggestions`."""
    changes = changes_to_try(risk)
    none = Suggestions(None, charge_limit=charge_limit)
    trials = min(MOST_TRIALS, risk.trials, TRIAL_NIGHTS // (risk.nights * max(len(changes), 1)))
    if trials < min(LEAST_TRIALS, risk.trials):
        return replace(none, reason="the trip is too long for a quick look")
    precision = cast(Precision, risk.precision)
    options = RunOptions(trials=trials, seed=risk.seed, precision=precision, threads=threads)
    if charge_limit is not None:
        none = replace(none, nights=nights_kept(risk, options, charge_limit))
    chance = max(risk.cutout.value, 0 if charge_limit is None else risk.below_soc(charge_limit).value)
    if not chance:
        return replace(none, reason="no trip failed")
    if chance * trials < FEWEST_EVENTS:
        return replace(none, reason="too few trips fail to tell changes apart quickly")
    failed = _failed(risk, options, charge_limit)
    base = _core.wilson(int(failed.sum()), trials)
    tried = [found for change in changes if (found := _tried(risk, change, options, failed, charge_limit)) is not None]
    return replace(none, base=base, tried=tuple(sorted(tried, key=lambda s: s.change.value)))


def _failed(risk: Risk, options: RunOptions, charge_limit: float | None) -> NDArray[np.bool_]:
    """Which of the first trials fail: they are those of the longer run."""
    if "cutout_cause" not in risk.columns:
        risk = run_trip(risk.van, risk.trip, options, clock=risk.clock)
    return failing(risk, charge_limit)[: options.trials]


def _tried(
    risk: Risk, change: Candidate, options: RunOptions, failed: NDArray[np.bool_], charge_limit: float | None
) -> Suggestion | None:
    try:
        changed = change.change(risk.van, risk.trip)
        if changed is None:
            return None
        after = run_trip(*changed, options, clock=risk.clock)
    except _core.InputError:  # such as a panel that would be larger than a van's may be
        return None
    if change.food_rule and food_rule(after):
        return None
    of_agm = change.group == LITHIUM and charge_limit is not None  # nobody keeps another battery to its limit
    fails = failing(after, None if of_agm else charge_limit)
    name = f"{change.name}, to its cut-out" if of_agm else change.name
    gap = _core.paired_difference(fails, failed)
    return Suggestion(name, _core.wilson(int(fails.sum()), options.trials), gap, change.group, change.note)


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
