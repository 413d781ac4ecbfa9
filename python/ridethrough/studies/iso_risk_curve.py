"""The curve of panel and battery that together keep a risk, with roof and payload as limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ..engine.interruption import attach_partial_result
from ..engine.labelled_data import Columns, make_dataset, run_attributes
from ..engine.progress import ProgressOption, track_runs
from ..engine.result import Result
from ..engine.run_options import TRIALS, ExecutorOption, Precision, RunOptions
from ..engine.validation import compile_trip, require_van_and_trip, validate_number, warn_once
from ..model import parameter_paths
from ..model.checks import validate_numbers
from ..model.classes import Trip, Van
from ..model.errors import bad_input, checked_call
from ..model.values import mean_value
from ..money.prices import AmountRange, Prices, panel_item, parts_of, table
from .sizing import Size, SizeSearch, find_size, plan_size

if TYPE_CHECKING:
    import xarray

    from ..report.pictures.picture import Picture


@dataclass(frozen=True)
class IsoRiskPoint:
    """A pair of panel and battery on the curve.

    Attributes
    ----------
    panel_w : float
        Rated power [W].
    size : Size
        ``size.value`` is the battery [Ah].
    cost, mass_kg : AmountRange or None
        Beyond the van as it is.
    roof_m2 : float
        Usual area of the panel.
    fits : bool
        Whether roof and payload bear the pair.
    why_not : str
        What it does not fit.

    Examples
    --------
    >>> curve = rt.iso_risk(van, trip, [200, 400], 0.3, within=(60, 300), step=20, trials=50)
    >>> curve.points[0].panel_w, curve.points[0].size.path
    (200, 'battery.capacity_ah')
    """

    panel_w: float
    size: Size
    cost: AmountRange | None
    mass_kg: AmountRange | None
    roof_m2: float
    fits: bool
    why_not: str


@dataclass(frozen=True, eq=False)
class IsoRisk(Result):
    """What :func:`iso_risk` returns.

    Attributes
    ----------
    target_risk : float
        That the interval's upper end stays within.
    points : tuple of IsoRiskPoint
        By rising panel.
    roof_m2, payload_kg : float or None
        What there is of them.
    trials : int
        Of each size tried.
    currency : str
        Of the costs.
    van, trip, seed : Van, Trip, int
        What was simulated.
    warnings : tuple of str
        What is allowed in van and trip but probably not meant.

    Examples
    --------
    >>> curve = rt.iso_risk(van, trip, [200, 400], 0.3, within=(60, 300), step=20, trials=50)
    >>> len(curve.points), curve.target_risk, all(point.fits for point in curve.fitting)
    (2, 0.3, True)
    """

    target_risk: float
    points: tuple[IsoRiskPoint, ...]
    roof_m2: float | None
    payload_kg: float | None
    trials: int
    currency: str
    van: Van | None = field(default=None, repr=False)
    trip: Trip | None = field(default=None, repr=False)
    seed: int = 0
    warnings: tuple[str, ...] = ()

    @property
    def fitting(self) -> tuple[IsoRiskPoint, ...]:
        """The points that roof and payload bear."""
        return tuple(p for p in self.points if p.fits)

    @property
    def cheapest(self) -> IsoRiskPoint | None:
        """The cheapest pair that fits, by the usual price."""
        return min(self.fitting, key=lambda p: p.cost.value if p.cost else float("inf"), default=None)

    @property
    def lightest(self) -> IsoRiskPoint | None:
        """The lightest pair that fits."""
        return min(self.fitting, key=lambda p: p.mass_kg.value if p.mass_kg else float("inf"), default=None)

    def to_xarray(self) -> xarray.Dataset:
        """Dimension panel_w; NaN where no battery in the range is enough."""
        money, held = self.currency, self.points
        cells: Columns = {
            "battery_ah": ("Ah", "smallest battery that keeps the risk within the target", [p.size for p in held]),
            "risk": ("1", "risk of a cut-out with it", [p.size.risk for p in held]),
            "cost": (money, "cost beyond the van as it is", [p.cost for p in held]),
            "mass_kg": ("kg", "mass beyond the van as it is", [p.mass_kg for p in held]),
            "roof_m2": ("m2", "area of the panel", [p.roof_m2 for p in held]),
            "fits": ("1", "within roof and payload", [p.fits for p in held]),
        }
        about = run_attributes(self.van, self.trip, self.seed, self.trials)
        data = make_dataset({"panel_w": [p.panel_w for p in held]}, cells, target_risk=self.target_risk, **about)
        data["panel_w"].attrs.update(units="W", long_name="rated power of the panel")
        return data

    @checked_call
    def plot(self, *, size: str = "screen", title: str = "") -> Picture:
        """The curve, what fits filled, what does not open; bars are the sampling error of the battery's size."""
        from ..report.pictures.studies import plot_iso_risk
        from ..report.plots import checked

        return plot_iso_risk(self, *checked(size, title))


@checked_call
def iso_risk(
    van: Van,
    trip: Trip,
    panels_w: Sequence[float],
    target_risk: float | str = 0.05,
    *,
    roof_m2: float | None = None,
    payload_kg: float | None = None,
    within: tuple[float, float] | None = None,
    step: float | None = None,
    trials: int = TRIALS,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
    prices: Prices | str | None = None,
) -> IsoRisk:
    """Find for each panel the smallest battery that keeps the risk within the target.

    Parameters
    ----------
    van, trip : Van, Trip
        As they are; panel and battery are changed.
    panels_w : sequence of float
        Rated powers of the panel [W].
    target_risk : float or str
        0.001 to 0.9, or such as "5 %". The upper end of the 95 % interval has to be within it.
    roof_m2, payload_kg : float, optional
        The free roof [m2], and what the van may still carry beyond what it has [kg]: a pair fits where the usual area
        and 95 of 100 draws of the added mass are within them.
    within, step : (float, float), float, optional
        The battery's range and step [Ah], as of :func:`size`.
    trials, seed, threads, precision, executor, progress : optional
        As of :func:`size`, for each panel; progress counts the trials of all.
    prices : Prices or path, optional
        A price table of your own.

    Returns
    -------
    IsoRisk
        A point for each panel.

    Raises
    ------
    InputError
        No panel, a van without an array, a number out of range, or anything :func:`simulate` refuses.
    Interrupted, StudyFailed
        Ctrl-C, or a run that failed; ``finished`` is the curve so far.

    Examples
    --------
    >>> curve = rt.iso_risk(van, trip, [200, 400], 0.3, within=(60, 300), step=20, trials=200)
    >>> [point.panel_w for point in curve.points]
    [200, 400]
    """
    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    require_van_and_trip(van, trip)
    for name, limit in (("roof_m2", roof_m2), ("payload_kg", payload_kg)):
        if limit is not None:
            validate_number(name, limit, 0, 10_000)
    if not van.arrays:
        raise bad_input("van.solar", None, reason="there is no array to size")
    panel_path, battery_path = f"{van.paths_of('arrays')[0]}.rated_w", _battery_path(van)
    panels_w = validate_numbers("panels_w", panels_w, "a list of powers [W], at least one")
    vans = [parameter_paths.replace_values(van, trip, {panel_path: watts})[0] for watts in panels_w]
    texts = [text for each in (van, *vans) for text in compile_trip(each, trip).warnings]  # validates all of them
    plans = [plan_size(each, trip, battery_path, target_risk, within, step) for each in vans]
    warned = warn_once(texts)
    priced = table(prices)
    points: list[IsoRiskPoint] = []

    def result() -> IsoRisk:
        limits = (plans[0].target_risk, tuple(points), roof_m2, payload_kg)
        return IsoRisk(*limits, options.trials, priced.currency, van, trip, options.seed, warned)

    runs = sum(plan.most_runs for plan in plans)
    with attach_partial_result("iso_risk", result), track_runs(progress, runs, options.trials) as done:
        for watts, with_panel, plan in zip(panels_w, vans, plans, strict=True):
            here = done.part(plan.most_runs)
            found = find_size(SizeSearch(plan, with_panel, trip, options, here))
            points.append(_point(van, with_panel, watts, found, priced, roof_m2, payload_kg))
            here.all_finished()
    return result()


def _point(
    van: Van,
    with_panel: Van,
    watts: float,
    found: Size,
    priced: Prices,
    roof_m2: float | None,
    payload_kg: float | None,
) -> IsoRiskPoint:
    """What a panel and the battery found for it cost and weigh beyond the van as it is, and whether they fit."""
    area = mean_value(watts) * priced.items[panel_item(van.arrays[0])].get("area_m2", [0, 0, 0])[1]
    if found.value is None:
        return IsoRiskPoint(watts, found, None, None, area, False, _no_battery_text(found))
    has = parts_of(van)
    parts = parts_of(with_panel.replace(**{_battery_path(van): found.value}))
    cost, mass = (AmountRange.of(priced.total(parts, w) - priced.total(has, w)) for w in ("price", "mass_kg"))
    why = []
    if roof_m2 is not None and area > roof_m2:
        why.append(f"{area:.1f} m2 of {roof_m2:g} m2 roof")
    if payload_kg is not None and mass.high > payload_kg:
        why.append(f"{mass.value:.0f} kg ({mass.low:.0f} to {mass.high:.0f}) of {payload_kg:g} kg payload")
    return IsoRiskPoint(watts, found, cost, mass, area, not why, " and ".join(why))


def _battery_path(van: Van) -> str:
    return f"{van.paths_of('batteries')[0]}.capacity_ah"


def _no_battery_text(found: Size) -> str:
    return f"no battery from {found.within[0]:g} to {found.within[1]:g} Ah is enough"
