"""One step, cut in time order where something switches: thermostat, largest event, drives and shore power, a battery
about to be empty. Each segment has its real currents; volts are tested at its end."""

import numpy as np

from .bus import Bus, Cable, balance, balance_with_cable
from .charge import until_change
from .cutouts import BMS_WAIT_H, OVERCURRENT_WAIT_H, Cutouts
from .fridge import Held
from .state import CHARGING_V, MEANS, event_now, supplies_at, until_event

MOST_SEGMENTS = 14
EMPTY_SHARE, SHORTEST_EMPTY_H, LATE_EMPTY_SHARE = 0.004, 0.02, 0.25
CLOSING_SEGMENTS = 9
HALVINGS = 8
WARM_ENOUGH_K = 0.01  # under their target, cells are not heated any more
NOMINAL_V = 12.0  # as CHARGING_V: at which powers are counted as currents where only a rough one is needed
PAST_WAIT_H, SHORTEST_WAIT_H = 1e-6, 1 / 60  # a battery that is to be woken
REACHED_H = 1e-4  # so near to the limit of absorption it is reached
FULL_FROM, SAGS_V, FALLS_FROM = 0.9, 12.8, 0.9
COOL_FOOD_C = 5.0


def by_drive(plan, hour, available_share, factor, drive_a, rest_a):
    """A plain cable, what a charger gives in its place, and about how much comes of either; rest_a: all loads less
    what else charges."""
    if not plan.alternator.is_cable:
        return None, drive_a, drive_a
    idle_v = plan.battery.source_v(available_share, factor, 0)
    loaded_v = idle_v - plan.battery.ohm * np.maximum(rest_a, 0)
    volts = np.where(drive_a > 0, plan.alternator.cable_v(hour.day, loaded_v), 0)
    cable = Cable(volts, plan.alternator.cable_ohm(), drive_a)
    return cable, np.zeros(plan.n), np.clip((volts - idle_v) / (cable.ohm + plan.battery.ohm), 0, drive_a)


class Step(Cutouts):
    """Takes the state through one step; `means`: hours times level of what the paths show."""

    def __init__(self, plan, state, hour):
        self.plan, self.s, self.hour = plan, state, hour
        self.t = np.zeros(plan.n)
        self.means = {name: np.zeros(plan.n) for name in MEANS}
        self.lowest_v = [np.full(plan.n, np.inf)] * 2  # at the fridge, with its compressor running and at rest
        self.factor = plan.battery.capacity_factor(state.charge.temp_c)
        self.slowness = plan.battery.slowness(state.charge.temp_c)
        plan.fridge.surroundings(hour.cabin_c, hour.heat_w)

    def run(self):
        for segment in range(MOST_SEGMENTS):
            self.remaining = self.plan.calendar.step_h - self.t
            self.active = self.remaining > 1e-7
            if not self.active.any():
                break
            self.may_close, self.last = segment < CLOSING_SEGMENTS, segment == MOST_SEGMENTS - 1
            self.switches()
            self.currents()
            self.length()
            self.flows()
            if not self.last:
                self.end_with_delays()
            self.move()
            self.account()
            self.test_volts()
            self.charge_stage()
            self.t = self.t + self.h

    def switches(self):
        s, (low, high) = self.s, self.hour.band
        self.alive = ~s.bus_open
        if self.last:  # of a step: an empty battery gives nothing any more
            self.alive = self.alive & ~(self.plan.battery.available_share(s.charge) < EMPTY_SHARE)
        self.distribution_on = self.alive & ~s.system_open
        self.ready = self.distribution_on & ~s.fridge_open
        inside = s.nodes_c[0]
        self.runs = self.ready & ((inside >= high) | (s.running & (inside > low)))
        self.bound = np.where(self.runs, low, high)
        starts = self.runs & ~s.running
        self.start_left_h = np.where(self.runs, np.where(starts, self.plan.fridge.start_loss_h, s.start_left_h), 0)
        motions = self.plan.fridge.motions(s.nodes_c, self.runs, s.ice_wh)
        self.motions = [Held(m, c, self.start_left_h) for m, c in zip(motions, s.nodes_c, strict=True)]
        self.to_switch = np.where(self.ready, self.motions[0].meets(self.bound, self.remaining), np.inf)

    def currents(self):
        """What is asked for and what is connected."""
        plan, hour, t = self.plan, self.hour, self.t
        self.asked_distribution, self.asked_inverter = event_now(hour, t, self.remaining if self.last else None)
        self.asked_terminal_a = hour.terminal_a + self.asked_inverter
        self.offered = supplies_at(plan, hour, t)
        connected = self.alive if plan.battery.lithium else np.ones(plan.n, bool)
        self.solar_w, self.solar_a, self.drive_a, self.mains_a = (np.where(connected, x, 0) for x in self.offered)
        self.distribution_a = np.where(self.distribution_on, self.asked_distribution, 0)
        self.inverter_a = np.where(self.alive & ~self.s.inverter_open, self.asked_inverter, 0)
        self.terminal_a = np.where(self.alive, hour.terminal_a, 0) + self.inverter_a
        self.fridge_w = np.where(self.runs, plan.fridge.running_w, 0)
        b, s = plan.battery, self.s
        self.available_share = b.available_share(s.charge)
        loads = self.distribution_a + self.terminal_a + self.fridge_w / NOMINAL_V
        rest_a = loads - self.solar_w / CHARGING_V - self.solar_a - self.mains_a
        self.cable, self.drive_a, driven_a = by_drive(
            plan, hour, self.available_share, self.factor, self.drive_a, rest_a
        )
        self.net_a = rest_a - driven_a

    def length(self):
        """How long all of this holds."""
        hour, t, b = self.hour, self.t, self.plan.battery
        h = np.minimum(self.remaining, self.to_switch)
        h = np.minimum(h, until_event(hour, t))
        for span in (hour.drive, hour.shore, hour.idle, hour.generator):
            h = np.minimum(h, until_change(span, t))
        if self.plan.fridge.ice_w_per_k is not None:
            h = self.ice_changes(h)
        if b.lithium and self.may_close and self.s.bus_open.any():
            on_current, fridge_h = self.s.overcurrent_open, self.plan.van.fridge.restart_wait_s / 3600
            bms_h = np.where(on_current, OVERCURRENT_WAIT_H, BMS_WAIT_H)
            wait_h = np.maximum(bms_h, fridge_h) - self.s.waited_h + PAST_WAIT_H
            closes = self.s.bus_open & np.where(on_current, self.load_is_gone(), self.wakes())
            h = np.where(closes, np.minimum(h, np.maximum(wait_h, SHORTEST_WAIT_H)), h)
        wait_h = self.plan.inverter.wait_h - self.s.inverter_waited_h
        wanted = self.s.inverter_open & self.alive & (self.asked_inverter > 0) & (wait_h > 0)
        h = np.where(wanted & self.may_close, np.minimum(h, wait_h + PAST_WAIT_H), h)
        self.heater_a = np.zeros(self.plan.n)
        if b.lithium and self.plan.van.batteries[0].cell_heater_w > 0:
            h = self.warm_cells(h)
        self.load_share = np.clip(self.net_a * 100 / b.capacity_ah, 0, 1)
        # The available well runs dry: at once of its own charge, in the long run of both wells'.
        left = self.available_share - self.load_share * (1 - self.factor) - EMPTY_SHARE
        both_h = left * b.full_ah / np.maximum(self.net_a, 1e-3)
        follows = b.k * np.maximum(both_h, 0)
        dry_h = both_h * (b.c + (1 - b.c) * follows / (1 + follows))
        shortest_h = 0 if self.may_close else LATE_EMPTY_SHARE * self.remaining
        shortest_h = np.maximum(shortest_h, SHORTEST_EMPTY_H)
        h = np.where(self.net_a > 0, np.minimum(h, np.maximum(dry_h, shortest_h)), h)
        if self.last:
            h = self.remaining
        self.h = np.where(self.active, h, 0)
        self.turned = self.active & (self.to_switch <= self.h)

    def ice_changes(self, h):
        """A segment ends where the ice is used up and where the inside meets 0 degC with some left."""
        s, inside = self.s, self.motions[0]
        left = self.active & (s.ice_wh > 0)
        self.to_freezing = np.where(left, inside.meets(0.0, h), np.inf)
        h = np.minimum(h, self.to_freezing)
        sought = s.ice_wh / self.plan.fridge.ice_w_per_k
        ends = left & self.plan.fridge.melts & (inside.kelvin_hours(h) >= sought)
        self.to_melted = np.where(ends, inside.until_kelvin_hours(sought, 0 * h, h), np.inf)
        return np.minimum(h, self.to_melted)

    def melt(self, inside_c):
        s, fridge, h = self.s, self.plan.fridge, self.h
        left = np.maximum(s.ice_wh - fridge.ice_w_per_k * self.motions[0].kelvin_hours(h), 0)
        left = np.where(self.to_melted <= h, 0, left)
        s.ice_wh = np.where(self.active & fridge.melts, left, s.ice_wh)
        return np.where(self.to_freezing <= h, 0, inside_c)

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
        self.terminal_a = self.terminal_a + self.heater_a
        return np.where(self.heater_a > 0, np.minimum(h, np.maximum(warm_h, SHORTEST_EMPTY_H)), h)

    def flows(self):
        """What then flows, and how a full battery may hang on rounding: between no current and hardly any."""
        plan, b, s = self.plan, self.plan.battery, self.s
        set_v = np.zeros(plan.n)
        offers = self.solar_w + self.solar_a, self.drive_a, self.mains_a
        for stages, offer in zip(plan.stages, offers, strict=True):
            set_v = np.where(offer > 0, np.maximum(set_v, stages.volts(s.floating, s.charge.temp_c)), set_v)
        any_v = set_v if self.cable is None else np.maximum(set_v, self.cable.volts)
        charges = any_v > 0
        self.relative = s.charge.ah / b.full_ah
        rate = b.acceptance_rate(s.charge, any_v)
        self.stored = b.stored_share(s.charge, -self.net_a, rate)
        self.rest_v = b.source_v(self.available_share, self.factor, self.load_share)
        source_v, ohm_out = self.rest_v - s.charge.polarisation_v, b.ohm * self.slowness
        ohm_in, accepted, fall_ohm = ohm_out, np.zeros(plan.n), np.inf
        if charges.any():
            h = np.maximum(self.h, 1e-6)
            fall_ohm = b.fall_ohm(s.charge, source_v, set_v, ohm_out, h)
            ohm_in = np.where(charges, b.charge_ohm(s.charge, ohm_out), ohm_out)
            accepted = np.where(charges, b.acceptance_a(s.charge, rate, self.stored, h), 0)
            held_a = b.held_a(s.charge, self.rest_v, self.slowness, set_v, h)
            accepted = np.where(set_v > 0, np.minimum(accepted, held_a), accepted)
        bus = Bus(
            source_v=source_v,
            ohm_out=ohm_out,
            ohm_in=ohm_in,
            shared_ohm=plan.shared_ohm,
            branch_ohm=plan.branch_ohm,
            distribution_a=self.distribution_a,
            terminal_a=self.terminal_a,
            fridge_w=self.fridge_w,
            solar_w=self.solar_w,
            solar_a=self.solar_a,
            dc_dc_a=self.drive_a,
            mains_a=self.mains_a,
            set_v=set_v,
            acceptance_a=accepted,
            fall_ohm=fall_ohm,
        )
        by_cable = self.cable is not None and (self.cable.volts > 0).any()
        self.flow = balance_with_cable(bus, self.cable) if by_cable else balance(bus)
        # A heater of cells that takes just what is spare: do the chargers then hold their voltage?
        self.near(self.flow.spare_a, 0, self.heater_a > 0)
        if not b.lithium:  # whose surface charge begins with any current
            self.near(self.flow.battery_a, 0, charges)

    def end_with_delays(self):
        """A segment ends where a voltage passes a limit, and with the delay of what is past its limit."""
        s, f, h = self.s, self.flow, np.minimum(self.h, self.until_limit())
        if self.plan.battery.lithium:
            self.near(f.battery_a, self.plan.most_a, self.alive)
            over = self.alive & (f.battery_a > self.plan.most_a) & ~f.held
            delay_h = self.plan.van.batteries[0].overcurrent_delay_s / 3600
            h = np.where(over, np.minimum(h, np.maximum(delay_h - s.overcurrent_h, 0) + PAST_WAIT_H), h)
        if self.may_close and (s.fridge_open | s.system_open | s.bus_open).any():
            h = np.where(self.active, np.minimum(h, self.until_volts()), h)
        self.turned = self.turned & ~(h < self.h)
        self.h = h

    def until(self, holds, sought):
        """Hours until something holds at the terminals that does at the segment's end, by halving it."""
        before, after = 0 * self.h, self.h
        for _ in range(HALVINGS if sought.any() else 0):
            middle = (before + after) / 2
            already = holds(self.terminal_v_after(middle))
            before, after = np.where(already, before, middle), np.where(already, middle, after)
        return np.where(sought, after, np.inf)

    def limits(self):
        """What cuts out at a voltage: where it is watched, volts above its limit, hours it may still be below."""
        plan, s, f, van = self.plan, self.s, self.flow, self.plan.van
        record = van.batteries[0]
        floor_v = record.bms_cutoff_v if plan.battery.lithium else record.brownout_v
        yield self.runs, f.fridge_v - plan.fridge.cutout_v, van.fridge.cutout_delay_s / 3600 - s.fridge_low_h
        yield self.alive, f.terminal_v - floor_v, 0 * self.h
        if plan.disconnect_v is not None:
            delay_h = van.disconnect.cutout_delay_s / 3600 - s.system_low_h
            yield self.distribution_on, f.distribution_v - plan.disconnect_v, delay_h
        seen_v = f.terminal_v - plan.inverter.ohm * self.inverter_a
        yield self.inverter_a > 0, seen_v - plan.inverter.cutout_v, plan.inverter.delay_h - s.inverter_low_h

    def until_limit(self):
        """Hours until the first of them passes its limit, or has been past it for its delay."""
        f, falls = self.flow, self.active & ~self.flow.held & (self.flow.battery_a > 0)
        hours, least_v = np.full_like(self.h, np.inf), np.full_like(self.h, np.inf)
        for watched, above_v, delay_h in self.limits():
            watched = falls & watched
            self.near(above_v, 0, watched)
            hours = np.where(watched & (above_v < 0), np.minimum(hours, np.maximum(delay_h, 0) + PAST_WAIT_H), hours)
            least_v = np.where(watched & (above_v > 0), np.minimum(least_v, above_v), least_v)

        def passed(terminal_v):
            fallen_v = f.terminal_v - terminal_v
            self.near(fallen_v, least_v, falls & np.isfinite(least_v))
            return fallen_v > least_v

        return np.minimum(hours, self.until(passed, passed(self.terminal_v_after(self.h))))

    def until_volts(self):
        """Hours until something that is open closes: its wait where the volts are there, else the moment at which they
        are."""
        wait_h = self.plan.van.fridge.restart_wait_s / 3600 - self.s.waited_h
        wait_h = np.maximum(wait_h, SHORTEST_WAIT_H) + PAST_WAIT_H
        already = self.finds_volts(self.flow.terminal_v)
        until_h = np.where(already, wait_h, np.inf)
        later = self.finds_volts(self.terminal_v_after(self.h)) & ~already
        return np.minimum(until_h, np.maximum(self.until(self.finds_volts, later), wait_h))

    def terminal_v_after(self, h):
        """Volts of the terminals after some hours of these currents."""
        b, old, f = self.plan.battery, self.s.charge, self.flow
        available, _ = b.wells_after(old, np.where(f.battery_a > 0, f.battery_a, self.stored * f.battery_a), h)
        available_share = available / (b.c * b.full_ah)
        mean_share = (self.available_share + available_share) / 2
        polarisation_v = b.polarisation_after(old, mean_share, self.slowness, f.battery_a, h)
        rest_v = b.source_v(available_share, self.factor, self.load_share)
        return np.where(f.held, f.terminal_v, rest_v - polarisation_v - f.ohm * f.battery_a)

    def keep(self, new, old):
        return np.where(self.active, new, old)

    def move(self):
        """Battery and fridge to the segment's end."""
        b, s, f, h = self.plan.battery, self.s, self.flow, self.h
        old = s.charge
        self.polarisation_v = old.polarisation_v
        self.out_a = np.where(f.battery_a > 0, f.battery_a, self.stored * f.battery_a)
        available, bound = b.wells_after(old, self.out_a, h)
        mean_available_share = (self.available_share + available / (b.c * b.full_ah)) / 2
        polarisation_v = b.polarisation_after(old, mean_available_share, self.slowness, f.battery_a, h)
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
        inside = np.where(self.ready & ~self.runs, np.minimum(inside, self.bound), inside)
        inside = np.where(self.turned, self.bound, inside)
        if self.plan.fridge.ice_w_per_k is not None:
            inside = self.melt(inside)
        s.start_left_h = self.keep(np.maximum(self.start_left_h - h, 0), s.start_left_h)
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
        """Energies at the terminals for sources and the loads' own terminals; an inactive trial has no hours."""
        f, h, s, hour = self.flow, self.h, self.s, self.hour
        amps = self.distribution_a + f.fridge_a
        wiring_w = self.plan.shared_ohm * amps**2 + self.plan.branch_ohm * f.fridge_a**2
        into_a = np.maximum(-f.battery_a, 0)
        lost_v = f.ohm * f.battery_a + self.polarisation_v - f.over_v
        battery_w = f.battery_a * lost_v + self.rest_v * into_a * (1 - self.stored)
        served_a = self.distribution_a + self.terminal_a - self.heater_a
        level = {
            "terminal_v": f.terminal_v,
            "fridge_v": np.maximum(f.fridge_v, 0),
            "solar_w": f.solar_a * f.terminal_v,
            "dc_dc_w": f.dc_dc_a * f.terminal_v,
            "mains_w": f.mains_a * f.terminal_v,
            "curtailed_w": np.maximum(hour.solar_w + (hour.solar_a - f.solar_a) * f.terminal_v, 0),
            "fridge_w": f.fridge_v * f.fridge_a,
            "other_loads_w": self.distribution_a * f.distribution_v + self.terminal_a * f.terminal_v,
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
            "unserved_ah": h * (self.asked_distribution + self.asked_terminal_a - served_a),
            "hours_off": h * ~self.ready,
            "inverter_unserved_ah": np.where(s.inverter_open, h * self.asked_inverter, 0),
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
        spell = s.off_spell_h + h * ~self.ready
        s.longest_off_h = np.maximum(s.longest_off_h, spell)
        s.off_spell_h = np.where(self.ready & (h > 0), 0, spell)

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
        done = tail | self.over(s.absorbed_h + REACHED_H, stages.limit_h, absorbing)
        s.floating = (s.floating | done) & ~(self.active & (self.terminal_end_v < SAGS_V))
