"""The cut-outs of a step: what opens at a segment's end, and what closes again."""

from typing import TYPE_CHECKING, Any

import numpy as np

WAKING_A, WAKING_V, BMS_WAIT_H = 1.0, 13.0, 0.25
OVERCURRENT_WAIT_H = 1 / 60
NEAR = 1e-9  # V or h
FRIDGE_CUTOUT, SYSTEM_DISCONNECT, BATTERY_CUTOFF, OVERCURRENT = 1, 2, 3, 4


class Cutouts:
    """The latches of a :class:`Step`, which has the rest."""

    if TYPE_CHECKING:

        def __getattr__(self, name: str) -> Any:
            """What the step has."""

    def near(self, value, limit, tested):
        """Notes where a voltage or a timer stands so near its limit that rounding decides."""
        close = np.abs(value - limit) < NEAR
        if not close.any():
            return
        close = close & tested & self.active
        now = self.hour.step * self.plan.calendar.step_h + self.t
        self.s.near_h = np.where(close, np.minimum(self.s.near_h, now), self.s.near_h)

    def below(self, volts, threshold, tested):
        self.near(volts, threshold, tested)
        return tested & (volts < threshold)

    def over(self, hours, limit_h, tested):
        """A timer."""
        if limit_h > 0:
            self.near(hours, limit_h, tested)
        return tested & (hours >= limit_h)

    def test_volts(self):
        """Latches. The fridge's own cut-out acts first: the others see the volts without it."""
        plan, b, s, f, h = self.plan, self.plan.battery, self.s, self.flow, self.h
        rest_end = b.source_v(b.available_share(s.charge), self.factor, self.load_share)
        self.terminal_end_v = np.where(f.held, f.terminal_v, rest_end - s.charge.polarisation_v - f.ohm * f.battery_a)
        distribution_end = self.terminal_end_v - (f.terminal_v - f.distribution_v)
        fridge_end = self.terminal_end_v - (f.terminal_v - f.fridge_v)
        for i, of in enumerate((self.active & self.runs, self.active & ~self.runs)):
            seen_v = np.maximum(fridge_end, 0)
            self.lowest_v[i] = np.where(of, np.minimum(self.lowest_v[i], seen_v), self.lowest_v[i])
        self.relative_end = s.charge.ah / b.full_ah
        s.min_soc = self.keep(np.minimum(s.min_soc, self.relative_end), s.min_soc)

        drops_inverter, inverter_relief_v = self.test_inverter()
        if plan.inverter.delay_h <= plan.van.fridge.cutout_delay_s / 3600:
            fridge_end = fridge_end + inverter_relief_v
        low = self.below(fridge_end, plan.fridge.cutout_v, self.runs)
        s.fridge_low_h = self.keep(np.where(low, s.fridge_low_h + h, 0), s.fridge_low_h)
        drops_fridge = self.active & self.over(s.fridge_low_h, plan.van.fridge.cutout_delay_s / 3600, low)
        relief_a = np.where(drops_fridge, f.fridge_a, 0)
        drops_system = np.zeros(plan.n, bool)
        if plan.disconnect_v is not None:
            without = distribution_end + (f.ohm + plan.shared_ohm) * relief_a + inverter_relief_v
            low = self.below(without, plan.disconnect_v, self.distribution_on & (f.battery_a > 0))
            self.near(f.battery_a, 0, self.distribution_on & (without < plan.disconnect_v))
            s.system_low_h = self.keep(np.where(low, s.system_low_h + h, 0), s.system_low_h)
            drops_system = self.active & self.over(s.system_low_h, plan.van.disconnect.cutout_delay_s / 3600, low)
        record = plan.van.batteries[0]
        floor_v = record.bms_cutoff_v if b.lithium else record.brownout_v
        without = self.terminal_end_v + f.ohm * relief_a + inverter_relief_v
        drops_bus = self.active & self.below(without, floor_v, self.alive)
        on_current = np.zeros(plan.n, bool)
        if b.lithium:  # low cells may be charged
            self.near(f.battery_a, 0, drops_bus)
            drops_bus = drops_bus & (f.battery_a > 0)
            on_current = self.test_current(drops_inverter) & ~drops_bus
        self.stop_inverter(drops_inverter | (drops_bus & (self.inverter_a > 0)))
        opened = drops_fridge | drops_system | drops_bus | on_current

        first = self.ready & opened & (s.cutout_cause == 0)
        cutout_cause = np.select(
            [drops_fridge, drops_system, on_current], [FRIDGE_CUTOUT, SYSTEM_DISCONNECT, OVERCURRENT], BATTERY_CUTOFF
        )
        s.cutout_cause = np.where(first, cutout_cause, s.cutout_cause)
        from_start_h = self.hour.step * plan.calendar.step_h + self.t + h
        s.first_cutout_h = np.where(first, from_start_h, s.first_cutout_h)

        s.waited_h = np.where(opened, 0, s.waited_h + h)
        waits = self.active & ~opened & (s.bus_open | s.system_open | s.fridge_open)
        waited = self.over(s.waited_h, plan.van.fridge.restart_wait_s / 3600, waits)
        woken = None
        if b.lithium:
            woken = self.wakes() & self.over(s.waited_h, BMS_WAIT_H, s.bus_open & ~s.overcurrent_open)
            relieved = self.load_is_gone() & self.over(s.waited_h, OVERCURRENT_WAIT_H, s.overcurrent_open)
            woken = np.where(s.overcurrent_open, relieved, woken)
        back = woken if b.lithium else ~self.below(self.terminal_end_v, record.brownout_restart_v, s.bus_open)
        bus_closes = waited & back
        if b.lithium:  # the fridge waits anew
            s.waited_h = np.where(s.bus_open & bus_closes, 0, s.waited_h)
        system_closes = waited & self.alive
        if plan.disconnect_v is not None:
            system_closes &= ~self.below(self.terminal_end_v, plan.reconnect_v, s.system_open)
        fridge_back = ~self.below(distribution_end, plan.fridge.restart_v, s.fridge_open)
        fridge_closes = waited & self.distribution_on & fridge_back
        s.overcurrent_open = on_current | (s.overcurrent_open & ~bus_closes)
        s.bus_open = drops_bus | on_current | (s.bus_open & ~bus_closes)
        s.system_open = drops_system | (s.system_open & ~system_closes)
        s.fridge_open = drops_fridge | (s.fridge_open & ~fridge_closes)
        s.running = self.keep(self.runs, s.running)
        s.terminal_v = self.keep(self.terminal_end_v, s.terminal_v)
        s.nodes_c = [self.keep(new, old) for new, old in zip(self.nodes_c, s.nodes_c, strict=True)]

    def test_inverter(self):
        """Whether it cuts itself out, and by how much all else sees more then."""
        inverter, s, f, h = self.plan.inverter, self.s, self.flow, self.h
        low = self.below(self.terminal_end_v - inverter.ohm * self.inverter_a, inverter.cutout_v, self.inverter_a > 0)
        s.inverter_low_h = self.keep(np.where(low, s.inverter_low_h + h, 0), s.inverter_low_h)
        opens = self.active & self.over(s.inverter_low_h, inverter.delay_h, low)
        return opens, f.ohm * np.where(opens, self.inverter_a, 0)

    def stop_inverter(self, opens):
        """What hangs on it stops, and starts again once it has waited and finds the volts."""
        inverter, s, h = self.plan.inverter, self.s, self.h
        s.sums["inverter_cutouts"] = s.sums["inverter_cutouts"] + opens
        s.inverter_waited_h = np.where(opens, 0, s.inverter_waited_h + h)
        waits = self.active & ~opens & s.inverter_open & self.alive
        back = self.over(s.inverter_waited_h, inverter.wait_h, waits)
        back = back & ~self.below(self.terminal_end_v, inverter.restart_v, back)
        s.inverter_open = opens | (s.inverter_open & ~back)

    def test_current(self, inverter_opens):
        """Whether a BMS opens as too much is drawn."""
        s = self.s
        over = self.alive & ~inverter_opens & (self.flow.battery_a > self.plan.most_a)
        s.overcurrent_h = self.keep(np.where(over, s.overcurrent_h + self.h, 0), s.overcurrent_h)
        return self.active & self.over(s.overcurrent_h, self.plan.van.batteries[0].overcurrent_delay_s / 3600, over)

    def load_is_gone(self):
        """Whether a BMS that has opened on current would find less of it; chargers are not counted."""
        lost = np.where(self.s.inverter_open, self.asked_inverter, 0)
        return self.asked_distribution + self.asked_terminal_a - lost <= self.plan.most_a

    def finds_volts(self, terminal_v):
        """Whether something that is open finds the volts to close."""
        plan, s, f = self.plan, self.s, self.flow
        fridge, distribution_v = s.fridge_open & self.distribution_on, terminal_v - (f.terminal_v - f.distribution_v)
        found = fridge & ~self.below(distribution_v, plan.fridge.restart_v, fridge)
        if plan.disconnect_v is not None:
            system = s.system_open & self.alive
            found = found | (system & ~self.below(terminal_v, plan.reconnect_v, system))
        if not plan.battery.lithium:
            found = found | (s.bus_open & ~self.below(terminal_v, plan.van.batteries[0].brownout_restart_v, s.bus_open))
        return self.active & found

    def wakes(self):
        """After a lithium battery's cut-off and its wait: a charger with current to spare; the sun alone needs luck or
        a person."""
        solar_w, solar_a, drive_a, mains_a = self.offered
        spare = solar_w / WAKING_V + solar_a + drive_a + mains_a - self.asked_distribution - self.asked_terminal_a
        helped = (drive_a + mains_a > 0) | self.plan.wakes | self.hour.waking
        return (spare >= WAKING_A) & helped
