"""The fridge's coefficient of performance, read off simulated vans, beside an ideal vapour cycle's."""

from __future__ import annotations

import bench
import ridethrough as rt
from CoolProp.CoolProp import PropsSI

AMBIENT_C = (10, 15, 20, 25, 30, 35, 38, 43)


EVAPORATOR_C, CONDENSER_RISE_K = -12.0, 13.0  # as the model has them


def vapour_cycle(evaporating_c: float, condensing_c: float, fluid: str = "R134a") -> float:
    """COP of the ideal cycle: saturated vapour in, saturated liquid out, no superheat, no pressure losses."""
    low, high = evaporating_c + 273.15, condensing_c + 273.15
    h1, s1 = (PropsSI(x, "T", low, "Q", 1, fluid) for x in "HS")
    h2 = PropsSI("H", "P", PropsSI("P", "T", high, "Q", 0, fluid), "S", s1, fluid)
    return float((h1 - PropsSI("H", "T", high, "Q", 0, fluid)) / (h2 - h1))


def measured_cop(air_c: float) -> float:
    """Heat through the walls over the compressor's energy, thirteen days after the first; its starts cost nothing, as
    the cycle has none."""
    fridge = rt.Fridge(
        ua_w_per_k=1.0,
        heat_leak_factor=1.0,
        vent_rise_k=0.0,
        start_loss_s=0.0,
        door_openings_per_day=0.0,
        initial_inside_c=4.0,
    )
    van = bench.van(bench.box_of_charge(2000, 2000), fridge=fridge)
    risk = rt.simulate(van, bench.trip(bench.climate(air_c), 14), trials=1, time_series=["fridge_w"])
    watts = risk.time_series_values["fridge_w"][0]
    return float((air_c - 4) / watts[24:].mean())  # the band is even about 4 degC
