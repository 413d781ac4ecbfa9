"""The two constants of an AGM's wells, c and k', fitted to the shares of its rated charge that this project states.

    PYTHONPATH=tests python tests/long/fit_wells.py

A full 100 Ah battery of the reference model, with its resistance, polarisation and rest-voltage table at their
middles and at 25 degC, is discharged at C/20, C/10, C/5 and C/2 until its terminals are at 10.5 V. Shares, and how long
the bound charge takes to follow at rest, are from memory. Least squares, each miss over half the width of its range.

What the fit can and cannot tell: C/20 is 1.00 whatever the pair, as the wells are filled so that they give the rated
charge in 20 h. C/10 and C/5 give (1 - c) / (c k'), the delay of the bound charge, and nothing else: the pairs lie along
a ridge. Only C/2 and the rest tell where on it, and they disagree: no pair that meets the shares is within the range
of the rest. The fit lies between, on the ridge.
"""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
from reference.battery import Agm, Charge
from scipy import optimize

RATES_H = (20, 10, 5, 2)
TARGET = np.array([0.99, 0.95, 0.84, 0.55])  # share of the rated charge to 10.5 V, from memory
LOW = np.array([0.97, 0.93, 0.82, 0.53])
HIGH = np.array([1.00, 0.96, 0.86, 0.57])
END_V = 10.5
EVENED, EVENED_H = 0.95, (4.0, 10.0)  # at rest the heads of the wells are one but for a twentieth, from memory
RATED_AH, STEP = 100.0, 1e-3  # of the rated charge, at every rate
# The declared middles, cpp/src/battery/agm.cpp.
REST_V = [11.50, 11.55, 11.85, 12.00, 12.12, 12.23, 12.34, 12.45, 12.56, 12.67, 12.80]
MIDDLE = {
    "open_circuit_voltage_offset_v": 0.0,
    "capacity_factor_0c": 0.77,
    "polarisation_factor": 0.4,
    "acceptance_per_h": 0.7,
    "acceptance_exponent": 2.0,
    "acceptance_halving_k": 25.0,
}
FIXED = {"end_of_discharge_drop_v": 0.9, "weeks_at_partial_charge": 0.0, "measured_capacity_ah": None}
OHM = 0.0065


def shares(c: float, k: float) -> np.ndarray:
    """Share of the rated charge at each rate until the terminals fall to 10.5 V."""
    rates_h = np.array(RATES_H)
    amps, step_h = RATED_AH / rates_h, STEP * rates_h
    battery = Agm(SimpleNamespace(open_circuit_voltage_v=REST_V, **FIXED), MIDDLE.__getitem__)
    battery.c, battery.k, battery.capacity_ah, battery.ohm = c, k, RATED_AH, OHM
    battery.full_ah = RATED_AH * battery.full_per_capacity()
    state = battery.full(1.0, np.full(len(amps), 25.0))
    found, before_v = np.full(len(amps), np.nan), np.full(len(amps), 13.0)
    for step in range(int(1.2 / STEP)):
        polarisation_v = battery.polarisation_after(state, battery.available_share(state), 1.0, amps, step_h)
        available, bound = battery.wells_after(state, amps, step_h)
        state = Charge(available, bound, polarisation_v, state.temp_c)
        terminal_v = battery.source_v(battery.available_share(state), 1.0, 1.0) - polarisation_v - amps * OHM
        crosses = np.isnan(found) & (terminal_v < END_V)
        part = (before_v - END_V) / np.where(crosses, before_v - terminal_v, 1)
        found = np.where(crosses, (step + part) * STEP, found)
        before_v = terminal_v
        if not np.isnan(found).any():
            break
    return found


def evened_h(k: float) -> float:
    """Hours at rest until the heads differ by a twentieth of what they did."""
    return float(-np.log(1 - EVENED) / k)


def meets(found: np.ndarray) -> bool:
    """All shares within the stated ranges, to a step."""
    return bool(np.all((found >= LOW) & (found <= HIGH + STEP)))


def misses(pair: np.ndarray) -> np.ndarray:
    of_shares = (shares(*pair) - TARGET) / ((HIGH - LOW) / 2)
    return np.append(of_shares, (evened_h(pair[1]) - np.mean(EVENED_H)) / (np.ptp(EVENED_H) / 2))


def fitted(rest: bool = True) -> tuple[np.ndarray, np.ndarray]:
    """c and k', and their covariance where each miss is one standard deviation; without the rest: shares alone."""
    found = optimize.least_squares(
        lambda pair: misses(pair)[: None if rest else -1],
        [0.4, 1.5],
        x_scale=[0.1, 1.0],
        diff_step=1e-3,
        bounds=([0.05, 0.2], [0.95, 20.0]),
    )
    return found.x, np.linalg.inv(found.jac.T @ found.jac)


def row(name: str, c: float, k: float) -> str:
    found = shares(c, k)
    return (
        f"{name:24} c {c:.3f}, k' {k:.3f} /h, delay {(1 - c) / c / k:.2f} h; "
        + ", ".join(f"C/{h} {share:.3f}" for h, share in zip(RATES_H, found, strict=True))
        + f"; evened at rest in {evened_h(k):.1f} h; {'meets' if meets(found) else 'LEAVES'} the ranges"
    )


def main() -> None:
    for name, rest in (("shares alone", False), ("shares and rest", True)):
        pair, covariance = fitted(rest)
        sd = np.sqrt(np.diag(covariance))
        print(row(name, *pair))
        print(f"{'':24} sd {sd[0]:.3f} and {sd[1]:.2f}, correlation {covariance[0, 1] / sd.prod():.3f}")
    print(row("as used", Agm.c, Agm.k))
    print("\nAlong the ridge, the best c for each k':")
    for k in (0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 6.0):
        best = optimize.minimize_scalar(lambda c, k=k: np.sum(misses(np.array([c, k]))[:-1] ** 2), bounds=(0.05, 0.95))
        print(row("", best.x, k))


if __name__ == "__main__":
    main()
