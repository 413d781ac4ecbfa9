"""Discharge curves and rested volts of PyBaMM's cells, scaled to 12 V, for
tests/python/physics/test_discharge_shape.py.

    pip install 'pybamm==26.10.*' && python tests/long/pybamm_curves.py [--check]

Writes tests/data/pybamm_discharge.csv and pybamm_rest_lfp.csv. Lead-acid: PyBaMM's parameter set Sulzer2019 (Sulzer et
al. 2019, J. Electrochem. Soc. 166, A2363), full model, six cells. LFP: Prada2013 (Prada et al. 2013, J. Electrochem.
Soc. 160, A616), Doyle-Fuller-Newman model, four cells. At 25 degC, constant currents C/20 to C/2 of the nominal
capacity, from full to 10.5 V (lead-acid) or 10 V (LFP); LFP at rest from the cell's empty, 2.0 V, to its full, 3.6 V.
With --check the curves are made again and compared with the stored ones, and nothing is written.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

os.environ["PYBAMM_DISABLE_TELEMETRY"] = "true"

import numpy as np  # noqa: E402
import pybamm  # noqa: E402
from pybamm.models.full_battery_models.lithium_ion.electrode_soh import get_initial_stoichiometries  # noqa: E402

STORED = Path(__file__).parents[1] / "data" / "pybamm_discharge.csv"
STORED_REST = STORED.with_name("pybamm_rest_lfp.csv")
REST_CHARGE = (0, 0.005, 0.03, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.98, 1)
RATES_H = (20, 10, 5, 2)
# chemistry: model, parameter set, cells in series, volts at the end
CELLS = {
    "lead_acid": (pybamm.lead_acid.Full, "Sulzer2019", 6, 10.5),
    "lfp": (pybamm.lithium_ion.DFN, "Prada2013", 4, 10.0),
}
POINTS = 81


def curve(chemistry: str, rate_h: int) -> tuple[np.ndarray, np.ndarray]:
    """Share of the nominal capacity taken, and volts at the terminals of a 12 V battery, at even steps to the end."""
    model, name, cells, end_v = CELLS[chemistry]
    values = pybamm.ParameterValues(name)
    nominal_ah = float(values["Nominal cell capacity [A.h]"])
    values["Current function [A]"] = nominal_ah / rate_h
    values["Lower voltage cut-off [V]"] = end_v / cells
    time_s = np.linspace(0, 3600 * rate_h * 1.6, 4000)
    simulation = pybamm.Simulation(model(), parameter_values=values)
    found = simulation.solve([0, time_s[-1]], t_interp=time_s)
    hours, volts = found["Time [h]"].entries, found["Voltage [V]"].entries * cells
    share = hours / rate_h
    even = np.linspace(0, share[-1], POINTS)
    return even, np.interp(even, share, volts)


def table() -> list[str]:
    """Lines of the stored file."""
    lines = [
        f"# PyBaMM {pybamm.__version__}, sets Sulzer2019 (lead-acid, six cells) and Prada2013 (LFP, four), 25 degC",
        "chemistry,rate_h,share_of_nominal,terminal_v",
    ]
    for chemistry in CELLS:
        for rate_h in RATES_H:
            share, volts = curve(chemistry, rate_h)
            print(f"{chemistry} C/{rate_h}: {share[-1]:.3f} of the nominal capacity", flush=True)
            lines += [f"{chemistry},{rate_h},{s:.5f},{v:.4f}" for s, v in zip(share, volts, strict=True)]
    return lines


def rest_table() -> list[str]:
    """The same for the open circuit of the four LFP cells."""
    values = pybamm.ParameterValues(CELLS["lfp"][1])
    cells = CELLS["lfp"][2]
    lines = [f"# PyBaMM {pybamm.__version__}, set Prada2013, four cells in series, 25 degC", "charge,rest_v"]
    for charge in REST_CHARGE:
        share = dict(zip(("Negative", "Positive"), get_initial_stoichiometries(charge, values), strict=True))
        volts = {
            side: float(values.evaluate(values[f"{side} electrode OCP [V]"](pybamm.Scalar(at))))
            for side, at in share.items()
        }
        lines.append(f"{charge},{cells * (volts['Positive'] - volts['Negative']):.3f}")
    return lines


def main() -> int:
    lines, rest = table(), rest_table()
    if "--check" not in sys.argv:
        STORED.write_text("\n".join(lines) + "\n")
        STORED_REST.write_text("\n".join(rest) + "\n")
        return 0
    new, old = ([line.split(",")[2:] for line in text[2:]] for text in (lines, STORED.read_text().splitlines()))
    worst = np.abs(np.array(new, float) - np.array(old, float)).max(axis=0)
    new, old = ([line.split(",") for line in text[2:]] for text in (rest, STORED_REST.read_text().splitlines()))
    at_rest = np.abs(np.array(new, float) - np.array(old, float)).max(axis=0)
    print(f"largest change: {worst[0]:.5f} of the capacity, {worst[1]:.4f} V; at rest {at_rest[1]:.4f} V")
    return 0 if worst[0] < 0.002 and worst[1] < 0.01 and at_rest[0] == 0 and at_rest[1] < 0.01 else 1


if __name__ == "__main__":
    sys.exit(main())
