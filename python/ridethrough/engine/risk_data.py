"""A risk as labelled data."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model.cautions import CAUTION
from ..model.clocks import clock_hours
from ..model.outputs import RESULTS, SERIES
from .event_chances import CHANCES
from .labelled_data import make_dataset, require_xarray, run_attributes, warnings_attribute

if TYPE_CHECKING:
    import xarray

    from .risk import Risk


def risk_to_xarray(risk: Risk) -> xarray.Dataset:
    """Scalars with intervals, results by trial, time series by trial and hour; see `Risk.to_xarray`."""
    about = run_attributes(risk.van, risk.trip, risk.seed, risk.trials)
    zone = risk.clock.zone or f"UTC{risk.clock.utc_offset_h:+g} h"
    by_night = {"survival": ("1", "chance of no cut-out by the end of the night", risk.survival())}
    nights = list(range(1, risk.nights + 1))
    about |= warnings_attribute(risk.warnings)
    data = make_dataset({"night": nights}, by_night, precision=risk.precision, time_zone=zone, **about)
    for name, value in _scalars(risk).items():
        for end, part in (("", "value"), ("_low", "low"), ("_high", "high")):
            label = _SCALARS.get(name) or f"chance that {CHANCES[name].description}"
            data[name + end] = ((), getattr(value, part), {"units": "1", "long_name": label})
    for name, values in risk.columns.items():
        attributes = {"units": RESULTS[name].unit, "long_name": RESULTS[name].label, "comment": RESULTS[name].doc}
        data[name if name not in data else f"{name}_by_trial"] = ("trial", values, attributes)
    if risk.time_series_values:
        data = data.assign_coords(_hours(risk, zone))
    for name, variable in _series_variables(risk).items():
        data[name if name not in data else f"{name}_path"] = variable
    if "trial" in data.sizes:
        data = data.assign_coords(trial=_trial(risk))
    data["night"].attrs.update(units="1", long_name="night of the trip, 24 h each from the start")
    return data


def _trial(risk: Risk) -> tuple[str, NDArray[np.int64], dict[str, str]]:
    return "trial", np.arange(risk.trials), {"units": "1", "long_name": "trial, in the order of its draws"}


def time_series_to_xarray(risk: Risk) -> xarray.Dataset:
    """The hourly time series alone, with the time on the trip's clock; see `Risk.time_series`."""
    require_xarray()
    import pandas
    import xarray

    zone = risk.clock.zone or f"UTC{risk.clock.utc_offset_h:+g} h"
    hours = _hours(risk, zone)
    fixed = timezone(timedelta(hours=risk.clock.utc_offset_h))
    utc = pandas.DatetimeIndex(hours["time_utc"][1]).tz_localize("UTC")
    time = utc.tz_convert(risk.clock.zone or fixed)
    coordinates = {
        "trial": _trial(risk),
        **hours,
        "time": ("hour", time, {"long_name": "end of the hour on the trip's clock", "time_zone": zone}),
    }
    about = run_attributes(risk.van, risk.trip, risk.seed, risk.trials)
    return xarray.Dataset(
        _series_variables(risk), coordinates, {**about, "precision": risk.precision, "caution": CAUTION}
    )


def _series_variables(risk: Risk) -> dict[str, tuple[tuple[str, str], NDArray[np.float64], dict[str, str]]]:
    def attributes(name: str) -> dict[str, str]:
        series = SERIES[name]
        return {"units": series.unit, "long_name": series.doc, "cell_methods": f"hour: {_CELL_METHODS[series.type]}"}

    return {name: (("trial", "hour"), values, attributes(name)) for name, values in risk.time_series_values.items()}


_CELL_METHODS = {"mean over the hour": "mean", "lowest of the hour": "minimum", "at the end of the hour": "point"}
_SCALARS = {"risk": "probability that a low-voltage cut-out drops the fridge before the trip ends"}


def _scalars(risk: Risk) -> dict[str, _core.Estimate]:
    return {"risk": risk.cutout, **risk.chances}


def _hours(risk: Risk, zone: str) -> dict[str, Any]:
    """Hours since the start, and their ends in UTC and on the trip's clock."""
    hours = np.arange(1, risk.hours + 1)
    start = datetime.fromisoformat(risk.trip.start)
    utc = np.datetime64(start, "s") - np.timedelta64(round(3600 * risk.clock.utc_offset_h), "s")
    midnight = np.datetime64(start.date(), "s")
    local = np.array([round(3600 * float(clock_hours(risk.compiled, hour))) for hour in hours]).astype("timedelta64[s]")
    return {
        "hour": ("hour", hours, {"units": "h", "long_name": "hours since the start, at the end of the hour"}),
        "time_utc": (
            "hour",
            (utc + 3600 * hours.astype("timedelta64[s]")).astype("datetime64[ns]"),
            {"long_name": "end of the hour in UTC", "time_zone": "UTC"},
        ),
        "local_time": (
            "hour",
            (midnight + local).astype("datetime64[ns]"),
            {"long_name": "end of the hour on the trip's clock", "time_zone": zone},
        ),
    }
