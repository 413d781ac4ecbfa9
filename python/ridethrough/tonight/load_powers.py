"""What a van's loads take while they are on, for a reading whose owner says what is on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ..model.classes import BreathingMachine, Detectors, EBike, GuestEvening, Heater, Inverter, Standby, Van
from ..model.errors import unknown_name
from ..model.quantities import NOMINAL_V
from ..model.values import mean_value
from ..model.van_parts import in_common

ALWAYS_ON = (Standby, Detectors)
PEOPLE = 2  # of a couple, for whom the loads' figures are


def loads_w(van: Van, names: Sequence[str]) -> float:
    """Power of these loads and of what is always on [W], at the battery's nominal volts; means of spreads.

    InputError of a name that the van has not.
    """
    by_name = {load.name: load for load in van.loads}
    for name in names:
        if name not in by_name:
            hint = (
                "the compressor has an argument of its own: compressor=True" if name in ("fridge", "compressor") else ""
            )
            raise unknown_name("Reading.on", name, list(by_name), "no such load in this van", hint=hint)
    volts = NOMINAL_V[type(in_common(van)).__name__]
    return sum(load_w(load, volts) for load in van.loads if load.name in names or isinstance(load, ALWAYS_ON))


def load_w(load: Any, volts: float) -> float:
    """What one load takes from the battery while it is on [W]."""
    if isinstance(load, BreathingMachine):
        night_ah = load.night_ah if load.night_ah is not None else 55 if load.heated_humidifier == "yes" else 20
        return volts * mean_value(night_ah) / load.duration_h
    if isinstance(load, EBike):  # one bike
        return mean_value(load.energy_wh) / mean_value(load.efficiency) / load.duration_h
    if isinstance(load, Heater):  # between its smallest and its full flame
        return volts * (mean_value(load.low_current_a) + mean_value(load.full_current_a)) / 2
    if isinstance(load, Inverter):
        return volts * mean_value(load.idle_current_a)
    if isinstance(load, GuestEvening):
        return volts * mean_value(load.charge_ah) / load.duration_h
    if hasattr(load, "charge_ah"):  # phones, tablets: so many at once
        count = PEOPLE if load.count is None else load.count
        return volts * count * mean_value(load.charge_ah) / float(load.duration_h)
    if hasattr(load, "current_a"):
        return volts * mean_value(load.current_a)
    return mean_value(load.power_w) / mean_value(load.efficiency)  # at the inverter's outlet
