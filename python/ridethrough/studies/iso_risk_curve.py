"""The curve of panel and battery that together keep a risk, with roof and payload as limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import ridethrough._core as _core

from ..engine.interruption import attach_partial_result
from ..engine.labelled_data import Columns, make_dataset, run_attributes
from ..engine.progress import ProgressOption, track_progress
from ..engine.result import Result
from ..engine.run_options import TRIALS, Precision, RunOptions
from ..engine.validation import compile_trip, require_van_and_trip, validate_number
from ..model import parameter_paths
from ..model.classes import Trip, Van
from ..model.values import mean_value
from ..money.prices import Prices, Range, panel_item, parts_of, table
from .sizing import Size, size

if TYPE_CHECKING:
    import xarray
    from matplotlib.axes import Axes


@dataclass(frozen=True)
class IsoRiskPoint:
    """A pair on the curve; ``size.value`` is the battery. Price and mass are those beyond the van as it is."""

    panel_w: float
    size: Size
    cost: Range | None
    mass_kg: Range | None
    roof_m2: float
    fits: bool
    why_not: str


@dataclass(frozen=True, eq=False)
class IsoRisk(Result):
    """What :func:`iso_risk` returns: ``points`` by rising panel."""

    target_risk: float
    points: tuple[IsoRiskPoint, ...]
    roof_m2: float | None
    payload_kg: float | None
    trials: int
    currency: str
    van: Van | None = field(default=None, repr=False)
    trip: Trip | None = field(default=None, repr=False)
    seed: int = 0

    @property
    def fitting(self) -> tuple[IsoRiskPoint, ...]:
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

    def plot(self, ax: Axes | None = None) -> Axes:
        """The curve, what fits filled, what does not open; bars are the sampling error of the battery's size."""
        from ..report.plots import plot_iso_risk

        return plot_iso_risk(self, ax)


def iso_risk(
    van: Van,
    trip: Trip,
    panels_w: Sequence[float],
    target_risk: float = 0.05,
    *,
    roof_m2: float | None = None,
    payload_kg: float | None = None,
    within: tuple[float, float] | None = None,
    step: float | None = None,
    trials: int = TRIALS,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: Any = None,
    progress: ProgressOption = None,
    prices: Prices | str | None = None,
) -> IsoRisk:
    """For each panel [W] the smallest battery [Ah] that keeps the risk within the target.

    ``roof_m2`` is the free roof, ``payload_kg`` what the van may still carry beyond what it has: a pair fits where the
    usual area and 95 of 100 draws of the added mass are within them. Of several arrays or batteries the first is sized
    and the others stay as they are. ``within`` and ``step`` are the battery's, as of
    :func:`size`; the run options are those of :func:`simulate`, and progress counts panels. After Ctrl-C or an error
    ``finished`` of :class:`Interrupted` or :class:`StudyFailed` is the curve so far.
    """
    options = RunOptions(trials=trials, seed=seed, threads=threads, precision=precision, executor=executor)
    require_van_and_trip(van, trip)
    for name, limit in (("roof_m2", roof_m2), ("payload_kg", payload_kg)):
        if limit is not None:
            validate_number(name, limit, 0, 10_000)
    if not van.arrays:
        raise _core.InputError("van.solar = None: there is no array to size")
    panel_path, battery_path = f"{van.paths_of('arrays')[0]}.rated_w", _battery_path(van)
    if not len(panels_w):
        raise _core.InputError("panels_w: allowed at least one power")
    vans = [parameter_paths.replace_values(van, trip, {panel_path: watts})[0] for watts in panels_w]
    for each in vans:  # validates all of them before any trial runs
        compile_trip(each, trip)
    priced = table(prices)
    points: list[IsoRiskPoint] = []

    def result() -> IsoRisk:
        return IsoRisk(
            target_risk, tuple(points), roof_m2, payload_kg, options.trials, priced.currency, van, trip, options.seed
        )

    with attach_partial_result("iso_risk", result), track_progress(progress, len(vans), 0, "panel") as report_done:
        for watts, with_panel in zip(panels_w, vans, strict=True):
            found = size(with_panel, trip, battery_path, target_risk, within=within, step=step,
                         **options.arguments, progress=False)  # fmt: skip
            points.append(_point(van, with_panel, watts, found, priced, roof_m2, payload_kg))
            report_done(len(points))
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
    cost, mass = (Range.of(priced.total(parts, w) - priced.total(has, w)) for w in ("price", "mass_kg"))
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
