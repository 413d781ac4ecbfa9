"""Loads that start only where the battery holds a voltage under their start current."""

import numpy as np

from .bus import Bus, balance, balance_with_cable
from .state import CHARGING_V, event_now, supplies_at
from .step import NOMINAL_V, by_drive


def voltage_at_start(plan, s, hour, t, start_a, ohm):
    """At the terminals of a load that begins at t within the step and draws start_a through a cable of its own.
    Chargers are counted by their current alone: they lift the terminals no higher than the battery."""
    b = plan.battery
    _, distribution_a, inverter_a = event_now(hour, t)
    terminal_a = hour.terminal_a + np.where(s.inverter_open, 0, inverter_a)
    solar_w, solar_a, drive_a, mains_a = supplies_at(plan, hour, t)
    fridge_w = np.where(s.running & ~s.fridge_open, plan.fridge.running_w, 0)
    available_share, factor = b.available_share(s.charge), b.capacity_factor(s.charge.temp_c)
    distribution_a = distribution_a + start_a
    rest_a = distribution_a + terminal_a + fridge_w / NOMINAL_V - solar_w / CHARGING_V - solar_a - mains_a
    cable, drive_a, driven_a = by_drive(plan, hour, available_share, factor, drive_a, rest_a)
    share = np.clip((rest_a - driven_a) * 100 / b.capacity_ah, 0, 1)
    source_v = b.source_v(available_share, factor, share) - s.charge.polarisation_v
    nothing = np.zeros(plan.n)
    bus = Bus(
        source_v=source_v,
        ohm_out=b.ohm * b.slowness(s.charge.temp_c),
        ohm_in=b.ohm * b.slowness(s.charge.temp_c),
        shared_ohm=plan.shared_ohm,
        branch_ohm=plan.branch_ohm,
        distribution_a=distribution_a,
        terminal_a=terminal_a,
        fridge_w=fridge_w,
        solar_w=solar_w,
        solar_a=solar_a,
        dc_dc_a=drive_a,
        mains_a=mains_a,
        set_v=nothing,
        acceptance_a=nothing if cable is None else np.full(plan.n, np.inf),
        fall_ohm=np.inf,
    )
    flow = balance(bus) if cable is None else balance_with_cable(bus, cable)
    return flow.distribution_v - ohm * start_a
