"""A table of settings of the fridge's low-voltage cut-out. They are never ranked among upgrades."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from ridethrough._core import Estimate

from ..engine.event_chances import CHANCES, FRIDGE_OFF
from ..engine.labelled_data import Columns, make_dataset, run_attributes
from ..engine.progress import ProgressOption
from ..engine.result import Result
from ..engine.run_options import TRIALS, ExecutorOption, Precision
from ..engine.validation import require_van_and_trip
from ..model.checks import validate_numbers, validate_pair
from ..model.classes import Trip, Van
from ..model.errors import bad_input, checked_call
from ..model.values import mean_value
from ..model.van_parts import in_common, is_lithium
from ..money.lithium_conversion import BMS_MARGIN_V
from .comparison import compare
from .comparison_result import OutcomeDifference

if TYPE_CHECKING:
    import xarray


@dataclass(frozen=True)
class CutoutSetting:
    """A cut-out and restart voltage with what they make of the trip.

    Attributes
    ----------
    cutout_v, restart_v : float
        At the fridge [V].
    risk : Estimate
        Risk of a cut-out.
    hours_below_20 : float
        Below 20 % charge [h a trip].
    risk_change, hours_below_20_change : OutcomeDifference
        Against the present setting, paired.
    food_warm_4h : Estimate
        Chance of food above 5 degC for over 4 h in a row.
    fridge_off_over_1h : Estimate
        Chance that the fridge is off for over 1 h in a row.

    Examples
    --------
    >>> table = rt.cutout_settings(van, trip, [11.0], makers_range_v=(10.1, 11.5), dedicated_house_battery=True,
    ...                            trials=50)
    >>> table.settings[0].cutout_v, table.settings[0].restart_v > 11
    (11.0, True)
    """

    cutout_v: float
    restart_v: float
    risk: Estimate
    risk_change: OutcomeDifference
    hours_below_20: float
    hours_below_20_change: OutcomeDifference
    food_warm_4h: Estimate
    fridge_off_over_1h: Estimate


@dataclass(frozen=True, eq=False)
class CutoutTable(Result):
    """What :func:`cutout_settings` returns.

    Attributes
    ----------
    present_v : float
        The cut-out as it is [V].
    settings : tuple of CutoutSetting
        By rising voltage.
    lead_acid : bool
        Whether the battery is a lead-acid one, which deep discharge wears.
    van, trip, seed : Van, Trip, int
        What was simulated.
    warnings : tuple of str
        What is allowed in van and trip but probably not meant.

    Examples
    --------
    >>> table = rt.cutout_settings(van, trip, [11.0], makers_range_v=(10.1, 11.5), dedicated_house_battery=True,
    ...                            trials=50)
    >>> table.lead_acid, table.present_v == van.fridge.cutout_v
    (True, True)
    """

    present_v: float
    settings: tuple[CutoutSetting, ...]
    lead_acid: bool
    van: Van | None = field(default=None, repr=False)
    trip: Trip | None = field(default=None, repr=False)
    seed: int = 0
    warnings: tuple[str, ...] = ()

    def to_xarray(self) -> xarray.Dataset:
        """Dimension cutout_v; changes are against the present setting."""
        rows = self.settings
        below = "hours below 20 % charge a trip"
        cells: Columns = {
            "restart_v": ("V", "voltage at which the fridge is on again", [s.restart_v for s in rows]),
            "risk": ("1", "risk of a cut-out", [s.risk for s in rows]),
            "risk_change": ("1", "its change, paired", [s.risk_change.difference for s in rows]),
            "hours_below_20": ("h", below, [s.hours_below_20 for s in rows]),
            "hours_below_20_change": ("h", f"{below}, change", [s.hours_below_20_change.difference for s in rows]),
            FRIDGE_OFF: ("1", f"chance that {CHANCES[FRIDGE_OFF].description}", [s.fridge_off_over_1h for s in rows]),
            "food_warm_4h": ("1", f"chance that {CHANCES['food_warm_4h'].description}", [s.food_warm_4h for s in rows]),
        }
        along = {"cutout_v": [s.cutout_v for s in rows]}
        about = run_attributes(self.van, self.trip, self.seed, rows[0].risk.trials)
        data = make_dataset(along, cells, present_v=self.present_v, **about)
        data["cutout_v"].attrs.update(units="V", long_name="cut-out voltage at the fridge")
        return data


@checked_call
def cutout_settings(
    van: Van,
    trip: Trip,
    settings_v: Sequence[float],
    *,
    makers_range_v: tuple[float, float],
    dedicated_house_battery: bool,
    trials: int = TRIALS,
    seed: int = 0,
    threads: int = 0,
    precision: Precision = "double",
    executor: ExecutorOption = None,
    progress: ProgressOption = None,
) -> CutoutTable:
    """Work out the risk and the hours below 20 % charge at other cut-out settings of the fridge.

    Parameters
    ----------
    van, trip : Van, Trip
        As they are.
    settings_v : sequence of float
        Cut-out voltages at the fridge [V]. The restart keeps its distance to the cut-out.
    makers_range_v : (float, float)
        What the appliance's maker allows [V].
    dedicated_house_battery : bool
        You state that the fridge's battery starts no engine; anything else is an error.
    trials, seed, threads, precision, executor, progress : optional
        As of :func:`simulate`, for each setting.

    Returns
    -------
    CutoutTable
        A row for each setting, by rising voltage.

    Raises
    ------
    InputError
        Not a dedicated house battery, a setting outside the maker's range or less than 0.2 V above the BMS cut-off, or
        anything :func:`simulate` refuses.

    Examples
    --------
    >>> table = rt.cutout_settings(van, trip, [11.0], makers_range_v=(10.1, 11.5), dedicated_house_battery=True,
    ...                            trials=200)
    >>> [setting.cutout_v for setting in table.settings]
    [11.0]
    """
    require_van_and_trip(van, trip)
    if dedicated_house_battery is not True:
        raise bad_input(
            "dedicated_house_battery", reason="must be True; on a starter battery leave the cut-out as it is"
        )
    low, high = validate_pair("makers_range_v", makers_range_v)
    battery: Any = in_common(van)
    lithium = is_lithium(van)
    bms = battery.bms_cutoff_v + BMS_MARGIN_V if lithium else 0.0
    given = validate_numbers("settings_v", settings_v, "a list of voltages, at least one")
    wanted = sorted({float(v) for v in given})
    for v in wanted:
        if not low <= v <= high:
            raise bad_input("settings_v", reason=f"{v:g} V: allowed {low:g} to {high:g} V, the maker's range")
        if v < bms - 1e-9:
            raise bad_input(
                "settings_v", reason=f"{v:g} V: allowed from {bms:g} V, {BMS_MARGIN_V} V above the BMS cut-off"
            )
    now, gap = mean_value(van.fridge.cutout_v), mean_value(van.fridge.restart_v) - mean_value(van.fridge.cutout_v)
    restart = {v: float(np.round(v + gap, 3)) for v in wanted}
    vans = {f"{v:g} V": van.replace(**{"fridge.cutout_v": v, "fridge.restart_v": restart[v]}) for v in wanted}
    how: dict[str, Any] = {"precision": precision, "executor": executor, "progress": progress}
    c = compare(van, vans, trip, trials=trials, seed=seed, threads=threads, **how)
    rows = []
    for v in wanted:
        difference, risk = c[f"{v:g} V"], c.risks[f"{v:g} V", "trip"]
        below = difference["hours_below_20"]
        more = risk.chances["food_warm_4h"], risk.fridge_off_over_1h
        rows.append(CutoutSetting(v, restart[v], risk.cutout, difference["risk"], below.other or 0.0, below, *more))
    return CutoutTable(now, tuple(rows), not lithium, van, trip, int(seed), c.warnings)
