"""All that a trip's steps are given before the battery comes in: weather, light, loads and habits of each trial."""

import numpy as np

from . import places, replay, weather
from .array import Arrays, draw_paths
from .cabin import Cabin
from .draws import Draws
from .habits import STEADY
from .loads import Loads
from .party import Party, water_nights
from .places import Calendar, PlaceDraws
from .sun import month_of

STORAGE_V, DAYS_A_MONTH = 13.5, 365 / 12


class Given:
    def __init__(self, van, trip, seed, trials):
        self.van, self.trip = van, trip
        self.calendar = calendar = Calendar(trip)
        self.draws = draws = Draws(seed, trials, calendar.days, calendar.sky_days)
        self.places = PlaceDraws(trip, calendar, draws)
        self.party = Party(trip, calendar, draws)
        index = None
        if trip.weather == "replayed":
            record = calendar.places[0].site.climate.weather_series
            index = replay.hours_of(record, calendar, draws, trip.replay_window_d)
            self.weather = replay.replayed(record, index)
        else:
            p = self.places
            errors = (p.of_days(v) for v in (p.lag1, p.scale, p.air_offset))
            climate = self.places.climate_days()
            self.weather = weather.generated(climate, draws, calendar.sky(), *errors)
        by_clock = self.weather.by_clock(calendar.clock.sky_of_clock)
        self.party.see(by_clock)
        self.cabin = Cabin(van, trip, calendar, draws, self.party)
        self.drives = places.drives(van, trip, calendar)
        self.shore = places.shore(trip, calendar)
        still = places.stationary(van, trip, calendar)
        self.arrays = Arrays(van, trip, calendar, draws, self.weather, by_clock, still, index)
        unheated = self.cabin.by_clock(by_clock, self.sun_by_clock())
        self.loads = Loads(van, calendar, draws, self.party, by_clock, unheated, still)
        self.bins, self.load_ah, self.heater = self.loads.bins, self.loads.load_ah, self.loads.heater
        self.water = water_nights(van, trip, calendar, draws, self.loads.litres)
        openings = draws.quantity(van.fridge, "door_openings_per_day", "fridge.")
        self.door_openings = self.party.door_openings(openings, by_clock)  # mean of each day

    def solar(self, step, terminal_v):
        """Power of trackers [W], current of clamped modules and own of charge controllers [A]; in order, whenever the
        hour of the clock or of the sky is another."""
        day, hour = self.calendar.clock.day[step], self.calendar.clock.bin[step] * 24 // self.calendar.per_day
        beam, sky = self.shade(day, hour, divmod(self.calendar.clock.sky_hour[step], 24))
        return self.arrays.hour(step, beam, sky, terminal_v)

    def shade(self, day, hour, sky_at):
        """Lost shares of the beam and of the sky's light where the van stands."""
        beam, sky = self.places.shade(day, hour, self.party.shade_factor)
        lost = self.arrays.time_shade
        return (beam if lost is None else 1 - (1 - beam) * (1 - lost(sky_at, day))), sky

    def sun_on_van(self, day, hour, sky_at):
        beam, sky = self.shade(day, hour, sky_at)
        return self.weather.direct[:, *sky_at] * (1 - beam) + self.weather.diffuse[:, *sky_at] * (1 - sky)

    def sun_by_clock(self):
        """On the van, (trials, days, 24)."""
        sky_of_clock = self.calendar.clock.sky_of_clock.reshape(-1, 24)
        hours = [
            [self.sun_on_van(day, hour, divmod(int(sky_of_clock[day, hour]), 24)) for hour in range(24)]
            for day in range(self.calendar.days)
        ]
        return np.moveaxis(np.array(hours), -1, 0)

    def food_wh(self, step, cabin_c):
        return self.party.food_wh(step, cabin_c, self.van.fridge.set_point_c)

    def weather_at(self, step):
        """Outdoor air and the sun on the van in a step."""
        clock = self.calendar.clock
        day, hour, sky = (
            clock.day[step],
            clock.bin[step] * 24 // self.calendar.per_day,
            divmod(clock.sky_hour[step], 24),
        )
        return self.weather.air[:, *sky], self.sun_on_van(day, hour, sky)

    def initial_soc(self, full_ah):
        """Share of full; `full_ah`: (trials,) charge of the full battery, for the weeks of storage."""
        charge = self.draws.quantity(self.van.batteries[0], "initial_soc", "battery.")
        if self.trip.storage is not None:
            charge = self.after_storage(charge, full_ah)
        return self.party.initial_soc(charge)

    def after_storage(self, charge, full_ah):
        """Constant currents and a loss in proportion to the charge; the charge controller holds it at full."""
        s, draws, van = self.trip.storage, self.draws, self.van

        def q(field, otherwise=None):
            return draws.quantity(s, field, "trip.storage.", otherwise)

        weeks, lithium = q("weeks"), type(van.batteries[0]).__name__ == "LithiumBattery"
        steady = [load for load in van.loads if type(load).__name__ in STEADY]
        standby_a = np.zeros(len(draws))
        for load in steady:
            standby_a = standby_a + draws.quantity(load, "current_a", f"loads.{load.name}.")
        drain_ah = 24 * standby_a * (1.0 if s.isolator == "on" else q("bypass_share"))
        solar_ah = 0.0
        mean_weeks = s.weeks.mean() if hasattr(s.weeks, "mean") else s.weeks
        days = self.calendar.first_day + np.arange(-max(1, round(7 * mean_weeks)), 0)
        climate = self.calendar.places[0].site.climate
        sun_h = np.array(climate.ghi_kwh_m2_day)[month_of(days)].mean() if s.solar == "connected" else 0.0
        for record, path in zip(van.arrays, draw_paths(van.arrays), strict=True):
            if type(record).__name__ == "PortableArray":
                continue
            fields = ("rated_w", "soiling_loss", "system_loss", "controller_efficiency", "self_consumption_ma")
            rated_w, soiling, other, efficiency, own_ma = (draws.quantity(record, f, path) for f in fields)
            watts = rated_w * (1 - soiling) * (1 - other) * efficiency
            solar_ah = solar_ah + watts * sun_h / STORAGE_V * self.places.scale[0] * q("sun_share")
            drain_ah = drain_ah + (0.024 * own_ma if s.solar != "disconnected" else 0)
        rate = q("self_discharge_per_month", 0.025 if lithium else 0.03) / DAYS_A_MONTH
        days = 7 * weeks
        lasting = np.where(rate > 0, -np.expm1(-rate * days) / np.where(rate > 0, rate, 1), days)
        return np.clip(charge * np.exp(-rate * days) + (solar_ah - drain_ah) / full_ah * lasting, 0, 1)
