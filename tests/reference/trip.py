"""A trip of some trials from start to end: hourly time series and what each trial comes to."""

from typing import Any

import numpy as np
from ridethrough import TIME_SERIES

from .fridge import FOOD_TAU_H, MELTING_WH_PER_KG
from .given import Given
from .party import FOOD_WH_PER_K
from .plan import Plan
from .state import MEANS, Hour, State
from .step import Step
from .voltage_limited_starts import voltage_at_start

LEVELS = ("soc", "fridge_c", "air_c", "battery_c", "ghi_w_m2")
COLD_CABIN_C = 10.0


class Trip:
    """`nudge_k`: added to the air around the cabin and to the cabin's own, to see how far rounding may grow."""

    def __init__(self, van, trip, seed, trials, nudge_k=0.0):
        self.given = Given(van, trip, seed, trials)
        self.given.cabin.nudge_k = nudge_k
        self.plan = Plan(self.given)
        self.calendar = self.given.calendar
        self.time_series = {name: np.zeros((self.plan.n, self.calendar.hours)) for name in TIME_SERIES}

    def run(self):
        c, plan = self.calendar, self.plan
        self.food_wh = np.zeros(plan.n)
        state: Any = None
        lit = None
        for step in range(c.steps):
            day, hour = int(c.clock.day[step]), int(c.clock.bin[step]) * 24 // c.per_day
            if state is None:
                state = self.start(hour)
            if lit is None or day != lit[0]:
                state.new_day()
            if (day, hour, c.clock.sky_hour[step]) != lit:
                lit = day, hour, c.clock.sky_hour[step]
                self.sun = self.given.solar(step, state.terminal_v)
            self.step(state, step, day, hour)
        state.sums["days_full"] = state.sums["days_full"] + state.full_today
        self.state = state
        return self

    def start(self, hour):
        plan, cabin = self.plan, self.given.cabin
        (air_c, sun), clock_h = self.given.weather_at(0), self.calendar.clock.bin[0] * self.calendar.step_h
        cabin.start_at_equilibrium(air_c, sun, clock_h, plan.waking(hour))
        cabin.enter(air_c, sun, clock_h, plan.waking(hour), np.ones(plan.n, bool))
        cabin = cabin.warm(0.0, cabin.unheated())
        around = plan.battery_air(self.calendar.clock.sky_hour[0], cabin)
        charge = plan.battery.full(self.given.initial_soc(plan.battery.full_ah), around)
        return State(plan, plan.fridge.start(cabin), charge)

    def heat_w(self, step, day, hour, cabin):
        """From doors and from warm food, which gives its heat up slowly."""
        plan = self.plan
        above = np.maximum(cabin - plan.van.fridge.set_point_c, 0)
        if step in plan.warm_food:
            self.food_wh = self.food_wh + plan.food_kg_on(day) * FOOD_WH_PER_K * above
        self.food_wh = self.food_wh + self.given.food_wh(step, cabin)
        given_up = -self.food_wh * np.expm1(-self.calendar.step_h / FOOD_TAU_H)
        self.food_wh = self.food_wh - given_up
        doors = plan.door_w_per_k[:, day] * above if plan.waking(hour) else 0
        return given_up / self.calendar.step_h + doors

    def step(self, s, step, day, hour):
        plan, bins, heater = self.plan, self.given.bins, self.given.heater
        at = day * self.calendar.per_day + self.calendar.clock.bin[step]
        before_c = s.charge.temp_c
        off = s.bus_open | s.system_open
        clock_h = self.calendar.clock.bin[step] * self.calendar.step_h
        air_c, sun = self.given.weather_at(step)
        self.given.cabin.enter(air_c, sun, clock_h, plan.waking(hour), ~off)
        if heater is not None:
            heater.enter(step, off)
        cabin, around, heater_a = self.surroundings(step, hour)
        fans = self.given.cabin.fan_a()
        for load, amps in fans.items():
            self.given.load_ah[:, load] += amps * self.calendar.step_h
        fans_a = sum(fans.values())
        self.follow(s, around)
        power, clamped, own = self.sun

        def inputs(cabin, heater_a, heat_w=0.0):
            return Hour(
                step=step,
                day=day,
                waking=plan.waking(hour),
                cabin_c=cabin,
                heat_w=heat_w,
                band=plan.fridge.band(hour),
                distribution_a=bins.distribution_a[:, at] + fans_a + heater_a,
                terminal_a=np.broadcast_to(own, plan.n),
                inverter_a=bins.terminal_a[:, at],
                event_a=bins.event_a[:, at],
                event_on_h=bins.event_on_h[:, at],
                event_off_h=bins.event_off_h[:, at],
                event_at_terminals=bins.event_at_terminals[:, at],
                solar_w=power,
                solar_a=clamped,
                drive=plan.drive[step],
                shore=plan.shore[step],
                idle=plan.idle[step],
                generator=plan.generator[step],
                drive_a=plan.alternator.given_a(day),
                idle_a=plan.alternator.given_a(day, idling=True),
                drive_share=plan.alternator.works(day),
                idle_share=plan.alternator.works(day, idling=True),
            )

        if heater is not None:
            before = inputs(cabin, heater_a)
            failed = heater.decide(
                step,
                self.given.loads,
                lambda t, a, ohm: voltage_at_start(plan, s, before, t, a, ohm),
                ~s.bus_open & ~s.system_open,
            )
            s.sums["failed_starts"] = s.sums["failed_starts"] + failed
            cabin, around, heater_a = self.surroundings(step, hour)  # once more, with one that has just started
            self.given.load_ah[:, heater.index] += heater_a * self.calendar.step_h
            s.charge.temp_c = before_c
            self.follow(s, around)
        self.feel(s, cabin)
        one = Step(plan, s, inputs(cabin, heater_a, self.heat_w(step, day, hour, cabin)))
        one.run()
        self.follow(s, around)
        s.frozen = s.frozen | plan.battery.freezes(s.charge)
        self.record(s, one, step, cabin)
        self.given.cabin.leave()

    def feel(self, s, cabin):
        s.coldest_cabin_c = np.minimum(s.coldest_cabin_c, cabin)
        if self.given.party.persons > 0:
            s.sums["cold_cabin_h"] = s.sums["cold_cabin_h"] + (cabin < COLD_CABIN_C) * self.calendar.step_h

    def surroundings(self, step, hour):
        """Of the fridge and of the battery, and what the heater draws."""
        heater, air, heater_a = self.given.heater, self.given.cabin, 0.0
        if heater is None:
            cabin = air.warm(0.0, air.unheated())
        else:
            cabin, heater_a = heater.step(air, self.plan.waking(hour), step)
        around = self.plan.battery_air(self.calendar.clock.sky_hour[step], cabin)
        return cabin, around + self.plan.bay_k[step], heater_a

    def follow(self, s, around):
        """Half a step towards the air around it, before and after: a step has its middle's temperature."""
        s.charge.temp_c = s.charge.temp_c + (around - s.charge.temp_c) * self.plan.half_step

    def record(self, s, one, step, cabin_c):
        sky = divmod(self.calendar.clock.sky_hour[step], 24)
        trip_hour = step * 24 // self.calendar.per_day
        self.time_series["cabin_c"][:, trip_hour] += cabin_c * self.calendar.step_h
        if step * 24 % self.calendar.per_day == 0:
            self.lowest_v = [np.full(self.plan.n, np.inf)] * 2
        self.lowest_v = [np.minimum(a, b) for a, b in zip(self.lowest_v, one.lowest_v, strict=True)]
        running, idle = self.lowest_v
        self.time_series["lowest_fridge_v"][:, trip_hour] = np.where(np.isfinite(running), running, idle)
        for name in MEANS:
            self.time_series[name][:, trip_hour] += one.means[name]
        weather = self.given.weather
        levels = (
            s.charge.ah / self.plan.battery.full_ah,
            s.nodes_c[0],
            weather.air[:, *sky],
            s.charge.temp_c,
            weather.ghi[:, *sky],
        )
        for name, value in zip(LEVELS, levels, strict=True):
            self.time_series[name][:, trip_hour] = value

    def columns(self):
        """What each trial comes to."""
        s = self.state
        out = dict(s.sums)
        out |= {
            "first_cutout_h": s.first_cutout_h,
            "min_soc": s.min_soc,
            "cutout_cause": s.cutout_cause,
            "frozen": s.frozen,
            "warmest_food_c": s.warmest[0],
            "longest_warm_spell_h": s.longest_warm_spell_h,
            "longest_off_h": s.longest_off_h,
            "coldest_cabin_c": s.coldest_cabin_c,
            "water_dry_night": self.given.water[0],
            "grey_full_night": self.given.water[1],
        }
        if len(s.warmest) > 1:
            out["warmest_freezer_c"] = s.warmest[1]
        if self.plan.fridge.ice_w_per_k is not None:
            out["ice_left_kg"] = s.ice_wh / MELTING_WH_PER_KG
        return out
