"""One step, cut in time order where something switches: thermostat, largest event, drives and shore power, a battery
about to be empty. Each segment has its real currents; volts are tested at its end."""

import numpy as np

from .bus import Bus, Link, balance, balance_with_link
from .charge import until_change
from .state import CHARGING_V, MEANS, event_now, supplies_at, until_event

MOST_SEGMENTS = 10
EMPTY_SHARE, SHORTEST_EMPTY_H = 0.004, 0.02
WARM_ENOUGH_K = 0.01  # under their target, cells are not heated any more
NOMINAL_V = 12.0  # as CHARGING_V: at which powers are counted as currents where only a rough one is needed
WAKING_A, WAKING_V, BMS_WAIT_H = 1.0, 13.0, 0.25
FULL_FROM, SAGS_V, FALLS_FROM = 0.9, 12.8, 0.9
NEAR = 1e-9  # V or h
COOL_FOOD_C = 5.0
FRIDGE_CUTOUT, SYSTEM_DISCONNECT, BATTERY_CUTOFF = 1, 2, 3


def by_drive(plan, hour, head, factor, drive_a):
    """A plain cable, what a charger gives in its place, and about how much comes of either."""
    if not plan.alternator.link:
        return None, drive_a, drive_a
    volts = np.where(drive_a > 0, plan.alternator.link_v(hour.day), 0)
    link = Link(volts, plan.alternator.link_ohm(), drive_a)
    idle_v = plan.battery.source_v(head, factor, 0)
    return link, np.zeros(plan.n), np.clip((volts - idle_v) / (link.ohm + plan.battery.ohm), 0, drive_a)


class Step:
    """Takes the state through one step; `means`: hours times level of what the paths show."""

    def __init__(self, plan, state, hour):
        self.plan, self.s, self.hour = plan, state, hour
        self.t = np.zeros(plan.n)
        self.means = {name: np.zeros(plan.n) for name in MEANS}
        self.lowest_v = [np.full(plan.n, np.inf)] * 2  # at the fridge, with its compressor running and at rest
        self.factor = plan.battery.capacity_factor(state.charge.temp_c)
        plan.fridge.surroundings(hour.cabin_c, hour.heat_w)

    def run(self):
        for segment in range(MOST_SEGMENTS):
            self.remaining = self.plan.calendar.step_h - self.t
            self.active = self.remaining > 1e-7
            if not self.active.any():
                break
            self.switches()
            self.currents()
            self.length(last=segment == MOST_SEGMENTS - 1)
            self.flows()
            self.move()
            self.account()
            self.test_volts()
            self.charge_stage()
            self.t = self.t + self.h

    def switches(self):
        s, (low, high) = self.s, self.hour.band
        self.alive = ~s.bus_open
        self.distribution_on = self.alive & ~s.system_open
        self.ready = self.distribution_on & ~s.fridge_open
        inside = s.nodes_c[0]
        self.runs = self.ready & ((inside >= high) | (s.running & (inside > low)))
        self.bound = np.where(self.runs, low, high)
        self.motions = self.plan.fridge.motions(s.nodes_c, self.runs)
        self.to_switch = np.where(self.ready, self.motions[0].meets(self.bound, self.remaining), np.inf)

    def currents(self):
        """What is asked for and what is connected."""
        plan, hour, t = self.plan, self.hour, self.t
        _, self.asked_distribution, self.asked_posts = event_now(hour, t)
        self.offered = supplies_at(plan, hour, t)
        connected = self.alive if plan.battery.lithium else np.ones(plan.n, bool)
        self.solar_w, self.solar_a, self.drive_a, self.mains_a = (np.where(connected, x, 0) for x in self.offered)
        self.distribution_a = np.where(self.distribution_on, self.asked_distribution, 0)
        self.posts_a = np.where(self.alive, self.asked_posts, 0)
        self.fridge_w = np.where(self.runs, plan.fridge.running_w, 0)
        b, s = plan.battery, self.s
        self.head = b.head(s.charge)
        self.link, self.drive_a, driven_a = by_drive(plan, hour, self.head, self.factor, self.drive_a)
        loads = self.distribution_a + self.posts_a + self.fridge_w / NOMINAL_V
        self.net_a = loads - self.solar_w / CHARGING_V - self.solar_a - self.mains_a - driven_a

    def length(self, last):
        """How long all of this holds."""
        hour, t, b = self.hour, self.t, self.plan.battery
        h = np.minimum(self.remaining, self.to_switch)
        h = np.minimum(h, until_event(hour, t))
        for span in (hour.drive, hour.shore, hour.idle, hour.generator):
            h = np.minimum(h, until_change(span, t))
        self.heater_a = np.zeros(self.plan.n)
        if b.lithium and self.plan.van.batteries[0].cell_heater_w > 0:
            h = self.warm_cells(h)
        self.load_share = np.clip(self.net_a * 100 / b.capacity_ah, 0, 1)
        # The available well runs dry: at once of its own charge, in the long run of both wells'.
        left = self.head - self.load_share * (1 - self.factor) - EMPTY_SHARE
        both_h = left * b.full_ah / np.maximum(self.net_a, 1e-3)
        follows = b.k * np.maximum(both_h, 0)
        dry_h = both_h * (b.c + (1 - b.c) * follows / (1 + follows))
        h = np.where(self.net_a > 0, np.minimum(h, np.maximum(dry_h, SHORTEST_EMPTY_H)), h)
        if last:
            h = self.remaining
        self.h = np.where(self.active, h, 0)
        self.turned = self.active & (self.to_switch <= self.h)

    def warm_cells(self, h):
        """Self-heating cells take what the chargers give beyond the loads, until they are warm."""
        b, s, record = self.plan.battery, self.s, self.plan.van.batteries[0]
        from_c = record.heated_to_c - WARM_ENOUGH_K
        self.near(s.charge.temp_c, from_c, self.alive & (self.net_a < 0))
        cold = self.alive & (s.charge.temp_c < from_c)
        most = record.cell_heater_w * len(self.plan.van.batteries) / CHARGING_V
        self.heater_a = np.where(cold, np.clip(-self.net_a, 0, most), 0)
        watts = np.maximum(self.heater_a, 1e-3) * CHARGING_V
        warm_h = (record.heated_to_c - s.charge.temp_c) * b.cells_wh_per_k / watts
        self.net_a = self.net_a + self.heater_a
        self.posts_a = self.posts_a + self.heater_a
        return np.where(self.heater_a > 0, np.minimum(h, np.maximum(warm_h, SHORTEST_EMPTY_H)), h)

    def flows(self):
        """What then flows, and how a full battery may hang on rounding: between no current and hardly any."""
        plan, b, s = self.plan, self.plan.battery, self.s
        set_v = np.zeros(plan.n)
        offers = self.solar_w + self.solar_a, self.drive_a, self.mains_a
        for stages, offer in zip(plan.stages, offers, strict=True):
            volts = np.where(s.floating, stages.float_v, stages.absorption_v)
            set_v = np.where(offer > 0, np.maximum(set_v, volts), set_v)
        charges = set_v > 0 if self.link is None else (set_v > 0) | (self.link.volts > 0)
        self.relative = s.charge.ah / b.full_ah
        self.stored = b.stored_share(s.charge, -self.net_a)
        ohm_in, accepted, fall_ohm = b.ohm, np.zeros(plan.n), np.inf
        if charges.any():
            fall_ohm = b.fall_ohm(self.head, np.maximum(self.h, 1e-6))
            ohm_in = np.where(charges, b.charge_ohm(s.charge), b.ohm)
            accepted = np.where(charges, b.acceptance_a(s.charge, self.stored, np.maximum(self.h, 1e-6)), 0)
        self.rest_v = b.source_v(self.head, self.factor, self.load_share)
        bus = Bus(
            source_v=self.rest_v - s.charge.polarisation_v,
            ohm_out=b.ohm,
            ohm_in=ohm_in,
            shared_ohm=plan.shared_ohm,
            branch_ohm=plan.branch_ohm,
            distribution_a=self.distribution_a,
            posts_a=self.posts_a,
            fridge_w=self.fridge_w,
            solar_w=self.solar_w,
            solar_a=self.solar_a,
            dc_dc_a=self.drive_a,
            mains_a=self.mains_a,
            set_v=set_v,
            acceptance_a=accepted,
            fall_ohm=fall_ohm,
        )
        linked = self.link is not None and (self.link.volts > 0).any()
        self.flow = balance_with_link(bus, self.link) if linked else balance(bus)
        # A heater of cells that takes just what is spare: do the chargers then hold their voltage?
        self.near(self.flow.spare_a, 0, self.heater_a > 0)
        if not b.lithium:  # whose surface charge begins with any current
            self.near(self.flow.battery_a, 0, charges)

    def keep(self, new, old):
        return np.where(self.active, new, old)

    def move(self):
        """Battery and fridge to the segment's end."""
        b, s, f, h = self.plan.battery, self.s, self.flow, self.h
        old = s.charge
        self.polarisation_v = old.polarisation_v
        self.out_a = np.where(f.battery_a > 0, f.battery_a, self.stored * f.battery_a)
        available, bound = b.wells_after(old, self.out_a, h)
        mean_head = (self.head + available / (b.c * b.full_ah)) / 2
        polarisation_v = b.polarisation_after(old, mean_head, f.battery_a, h)
        temp_c = old.temp_c
        if self.heater_a.any():
            temp_c = temp_c + self.heater_a * f.terminal_v * h / b.cells_wh_per_k
        s.charge = type(old)(
            self.keep(available, old.available),
            self.keep(bound, old.bound),
            self.keep(polarisation_v, old.polarisation_v),
            self.keep(temp_c, old.temp_c),
        )
        inside, *box = (m.at(h) for m in self.motions)
        inside = np.where(self.turned, self.bound, inside)
        s.warmest[0] = self.keep(np.maximum(s.warmest[0], self.motions[0].warmest(h, inside)), s.warmest[0])
        self.above = lambda level: self.motions[0].hours_above(level, h, inside)
        self.warm_h = self.above(COOL_FOOD_C + 0 * h)
        spell = np.where(s.nodes_c[0] >= COOL_FOOD_C, s.warm_spell_h, 0) + self.warm_h
        s.longest_warm_spell_h = self.keep(np.maximum(s.longest_warm_spell_h, spell), s.longest_warm_spell_h)
        s.warm_spell_h = self.keep(np.where(inside >= COOL_FOOD_C, spell, 0), s.warm_spell_h)
        self.nodes_c = [inside, *box]
        if box:
            s.warmest[1] = self.keep(np.maximum(s.warmest[1], box[0]), s.warmest[1])

    def account(self):
        """Energies at the posts for sources and the loads' own terminals; an inactive trial has no hours."""
        f, h, s, hour = self.flow, self.h, self.s, self.hour
        amps = self.distribution_a + f.fridge_a
        wiring_w = self.plan.shared_ohm * amps**2 + self.plan.branch_ohm * f.fridge_a**2
        into_a = np.maximum(-f.battery_a, 0)
        lost_v = f.ohm * f.battery_a + self.polarisation_v - f.over_v
        battery_w = f.battery_a * lost_v + self.rest_v * into_a * (1 - self.stored)
        served_a = self.distribution_a + self.posts_a - self.heater_a
        level = {
            "terminal_v": f.terminal_v,
            "fridge_v": f.fridge_v,
            "solar_w": f.solar_a * f.terminal_v,
            "dc_dc_w": f.dc_dc_a * f.terminal_v,
            "mains_w": f.mains_a * f.terminal_v,
            "curtailed_w": np.maximum(hour.solar_w + (hour.solar_a - f.solar_a) * f.terminal_v, 0),
            "fridge_w": f.fridge_v * f.fridge_a,
            "other_loads_w": self.distribution_a * f.distribution_v + self.posts_a * f.terminal_v,
            "wiring_w": wiring_w,
            "battery_w": f.battery_a * f.terminal_v,
            "battery_a": f.battery_a,
            "fridge_off": ~self.ready,
        }
        for name, value in level.items():
            self.means[name] = self.means[name] + h * value
        for source in ("solar", "dc_dc", "mains", "curtailed", "fridge", "other_loads"):
            s.sums[source + "_wh"] = s.sums[source + "_wh"] + h * level[source + "_w"]
        added = {
            "loss_wh": h * (wiring_w + battery_w),
            "unserved_ah": h * (self.asked_distribution + self.asked_posts - served_a),
            "hours_off": h * ~self.ready,
            "hours_above_5c": self.warm_h,
            "frozen_food_h": h - self.above(0 * h),
            "hours_below_half": np.where(self.relative < 0.5, h, 0),
        }
        if self.plan.fridge.medicine is not None:
            cold, warm = self.plan.fridge.medicine
            added["medicine_out_coldest_h"] = h - self.above(2 - cold) + self.above(8 - cold)
            added["medicine_out_warmest_h"] = h - self.above(2 - warm) + self.above(8 - warm)
            added["medicine_frozen_h"] = h - self.above(-cold)
        for name, value in added.items():
            s.sums[name] = s.sums[name] + value

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
        rest_end = b.source_v(b.head(s.charge), self.factor, self.load_share)
        self.posts_end = np.where(f.held, f.terminal_v, rest_end - s.charge.polarisation_v - f.ohm * f.battery_a)
        distribution_end = self.posts_end - (f.terminal_v - f.distribution_v)
        fridge_end = self.posts_end - (f.terminal_v - f.fridge_v)
        for i, of in enumerate((self.active & self.runs, self.active & ~self.runs)):
            self.lowest_v[i] = np.where(of, np.minimum(self.lowest_v[i], fridge_end), self.lowest_v[i])
        self.relative_end = s.charge.ah / b.full_ah
        s.min_soc = self.keep(np.minimum(s.min_soc, self.relative_end), s.min_soc)

        low = self.below(fridge_end, plan.fridge.cutout_v, self.runs)
        s.fridge_low_h = self.keep(np.where(low, s.fridge_low_h + h, 0), s.fridge_low_h)
        drops_fridge = self.active & self.over(s.fridge_low_h, plan.van.fridge.cutout_delay_s / 3600, low)
        relief_a = np.where(drops_fridge, f.fridge_a, 0)
        drops_system = np.zeros(plan.n, bool)
        if plan.disconnect_v is not None:
            without = distribution_end + (f.ohm + plan.shared_ohm) * relief_a
            low = self.below(without, plan.disconnect_v, self.distribution_on & (f.battery_a > 0))
            self.near(f.battery_a, 0, self.distribution_on & (without < plan.disconnect_v))
            s.system_low_h = self.keep(np.where(low, s.system_low_h + h, 0), s.system_low_h)
            drops_system = self.active & self.over(s.system_low_h, plan.van.disconnect.cutout_delay_s / 3600, low)
        record = plan.van.batteries[0]
        floor_v = record.bms_cutoff_v if b.lithium else record.brownout_v
        drops_bus = self.active & self.below(self.posts_end + f.ohm * relief_a, floor_v, self.alive)
        opened = drops_fridge | drops_system | drops_bus

        first = self.ready & opened & (s.device == 0)
        device = np.select([drops_fridge, drops_system], [FRIDGE_CUTOUT, SYSTEM_DISCONNECT], BATTERY_CUTOFF)
        s.device = np.where(first, device, s.device)
        from_start_h = self.hour.step * plan.calendar.step_h + self.t + h
        s.first_cutout_h = np.where(first, from_start_h, s.first_cutout_h)

        s.waited_h = np.where(opened, 0, s.waited_h + h)
        waits = self.active & ~opened & (s.bus_open | s.system_open | s.fridge_open)
        waited = self.over(s.waited_h, plan.van.fridge.restart_wait_s / 3600, waits)
        back = self.woken() if b.lithium else ~self.below(self.posts_end, record.brownout_restart_v, s.bus_open)
        bus_closes = waited & back
        system_closes = waited & self.alive
        if plan.disconnect_v is not None:
            system_closes &= ~self.below(self.posts_end, plan.reconnect_v, s.system_open)
        fridge_back = ~self.below(distribution_end, plan.fridge.restart_v, s.fridge_open)
        fridge_closes = waited & self.distribution_on & fridge_back
        s.bus_open = drops_bus | (s.bus_open & ~bus_closes)
        s.system_open = drops_system | (s.system_open & ~system_closes)
        s.fridge_open = drops_fridge | (s.fridge_open & ~fridge_closes)
        s.running = self.keep(self.runs, s.running)
        s.terminal_v = self.keep(self.posts_end, s.terminal_v)
        s.nodes_c = [self.keep(new, old) for new, old in zip(self.nodes_c, s.nodes_c, strict=True)]

    def woken(self):
        """After a lithium battery's cut-off: a charger with current to spare; the sun alone needs luck or a person."""
        solar_w, solar_a, drive_a, mains_a = self.offered
        spare = solar_w / WAKING_V + solar_a + drive_a + mains_a - self.asked_distribution - self.asked_posts
        helped = (drive_a + mains_a > 0) | self.plan.wakes | self.hour.waking
        return (spare >= WAKING_A) & self.over(self.s.waited_h, BMS_WAIT_H, self.s.bus_open) & helped

    def charge_stage(self):
        """Absorption until the tail current or the time limit, then float; a sagging bus starts again."""
        plan, s, hour, f = self.plan, self.s, self.hour, self.flow
        absorbing = self.active & f.held & ~s.floating
        falls = self.relative_end >= FALLS_FROM if plan.battery.lithium else np.ones(plan.n, bool)
        s.absorbed_h = s.absorbed_h + np.where(absorbing & falls, self.h, 0)
        works = [span[1] > span[0] for span in (hour.shore, hour.generator, hour.drive, hour.idle)]
        stages = plan.stages[2 if works[0] or works[1] else 1 if works[2] or works[3] else 0]
        tail = absorbing & (-f.battery_a <= stages.tail_c_rate * plan.battery.capacity_ah)
        tail &= self.relative_end >= FULL_FROM
        s.full_today = s.full_today | tail
        done = tail | self.over(s.absorbed_h, stages.limit_h, absorbing)
        s.floating = (s.floating | done) & ~(self.active & (self.posts_end < SAGS_V))
