"""Discharge curves at constant current: this project's batteries in a van, and PyBaMM's stored ones."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import bench
import numpy as np
import ridethrough as rt

STORED = Path(__file__).parents[1] / "data" / "pybamm_discharge.csv"
STORED_REST = STORED.with_name("pybamm_rest_lfp.csv")
RATES_H = (20, 10, 5, 2)
CAPACITY_AH = 20.0
END_V = {"lead_acid": 10.5, "lfp": 10.0}
_STILL: dict[str, Any] = dict(
    capacity_ah=CAPACITY_AH,
    state_of_health=1.0,
    initial_soc=1.0,
    open_circuit_voltage_offset_v=0.0,
    capacity_factor_0c=1.0,
)
BATTERIES = {
    "lead_acid": rt.AgmBattery(**_STILL, resistance_mohm_100ah=6.5, polarisation_factor=0.4, brownout_v=9.5),
    "lfp": rt.LithiumBattery(
        **_STILL, resistance_mohm_100ah=7.0, bms_cutoff_v=9.5, polarisation_v=0.035, cell_imbalance=0.0
    ),
}
# So well insulated and so cold that its compressor rests for two days.
COLD_BOX = rt.Fridge(
    set_point_c=12,
    ua_w_per_k=0.05,
    heat_leak_factor=0.3,
    initial_inside_c=-30.0,
    door_openings_per_day=0.0,
    cutout_v=8.5,
    restart_v=9.0,
)


def stored(chemistry: str, rate_h: int) -> tuple[np.ndarray, np.ndarray]:
    """PyBaMM's: share of the nominal capacity taken, terminal V."""
    rows = [r for r in csv.reader(STORED.read_text().splitlines()[2:]) if r[:2] == [chemistry, str(rate_h)]]
    return np.array([float(r[2]) for r in rows]), np.array([float(r[3]) for r in rows])


def stored_rest() -> tuple[np.ndarray, np.ndarray]:
    """PyBaMM's LFP cells at rest: share of the charge, V."""
    rows = [r for r in csv.reader(STORED_REST.read_text().splitlines()[2:])]
    charge, volts = np.array(rows, float).T
    return charge, volts


def hours_to(chemistry: str, rate_h: int, volts: float) -> float:
    """Hours from full until the terminals are under a voltage, as a disconnect without delay finds it."""
    van = bench.van(
        BATTERIES[chemistry],
        fridge=COLD_BOX,
        loads=[rt.Standby(current_a=CAPACITY_AH / rate_h)],
        wiring=rt.Wiring(shared_mohm=0.0, fridge_branch_mohm=0.0),
        disconnect=rt.SystemDisconnect(cutout_v=volts, restart_v=14.0, cutout_delay_s=0.0),
    )
    trip = bench.trip(bench.climate(25.0), 2, step_min=1)
    risk = rt.simulate(van, trip, trials=1)
    return float(risk.columns["first_cutout_h"][0])


def hourly(chemistry: str, rate_h: int) -> np.ndarray:
    """Mean terminal V of each hour from full."""
    van = bench.van(BATTERIES[chemistry], fridge=COLD_BOX, loads=[rt.Standby(current_a=CAPACITY_AH / rate_h)])
    return np.asarray(
        rt.simulate(
            van, bench.trip(bench.climate(25.0), 2, step_min=1), trials=1, time_series=["terminal_v"]
        ).time_series_values["terminal_v"][0]
    )


def share(chemistry: str, rate_h: int) -> float:
    """Ah to the end voltage over the rated ones."""
    return hours_to(chemistry, rate_h, END_V[chemistry]) / rate_h


def side_by_side(chemistry: str, rate_h: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Middle of each whole hour as a share of the own C/20 capacity, our mean terminal V over it, and PyBaMM's."""
    own = share(chemistry, 20)
    hours = int(hours_to(chemistry, rate_h, END_V[chemistry]))
    taken, volts = stored(chemistry, rate_h)
    taken = taken / stored(chemistry, 20)[0][-1]
    area = np.concatenate([[0], np.cumsum((volts[1:] + volts[:-1]) / 2 * np.diff(taken))])
    edges = np.arange(hours + 1) / rate_h / own
    kept = int((edges <= taken[-1]).sum()) - 1  # hours that PyBaMM's cell lives through too
    edges = edges[: kept + 1]
    theirs = np.diff(np.interp(edges, taken, area)) / np.diff(edges)
    return (edges[1:] + edges[:-1]) / 2, hourly(chemistry, rate_h)[:kept], theirs
