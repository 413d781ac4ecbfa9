"""Streams against NumPy, draws and elementary functions against SciPy and NumPy."""

from pathlib import Path

import numpy as np
import pytest
import ridethrough as rt
import ridethrough._checks as _checks
from numpy.random import PCG64, SeedSequence
from ridethrough import _core
from ridethrough.model import clocks
from scipy import special, stats

SEEDS = [0, 1, 42, 2**31, 2**32 - 1, 2**32, 2**32 + 1, 2**63, 2**64 - 1, *range(100, 150)]
SCENARIOS = Path(__file__).parents[2] / "data" / "scenarios"
TRIALS = [0, 1, 255, 2**32 - 1, 2**32, 2**32 + 7, 2**40 + 3, 2**63 - 1]


def sequence(seed, name, trial):
    return SeedSequence(seed, spawn_key=(_core.purpose_hash(name), trial))


@pytest.mark.parametrize("trial", TRIALS)
def test_streams_are_numpys(trial):
    for seed in SEEDS:
        for name in ("weather.clearness", "spread.battery.capacity_ah"):
            key = sequence(seed, name, trial)
            np.testing.assert_array_equal(_checks.seed_state(seed, name, trial), key.generate_state(4, np.uint64))
            np.testing.assert_array_equal(_checks.stream_draws(seed, name, trial, 16), PCG64(key).random_raw(16))


@pytest.mark.parametrize("instruction_set", _checks.instruction_sets())
def test_packs_make_each_trials_own_draws(instruction_set):
    """Parameters of trials on both sides of 2^32 in one pack: above it a trial is two words of the key."""
    scenario = rt.load_scenario(SCENARIOS / "agm_winter.toml")
    low, high = 0.2, 0.7
    van = scenario.van.replace(battery=rt.AgmBattery(initial_soc=rt.spreads.uniform(low, high)))
    compiled = clocks.compile_with_clock(van, scenario.trip.replace(nights=1))
    trials = [2**32 - 1, 2**32 + 7, 3, 2**40 + 3, 2**32, *range(40)]
    drawn = _core.trace(compiled, trials, 42, "double", [], instruction_set=instruction_set)["drawn"]
    own = [PCG64(sequence(42, "spread.battery.start_charge", t)).random_raw() for t in trials]
    u = (np.array([w & 0xFFFFFFFF for w in own]) + 0.5) / 2**32
    at = compiled.parameter_paths.index("battery.initial_soc")
    np.testing.assert_allclose(np.asarray(drawn)[:, at], low + u * (high - low), rtol=1e-15)


def test_first_draws_are_those_of_each_trial():
    drawn = _checks.first_draws(3, "load.laptop", 50)
    assert [int(w) for w in drawn] == [int(_checks.stream_draws(3, "load.laptop", t, 1)[0]) for t in range(50)]


@pytest.mark.parametrize("seed", [1, 2**40])
@pytest.mark.parametrize("half", [0, 32])
def test_first_draws_of_neighbouring_trials_are_uniform(seed, half):
    """Cross-stream check over 200,000 trials at 4.9 sigma (false alarm 1e-6).

    Cell probabilities 3.9 % off (rms) would be missed once in two million times.
    """
    trials, cells = 200_000, 256
    drawn = _checks.first_draws(seed, "weather.clearness", trials)
    counts = np.bincount(((drawn >> np.uint64(half + 24)) & np.uint64(0xFF)).astype(int), minlength=cells)
    chi2 = ((counts - trials / cells) ** 2 / (trials / cells)).sum()
    one_sided = stats.norm.sf(4.9)
    assert stats.chi2.sf(chi2, cells - 1) > one_sided
    assert stats.chi2.cdf(chi2, cells - 1) > one_sided
    # Neighbouring trials are uncorrelated.
    u = _checks.uniforms(drawn) - 0.5
    assert abs(12.0 * np.mean(u[1:] * u[:-1])) * np.sqrt(trials) < 4.9


def grid():
    """32-bit numbers: both ends and the middle in full, the rest in steps."""
    top, middle, few = 2**32, 2**31, 100_000
    parts = [np.arange(few), np.arange(middle - few, middle + few), np.arange(top - few, top), np.arange(0, top, 4001)]
    return np.concatenate(parts).astype(np.uint64)


def test_normals_match_scipy_over_the_grid():
    n = grid()
    u = (n.astype(float) + 0.5) / 2.0**32
    own = _checks.normals(n << np.uint64(32))
    np.testing.assert_array_equal(own, _checks.inverse_normal(u))
    np.testing.assert_allclose(own, special.ndtri(u), rtol=1e-14, atol=0)
    np.testing.assert_array_equal(_checks.normals((~n & np.uint64(2**32 - 1)) << np.uint64(32)), -own)


def test_uniforms_are_the_low_half():
    n = grid()
    high = np.uint64(0xABCD0123) << np.uint64(32)
    np.testing.assert_array_equal(_checks.uniforms(n | high), (n.astype(float) + 0.5) / 2.0**32)


def test_far_tails_and_round_trip():
    u = np.logspace(-300, np.log10(0.5), 5000)
    np.testing.assert_allclose(_checks.inverse_normal(u), special.ndtri(u), rtol=1e-14, atol=1e-15)
    z = np.linspace(-37.0, 8.0, 5001)
    own = _checks.math_double("normal_cdf", z)
    np.testing.assert_allclose(own[z > -5], special.ndtr(z[z > -5]), rtol=1e-14)
    # Far out SciPy's ndtr is itself 2e-13 off (exp of a rounded square: long double agrees with ours), its log is not.
    np.testing.assert_allclose(np.log(own), special.log_ndtr(z), rtol=1e-14, atol=1e-15)
    inside = z[(z > -37) & (z < 0)]
    back = _checks.inverse_normal(_checks.math_double("normal_cdf", inside))
    np.testing.assert_allclose(back, inside, rtol=1e-14, atol=1e-14)


NUMPY = {
    "exp": np.exp,
    "expm1": np.expm1,
    "log": np.log,
    "log1p": np.log1p,
    "sin": np.sin,
    "cos": np.cos,
    "acos": np.arccos,
    "asin": np.arcsin,
    "inverse_normal": special.ndtri,
    "normal_cdf": special.ndtr,
}


@pytest.mark.parametrize("name", NUMPY)
def test_functions_match_numpy(name):
    x = np.linspace(0.0, 1.0, 10_001)[1:-1]
    np.testing.assert_allclose(_checks.math_double(name, x), NUMPY[name](x), rtol=5e-15, atol=1e-15)
    if name not in ("acos", "asin", "normal_cdf"):
        x32 = x.astype(np.float32)
        np.testing.assert_allclose(_checks.math_float(name, x32), NUMPY[name](x32.astype(float)), rtol=6e-7, atol=5e-8)


def test_pow_matches_numpy():
    x = np.logspace(-3, 3, 10_001)
    np.testing.assert_allclose(_checks.pow_double(x, 1.28), x**1.28, rtol=5e-15)
    np.testing.assert_allclose(_checks.pow_float(x.astype(np.float32), 1.5), x.astype(np.float32) ** 1.5, rtol=3e-6)


@pytest.mark.parametrize("mean", [0.0, 0.3, 4.0, 25.0])
def test_counts_match_scipys_poisson(mean):
    u = (np.arange(20_000) + 0.5) / 20_000
    expected = np.minimum(stats.poisson.ppf(u, mean), 30) if mean > 0 else np.zeros(u.size)
    np.testing.assert_array_equal(_checks.poisson_counts(u, mean, 30), expected)


def test_bad_input_is_named():
    with pytest.raises(ValueError, match="name = 'tan'"):
        _checks.math_double("tan", np.array([1.0]))
    with pytest.raises(TypeError):
        _checks.stream_draws(-1, "a", 0, 1)
