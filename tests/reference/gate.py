"""Loads that start only where the battery holds a voltage under their start current."""

import numpy as np

from .bus import Bus, balance
from .charge import holds
from .state import event_now
from .step import CHARGING_V, NOMINAL_V


def voltage_at_start(plan, s, hour, t, start_a, ohm):
    """At the terminals of a load that begins at t within the step and draws start_a through a cable of its own.
    Chargers are counted by their current alone."""
    b = plan.battery
    _, distribution_a, posts_a = event_now(hour, t)
    # Of a plain cable only the most that it carries is known here: it is not counted.
    drive_a = np.where(holds(hour.drive, t) & ~plan.alternator.link, hour.drive_a, 0)
    mains_a = np.where(holds(hour.shore, t), plan.mains_a, 0)
    fridge_w = np.where(s.running & ~s.fridge_open, plan.fridge.compressor_w, 0)
    distribution_a = distribution_a + start_a
    net = distribution_a + posts_a + fridge_w / NOMINAL_V
    net = net - hour.solar_w / CHARGING_V - hour.solar_a - drive_a - mains_a
    share = np.clip(net * 100 / b.capacity_ah, 0, 1)
    source_v = b.source_v(b.head(s.charge), b.capacity_factor(s.charge.temp_c), share) - s.charge.polarisation_v
    nothing = np.zeros(plan.n)
    flow = balance(
        Bus(
            source_v=source_v,
            ohm_out=b.ohm,
            ohm_in=b.ohm,
            shared_ohm=plan.shared_ohm,
            branch_ohm=plan.branch_ohm,
            distribution_a=distribution_a,
            posts_a=posts_a,
            fridge_w=fridge_w,
            solar_w=hour.solar_w,
            solar_a=hour.solar_a,
            dc_dc_a=drive_a,
            mains_a=mains_a,
            set_v=nothing,
            acceptance_a=nothing,
            fall_ohm=np.inf,
        )
    )
    return flow.distribution_v - ohm * start_a
