"""Battery lives, and from how many nights a year lithium pays.

Wear adds up in proportion (Miner's rule): a night's wear is its discharge over what the battery can give in its life,
and time wears as well. Cycles at another depth follow a power law through the two points that are commonly quoted for
lead-acid (from memory: about half as many at 80 % depth as at 50 %). Costs are not discounted. All ranges are those of
the price table; this is bookkeeping on them and on the simulated nights, not a promise of life.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core
from ridethrough._core import Estimate

from ..engine.interruption import attach_partial_result
from ..engine.labelled_data import Columns, make_dataset, run_attributes
from ..engine.progress import ProgressOption, track_runs
from ..engine.result import Result
from ..engine.run_options import TRIALS, ExecutorOption, Precision, RunOptions
from ..engine.simulation import run_trip
from ..engine.validation import compile_trip, require_van_and_trip, validate_number, warn_once
from ..model.classes import AgmBattery, Trip, Van
from ..model.errors import bad_input, checked_call
from ..model.van_parts import rated_ah
from ..money.lithium_conversion import Bundle, lithium_bundle
from ..money.prices import DRAWS, AmountRange, PricedPart, Prices, table

if TYPE_CHECKING:
    import xarray

    from ..engine.risk import Risk

DEPTH_EXPONENT = float(np.log(2) / np.log(0.8 / 0.5))  # cycles ~ depth ** -this
SAMPLE = 512  # trials whose hourly currents are added up
MOST_NIGHTS = 365


@dataclass(frozen=True)
class DailyUse:
    """What a night of a trip asks of a battery, on average."""

    discharge_ah: float  # a day
    depth: float  # that, as a share of the rated capacity
    full_share: float  # of the days that reached full


def daily_use(risk: Risk) -> DailyUse:
    """Mean discharge and share of full days, the discharge from the run's first trials [Ah a day]."""
    trials = list(range(min(SAMPLE, risk.trials)))
    amps = _core.trace(risk.compiled, trials, risk.seed, risk.precision, ["battery_a"])["battery_a"]
    # Positive where the battery gives; hourly means, so what goes in and out within an hour is not seen.
    discharge = float(np.maximum(amps, 0.0).sum() / (len(trials) * risk.hours / 24))
    return DailyUse(discharge, min(1.0, discharge / rated_ah(risk.van)), risk.means["days_full"] / risk.compiled.days)


def wear_a_night(use: DailyUse, lithium: bool, prices: Prices) -> NDArray[np.float64]:
    """Draws of the share of a battery's life that one such night takes."""
    if lithium:
        return np.asarray(use.depth / (0.8 * prices.draw("life", "lithium_cycles_at_80")))
    depth = max(use.depth, 0.1)  # the power law is not carried on to shallower cycles
    cycles = prices.draw("life", "agm_cycles_at_half") * (depth / 0.5) ** -DEPTH_EXPONENT
    partial = 1 + (prices.draw("life", "agm_partial_charge_wear") - 1) * (1 - use.full_share)
    wear: NDArray[np.float64] = use.depth / depth / cycles * partial
    return wear


def years_to_replacement(use: DailyUse, nights_a_year: float, lithium: bool, prices: Prices) -> NDArray[np.float64]:
    """Draws of the years to replacement: by use and by time, whose rates add up."""
    return 1 / _replacements_a_year(use, nights_a_year, lithium, prices)


def _replacements_a_year(use: DailyUse, nights: float, lithium: bool, prices: Prices) -> NDArray[np.float64]:
    by_time = 1 / prices.draw("life", "lithium_years" if lithium else "agm_years")
    return by_time + nights * wear_a_night(use, lithium, prices)


@dataclass(frozen=True, eq=False)
class BreakEven(Result):
    """Nights a year from which lithium costs no more over the horizon.

    Attributes
    ----------
    against : str
        The battery that it is compared with.
    nights : float or None
        None where in half of the draws or more it never does within 365.
    low, high : float or None
        The 5 and 95 % of the draws; None: more than 365.
    share : float
        Share of the draws in which it pays within 365.
    horizon_years : float
        Over which costs are added up.

    Examples
    --------
    >>> found = rt.lithium_pays(van, trip, trials=50).pays_against_new
    >>> found.against, 0 <= found.share <= 1, found.horizon_years
    ('a new AGM', True, 10)
    """

    against: str
    nights: float | None
    low: float | None
    high: float | None
    share: float
    horizon_years: float

    def to_xarray(self) -> xarray.Dataset:
        """One row: the nights with the 5 and 95 % of the draws."""
        figures = {"nights": self.nights, "nights_low": self.low, "nights_high": self.high}
        cells: Columns = {
            **{name: ("nights/a", "nights a year from which lithium pays", [value]) for name, value in figures.items()},
            "share": ("1", "draws in which it does so within 365 nights", [self.share]),
        }
        return make_dataset({"against": [self.against]}, cells, horizon_years=self.horizon_years)


@dataclass(frozen=True, eq=False)
class LithiumPays(Result):
    """What :func:`lithium_pays` returns.

    Attributes
    ----------
    lithium, new_agm, old_agm : Risk
        The three runs.
    lithium_less_new_agm, lithium_less_old_agm : Estimate
        Paired differences of risk, lithium less AGM, as shares.
    nights_a_year : float
        Of the lives.
    agm_years, lithium_years : AmountRange
        How long they last at so many nights a year.
    pays_against_new, pays_against_old : BreakEven
        Nights a year from which lithium pays.

    Examples
    --------
    >>> found = rt.lithium_pays(van, trip, nights_a_year=40, trials=50)
    >>> found.nights_a_year, found.lithium_years.value > found.agm_years.value, found.lithium.trials
    (40, True, 50)
    """

    lithium: Risk
    new_agm: Risk
    old_agm: Risk
    lithium_less_new_agm: Estimate
    lithium_less_old_agm: Estimate
    nights_a_year: float
    agm_years: AmountRange
    lithium_years: AmountRange
    pays_against_new: BreakEven
    pays_against_old: BreakEven

    @property
    def warnings(self) -> tuple[str, ...]:
        """Those of all three runs, each once."""
        runs = (self.lithium, self.new_agm, self.old_agm)
        return tuple(dict.fromkeys(text for risk in runs for text in risk.warnings))

    def to_xarray(self) -> xarray.Dataset:
        """Dimension battery: risks, their differences from lithium's, lives, and break-even nights against each AGM."""
        new, old = self.pays_against_new, self.pays_against_old
        cells: Columns = {
            "risk": ("1", "risk of a cut-out", [r.cutout for r in (self.lithium, self.new_agm, self.old_agm)]),
            "lithium_less_this": (
                "1",
                "risk with lithium, less this one, paired",
                [None, self.lithium_less_new_agm, self.lithium_less_old_agm],
            ),
            "years": ("a", "years to replacement, 90 of 100 draws", [self.lithium_years, self.agm_years, None]),
            "break_even_nights": ("nights/a", "nights a year from which lithium pays", [None, new.nights, old.nights]),
            "pays_share": ("1", "draws in which it does so within 365 nights", [None, new.share, old.share]),
        }
        about = run_attributes(self.lithium.van, self.lithium.trip, self.lithium.seed, self.lithium.trials)
        return make_dataset(
            {"battery": ["lithium", "new AGM", "old AGM"]}, cells, nights_a_year=self.nights_a_year, **about
        )


@checked_call
def lithium_pays(
    van: Van,
    trip: Trip,
    bundle: Bundle | None = None,
    *,
    nights_a_year: float = 60,
    horizon_years: float = 10,
    old_age_years: float = 5,
    old_life_left: float = 0.3,
    trials: int = TRIALS,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
    prices: Prices | str | None = None,
) -> LithiumPays:
    """Work out whether lithium pays: break-even nights a year against a new AGM, and against an old one that is there.

    Both AGMs are the van's own, all of its batteries as new and ``old_age_years`` old. The new one is bought at the
    start, like the lithium bundle; the old one is there for nothing and has ``old_life_left`` of its life. All are then
    bought again in proportion to their wear. Nights are like those of the trip. The vans are not equally safe: look at
    the risks too.

    Parameters
    ----------
    van, trip : Van, Trip
        The van has an AGM.
    bundle : Bundle, optional
        What is put in its place; that of :func:`lithium_bundle` where not given.
    nights_a_year : float
        Nights like those of the trip, for the lives that are told.
    horizon_years : float
        Over which costs are added up.
    old_age_years, old_life_left : float
        Age of the old AGM, and the share of its life that is left.
    trials, seed, threads, precision, executor, progress : optional
        As of :func:`simulate`, for each of the three vans; progress counts the trials of all.
    prices : Prices or path, optional
        A price table of your own.

    Returns
    -------
    LithiumPays
        Three risks, lives, and the break-even against both AGMs.

    Raises
    ------
    InputError
        A lithium battery in ``van``, an argument out of range, or anything :func:`simulate` refuses.
    Interrupted, StudyFailed
        Ctrl-C, or a run that failed; ``finished`` has the risks that were run, by their names in :class:`LithiumPays`.

    Examples
    --------
    >>> found = rt.lithium_pays(van, trip, trials=200)
    >>> found.pays_against_new.against
    'a new AGM'
    """
    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    require_van_and_trip(van, trip)
    for name, value, low, high in (
        ("nights_a_year", nights_a_year, 0, MOST_NIGHTS),
        ("horizon_years", horizon_years, 1, 40),
        ("old_age_years", old_age_years, 0, 15),
        ("old_life_left", old_life_left, 0, 1),
    ):
        validate_number(name, value, low, high)
    if not (bundle is None or isinstance(bundle, Bundle)):
        raise bad_input("bundle", bundle, reason="must be a Bundle, as lithium_bundle makes it")
    bundle = lithium_bundle(van) if bundle is None else bundle
    priced = table(prices)
    standard = AgmBattery()
    as_new: dict[str, object] = {n: getattr(standard, n) for n in ("state_of_health", "resistance_mohm_100ah")}
    as_new |= {"age_years": None, "measured_capacity_ah": None}
    new = van.replace(batteries=[battery.replace(**as_new) for battery in van.batteries])
    old = new.replace(batteries=[battery.replace(age_years=old_age_years) for battery in new.batteries])
    vans = {"lithium": bundle.van, "new_agm": new, "old_agm": old}
    texts: list[str] = []
    for each in vans.values():  # validates all of them before any trial runs
        require_van_and_trip(each, trip)
        texts += compile_trip(each, trip).warnings
    warn_once(texts)
    risks: dict[str, Risk] = {}
    with (
        attach_partial_result("lithium_pays", lambda: risks),
        track_runs(progress, len(vans), options.trials) as done,
    ):
        for name, each in vans.items():
            risks[name] = run_trip(each, trip, options, report_done=done)
            done.run_finished()
    return _bookkeeping(risks, bundle, priced, nights_a_year, horizon_years, old_life_left)


def _bookkeeping(
    risks: dict[str, Risk],
    bundle: Bundle,
    priced: Prices,
    nights_a_year: float,
    horizon_years: float,
    old_life_left: float,
) -> LithiumPays:
    """Lives and break-even nights from the runs of the three vans and the price table."""
    lithium, agm, aged = risks.values()
    use, use_aged, use_lithium = daily_use(agm), daily_use(aged), daily_use(lithium)
    agm_price = priced.total([PricedPart("agm_battery", rated_ah(agm.van))], "price")
    battery_price = priced.total([p for p in bundle.parts if p.item == "lithium_battery"], "price")
    others = priced.total([p for p in bundle.parts if p.item != "lithium_battery"], "price")
    others = others * np.maximum(1.0, horizon_years / priced.draw("life", "parts_years"))

    def worn(of: DailyUse, nights: float, lithium: bool = False) -> NDArray[np.float64]:
        return horizon_years * _replacements_a_year(of, nights, lithium, priced)

    def saved_on_new(nights: float) -> NDArray[np.float64]:
        return agm_price * np.maximum(1.0, worn(use, nights)) - of_lithium(nights)

    def saved_on_old(nights: float) -> NDArray[np.float64]:
        return agm_price * np.maximum(0.0, worn(use_aged, nights) - old_life_left) - of_lithium(nights)

    def of_lithium(nights: float) -> NDArray[np.float64]:
        return battery_price * np.maximum(1.0, worn(use_lithium, nights, True)) + others

    failed, failed_new, failed_old = (r.columns["cutout_cause"] > 0 for r in (lithium, agm, aged))
    return LithiumPays(
        lithium,
        agm,
        aged,
        _core.paired_difference(failed, failed_new),
        _core.paired_difference(failed, failed_old),
        nights_a_year,
        AmountRange.of(years_to_replacement(use, nights_a_year, False, priced)),
        AmountRange.of(years_to_replacement(use_lithium, nights_a_year, True, priced)),
        _break_even("a new AGM", saved_on_new, horizon_years),
        _break_even(f"an old AGM with {100 * old_life_left:.0f} % of its life left", saved_on_old, horizon_years),
    )


def _break_even(against: str, saved: Callable[[float], NDArray[np.float64]], horizon: float) -> BreakEven:
    """The first whole number of nights at which each draw breaks even."""
    first = np.full(DRAWS, np.inf)
    for nights in range(MOST_NIGHTS + 1):
        first = np.minimum(first, np.where(saved(nights) >= 0, nights, np.inf))
    quantiles = np.quantile(first, [0.5, 0.05, 0.95], method="inverted_cdf")
    middle, low, high = (float(q) if np.isfinite(q) else None for q in quantiles)
    return BreakEven(against, middle, low, high, float(np.isfinite(first).mean()), horizon)
