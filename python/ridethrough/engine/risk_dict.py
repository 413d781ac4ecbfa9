"""A risk as plain numbers and texts, ready for JSON."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

import ridethrough._core as _core

from ..model.cautions import CAUTION, MEDICINE_CAUTION, cautions
from ..model.climate_source import source_of
from ..model.clocks import clock_dict
from ..model.outputs import CUTOUT_CAUSES, FLAGS, MEDICINE
from ..model.van_parts import climate_of
from ..version import __version__
from .content import plain_content

LEVELS = (0.05, 0.10, 0.20)  # risks at which nights are counted in reports

if TYPE_CHECKING:
    from ..model.places import Place
    from .risk import Risk


def risk_to_dict(risk: Risk) -> dict[str, Any]:
    """Plain numbers and texts; see `Risk.to_dict`."""
    middling, hard = risk.day_balances
    hours = np.repeat(np.arange(risk.hours), risk.cutouts_by_hour)
    return {
        "version": __version__,
        "van": plain_content(risk.van),
        "trip": plain_content(risk.trip),
        "cutout": _estimate(risk.cutout),
        "fridge_off_over_1h": _estimate(risk.fridge_off_over_1h),
        "interval_covers": "sampling error alone",
        "model_error": risk.model_error.to_dict(risk.cutout.value),
        "likely_range": likely_range_dict(risk),
        "nights_at": [_nights_at(risk, level) for level in LEVELS],
        "seed": risk.seed,
        "precision": risk.precision,
        "nights": risk.nights,
        "clock": clock_dict(risk.compiled),
        "places": [_place(p) for p in risk.places],
        "medicine": _medicine(risk),
        "survival_by_night": [_estimate(e) for e in risk.survival()],
        "median_first_cutout_h": float(np.median(hours)) if len(hours) else None,
        "first_cutouts_by_cause": {k: v for k, v in risk.cutout_causes.items() if k != CUTOUT_CAUSES[0]},
        "min_soc": dict(zip(("q05", "q50", "q95"), risk.min_soc_quantiles([0.05, 0.5, 0.95]).tolist(), strict=True)),
        "means": {k: v for k, v in risk.means.items() if math.isfinite(v) and k not in FLAGS},
        **{name: _estimate(risk.flag_chance(name)) for name in FLAGS},
        "chances": {name: _estimate(e) for name, e in risk.chances.items()},
        "hours_above_5c_if_failed": _warm_if_failed(risk),
        "mains_drawn_wh": risk.mains_drawn_wh,
        "load_ah": risk.load_ah,
        **{key: _estimate(e) for key, e in risk.tank_chances().items()},
        "failing_trials_had": [vars(d) for d in risk.failing_differences],
        "middling_days_wh": vars(middling),
        "hard_days_wh": vars(hard),
        "replayed_starts": risk.compiled.replay_starts or None,
        "warnings": list(risk.warnings),
        "caution": " ".join([*cautions(risk.van, risk.trip), CAUTION]),
    }


def _place(place: Place) -> dict[str, Any]:
    return {
        "name": place.name,
        "latitude": place.site.latitude,
        "longitude": place.site.longitude,
        "first_night": place.first_night,
        "nights": place.nights,
        "climate": source_of(climate_of(place.site)).to_dict(),
    }


def _estimate(estimate: _core.Estimate) -> dict[str, Any]:
    return {
        "value": estimate.value,
        "low": estimate.low,
        "high": estimate.high,
        "confidence": estimate.confidence,
        "events": estimate.events,
        "trials": estimate.trials,
    }


def likely_range_dict(risk: Risk) -> dict[str, Any]:
    """The range with the model's error, and what it covers."""
    low, high = risk.likely_range
    return {"low": low, "high": high, "covers": "sampling and known errors of the model, two standard deviations"}


def _nights_at(risk: Risk, level: float) -> dict[str, Any]:
    return {
        "risk": level,
        "nights": risk.nights_at(level),
        "nights_with_model_error": risk.nights_at(level, model_error=True),
    }


def _warm_if_failed(risk: Risk) -> dict[str, Any] | None:
    if not risk.cutout.events:
        return None
    mean, tenth = risk.warm_h_if_failed()
    return {"mean": mean, "exceeded_by_1_in_10": tenth, "trials": risk.cutout.events}


def _medicine(risk: Risk) -> dict[str, Any] | None:
    if risk.van.fridge.medicine is None:
        return None
    out: dict[str, Any] = {
        name: {"mean_h": risk.means[name], "trials_with_any": risk.event_counts[name]} for name in MEDICINE
    }
    return out | {"trials": risk.trials, "pass_mark": None, "caution": MEDICINE_CAUTION}
