"""Sobol' indices and Morris screening of a noisy function of uncertain inputs.

Designs and estimators are those of SALib (Saltelli 2010; Jansen 1999; Morris 1991; Campolongo 2007). The function is
evaluated twice at every point, with independent noise: the same estimators over half the difference see what the noise
does, variance and indices, and that is taken off what they see over the mean.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

import ridethrough._core as _core

from ..model.errors import bad_input, missing_package

Array = NDArray[np.float64]
Evaluate = Callable[[Array], tuple[Array, Array]]
METHODS = {"sobol": ("total", "first_order"), "morris": ("mu_star", "sigma")}
_MORRIS_TAIL = 0.01  # Morris steps to the ends of an input, and a normal distribution has none
_RESAMPLES = 200


@dataclass(frozen=True)
class UncertainInput:
    """What is not known about one number, and the range it is cut to."""

    spread: _core.Spread
    low: float
    high: float

    def values(self, shares: Array) -> list[float]:
        """The input's values at shares of its distribution."""
        return [self.spread.quantile(float(u), self.low, self.high) for u in shares]


@dataclass(frozen=True)
class SensitivityIndices:
    """One row per input. Half widths are those of 95 % bootstrap intervals."""

    method: str
    columns: dict[str, Array]
    noise_share: float  # of the variance over the points: noise, not inputs
    points: int


def design(inputs: int, method: str, samples: int, seed: int) -> Array:
    """Shares (0 to 1) of each input, shape (points, inputs)."""
    sampler = _salib("sample", method)
    if method == "sobol":
        if samples < 8 or samples & (samples - 1):
            raise bad_input("samples", samples, allowed="powers of two from 8 on (Sobol' points)")
        shares = sampler.sample(_problem(inputs, 0.0), samples, calc_second_order=False, seed=seed % 2**32)
    else:
        shares = sampler.sample(_problem(inputs, _MORRIS_TAIL), samples, seed=seed % 2**32)
    clipped: Array = np.clip(np.asarray(shares, dtype=float), 1e-9, 1 - 1e-9)
    return clipped


def analyse(
    inputs: Mapping[str, UncertainInput],
    evaluate: Evaluate,
    *,
    method: str = "sobol",
    samples: int = 256,
    seed: int = 0,
) -> SensitivityIndices:
    """Indices of ``evaluate``, which takes values of shape (points, inputs) and gives two arrays (points,)."""
    if method not in METHODS:
        raise bad_input("method", method, allowed=", ".join(map(repr, METHODS)))
    shares = design(len(inputs), method, samples, seed)
    values = np.column_stack([x.values(shares[:, i]) for i, x in enumerate(inputs.values())])
    first, second = evaluate(values)
    mean, noise = (first + second) / 2, (first - second) / 2
    if not np.ptp(mean):
        raise bad_input(f"the outcome is {mean[0]:g} at all {len(mean):,} points", reason="nothing to rank")
    make = _sobol if method == "sobol" else _morris
    columns, share = make(len(inputs), shares, mean, noise, seed % 2**32)
    return SensitivityIndices(method, columns, share, len(mean))


def _sobol(inputs: int, shares: Array, mean: Array, noise: Array, seed: int) -> tuple[dict[str, Array], float]:
    of_mean, variance = _sobol_parts(inputs, mean, seed)
    of_noise, noise_variance = _sobol_parts(inputs, noise, seed)
    clean = variance - noise_variance
    if clean <= 0:
        raise bad_input("the noise hides every effect of the inputs", reason="more trials, or wider spreads")
    columns: dict[str, Array] = {}
    for ours, theirs in (("first_order", "S1"), ("total", "ST")):
        columns[ours] = (of_mean[theirs] - of_noise[theirs]) / clean
        half = np.hypot(of_mean[f"{theirs}_conf"], of_noise[f"{theirs}_conf"])
        columns[f"{ours}_half_width"] = half / clean
    return columns, noise_variance / variance


def _sobol_parts(inputs: int, y: Array, seed: int) -> tuple[dict[str, Array], float]:
    """SALib's indices times the variance that they are shares of."""
    base = y.reshape(-1, inputs + 2)[:, [0, -1]]
    variance = float(np.var(base))
    if not variance:
        return {key: np.zeros(inputs) for key in ("S1", "ST", "S1_conf", "ST_conf")}, 0.0
    analysed = _salib("analyze", "sobol").analyze(
        _problem(inputs, 0.0), y, calc_second_order=False, num_resamples=_RESAMPLES, seed=seed
    )
    return {key: np.asarray(analysed[key]) * variance for key in ("S1", "ST", "S1_conf", "ST_conf")}, variance


def _morris(inputs: int, shares: Array, mean: Array, noise: Array, seed: int) -> tuple[dict[str, Array], float]:
    """Mean size and spread of the change across the middle 98 % of an input; ``mu_star_noise`` is noise's own."""
    problem, analyser = _problem(inputs, _MORRIS_TAIL), _salib("analyze", "morris")
    how: dict[str, Any] = {"num_resamples": _RESAMPLES, "seed": seed}
    found = analyser.analyze(problem, shares, mean, **how)
    own = analyser.analyze(problem, shares, noise, **how)
    columns = {
        "mu_star": np.asarray(found["mu_star"], dtype=float),
        "mu_star_half_width": np.asarray(found["mu_star_conf"], dtype=float),
        "mu": np.asarray(found["mu"], dtype=float),
        "sigma": np.asarray(found["sigma"], dtype=float),
        "mu_star_noise": np.asarray(own["mu_star"], dtype=float),
    }
    return columns, float(np.var(noise) / np.var(mean))


def _problem(inputs: int, tail: float) -> dict[str, Any]:
    return {"num_vars": inputs, "names": [f"x{i}" for i in range(inputs)], "bounds": [[tail, 1 - tail]] * inputs}


def _salib(part: str, method: str) -> Any:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)  # raised by its own imports
            import importlib

            return importlib.import_module(f"SALib.{part}.{method}")
    except ImportError:
        raise missing_package("sensitivity needs SALib", "pip install '.[study]' in a checkout") from None
