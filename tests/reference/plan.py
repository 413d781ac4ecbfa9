"""A van and a trip as the step needs them: each trial's own numbers, and hours of chargers within the steps."""

import numpy as np
import ridethrough as rt

from .battery import battery_of
from .charge import Alternator, bay_rise_k, generator_spans, idle_spans, spans_in_steps, stages_of
from .draws import on_day, triangular
from .freezer import fridge_of

INVERTER_LOADS = ("Inverter", "InverterAppliance", "Kettle", "InductionHob", "Microwave", "HairDryer", "EBike")


def on_inverter(load):
    return type(load).__name__ in INVERTER_LOADS or getattr(load, "feed", "") == "inverter"


class Inverter:
    """The cut-out of what hangs on the terminals; usual where no Inverter is declared."""

    def __init__(self, van, draws):
        declared = [load for load in van.loads if type(load).__name__ == "Inverter"]
        record, n = (declared[0] if declared else rt.Inverter()), len(draws)

        def q(field):
            if declared:
                return draws.quantity(record, field, f"loads.{record.name}.")
            return np.full(n, float(triangular(np.array(0.5), *getattr(record, field).arguments)))

        self.cutout_v, self.restart_v, self.ohm = q("cutout_v"), q("restart_v"), q("branch_mohm") / 1000
        self.delay_h, self.wait_h = record.cutout_delay_s / 3600, record.restart_wait_s / 3600
        self.given = any(on_inverter(load) for load in van.loads)


PRIORITIES = ("both", "solar_first", "alternator_first")


class Plan:
    def __init__(self, given):
        van, trip, draws, calendar = given.van, given.trip, given.draws, given.calendar
        self.given, self.van, self.trip, self.calendar, self.draws = given, van, trip, calendar, draws
        self.n = len(draws)
        self.battery, self.fridge = battery_of(van, draws), fridge_of(van, draws)
        self.alternator = Alternator(van, draws)
        self.shared_ohm = draws.quantity(van.wiring, "shared_mohm", "wiring.") / 1000
        self.branch_ohm = draws.quantity(van.wiring, "fridge_branch_mohm", "wiring.") / 1000
        self.mains_a = np.zeros(self.n) if van.mains is None else draws.quantity(van.mains, "current_a", "mains.")
        self.disconnect_v = self.reconnect_v = None
        if van.disconnect is not None:
            self.disconnect_v = draws.quantity(van.disconnect, "cutout_v", "disconnect.")
            self.reconnect_v = draws.quantity(van.disconnect, "restart_v", "disconnect.")
        self.inverter = Inverter(van, draws)
        self.most_a = self.battery_limit()
        self.wakes = self.wakes_itself()
        self.charging()
        self.surroundings()

    def battery_limit(self):
        """Current at which a BMS opens; none for a battery without one."""
        if not self.battery.lithium:
            return np.full(self.n, np.inf)
        total = np.zeros(self.n)
        for i, battery in enumerate(self.van.batteries):
            at = "battery." if i == 0 else "battery.second." if i == 1 else f"battery.{i + 1}."
            field = "capacity_ah" if battery.max_discharge_a is None else "max_discharge_a"
            total = total + self.draws.quantity(battery, field, at)
        return total

    def wakes_itself(self):
        """Whether a lithium battery's charge controller starts on a dead bus."""
        if not self.battery.lithium:
            return np.zeros(self.n, bool)
        first = self.van.batteries[0]
        share = first.wakes_itself_probability
        drawn_as = "battery." + type(first)._declaration.field("wakes_itself_probability").draw_name
        if share in (0, 1):
            return np.full(self.n, share == 1)
        return self.draws.of_shape("discrete", ([0, 1], [1 - share, share]), drawn_as) > 0

    def charging(self):
        van, trip, calendar, lithium = self.van, self.trip, self.calendar, self.battery.lithium
        solar = van.arrays[0] if van.arrays else None
        self.stages = [stages_of(d, lithium) for d in (solar, van.dc_dc, van.mains)]
        self.priority = getattr(van.dc_dc, "input_priority", "both")
        self.drive = spans_in_steps(self.given.drives, calendar)
        self.shore = spans_in_steps(self.given.shore, calendar)
        self.idle = spans_in_steps(idle_spans(van, trip, calendar), calendar)
        self.generator = spans_in_steps(generator_spans(trip, calendar), calendar)
        self.generator_a = np.zeros(self.n)
        if van.generator is not None and van.mains is not None:
            most = van.generator.rated_w * van.mains.efficiency / 14.4
            self.generator_a = np.minimum(self.mains_a, most)

    def surroundings(self):
        battery, calendar = self.van.batteries[0], self.calendar
        inside = float(battery.location == "living_space")
        self.cabin_share = self.draws.quantity(battery, "cabin_share", "battery.", inside)
        tau = self.draws.quantity(battery, "thermal_lag_h", "battery.")
        self.half_step = -np.expm1(-calendar.step_h / 2 / tau)
        self.bay_k = np.zeros(calendar.steps)
        if battery.location == "engine_bay":
            hours = np.diff(self.drive)[:, 0] + np.diff(self.idle)[:, 0]
            running = np.minimum(hours / calendar.step_h, 1)
            self.bay_k = bay_rise_k(battery.engine_bay_rise_k, running, calendar.step_h)
        trip = self.trip
        self.warm_food = {
            int(np.floor(calendar.clock.passed(24 * d + trip.warm_food_h) / calendar.step_h + 1e-9))
            - calendar.first_step
            for d in calendar.days_meant(trip.warm_food_days)
        }
        self.food_kg = self.draws.quantity(trip, "warm_food_kg", "trip.")
        self.openings = self.fridge.openings(self.given.door_openings)
        # Heat of the doors over the waking hours, per K.
        self.door_w_per_k = self.openings * self.fridge.door_wh_per_k / (trip.bedtime_h - trip.wake_h)

    def battery_air(self, sky_hour, cabin_c):
        air = self.given.weather.air[:, *divmod(sky_hour, 24)]
        return air + self.cabin_share * (cabin_c - air)

    def waking(self, hour):
        return self.trip.wake_h <= hour < self.trip.bedtime_h

    def food_kg_on(self, day):
        return on_day(self.food_kg, day)
