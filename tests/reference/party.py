"""Who travels, and what they do about rain, heat and each other: habits, the careless trait, doors, drinks, water."""

import numpy as np

from .draws import on_day, uniform_of

WATER_WH_PER_K, FOOD_WH_PER_K = 4.18 / 3.6, 3.5 / 3.6  # of a litre of drink, of a kilogram of food
# One standard deviation of carelessness, from memory: charge at the start, and factors.
CARELESS_CHARGE, CARELESS_FORGETS, CARELESS_SHADE, CARELESS_HOURS = 0.06, 2.0, 1.5, 1.15
MOST_OPENINGS = 80  # mean a day


class Party:
    """`wet`: (trials, days), set once the weather is known."""

    def __init__(self, trip, calendar, draws):
        party = trip.party
        self.trip, self.declared, self.calendar, self.draws = trip, party, calendar, draws
        self.wake_h, self.bedtime_h = trip.wake_h, trip.bedtime_h
        self.persons = 2 if party is None else party.persons
        strength = 0.0 if party is None else party.carelessness
        score = strength * (draws.normal_score("trip.trait") if strength > 0 else np.zeros(len(draws)))
        self.score = score
        self.forgets, self.shade_factor = CARELESS_FORGETS**score, CARELESS_SHADE**score
        self.habits = draws.quantity(trip, "habits_scale", "trip.") * CARELESS_HOURS**score
        self.warm_food_kg = draws.quantity(trip, "warm_food_kg", "trip.")
        self.wet = np.zeros((len(draws), calendar.days), bool)
        if party is not None:
            self.drinks = draws.quantity(party, "drinks_l_per_person_day", "trip.party.")
            self.shopping = draws.quantity(party, "shopping_probability", "trip.party.")
            self.shops = uniform_of(draws.daily_draws("trip.shopping", 1)[..., 0])

    def see(self, weather):
        """By the days of the clock."""
        if self.declared is not None:
            limit = self.draws.quantity(self.declared, "rain_below_clearness", "trip.party.")
            self.wet = weather.clearness < limit[:, None]

    def initial_soc(self, charge):
        return np.clip(charge - CARELESS_CHARGE * self.score, 0, 1)

    def door_openings(self, usual, weather):
        """Mean of each day, (trials, days); the fridge's own number is a couple's on a mild day."""
        usual = usual[:, None] if usual.ndim == 1 else usual
        if self.declared is None:
            return np.broadcast_to(usual, self.wet.shape)
        heat = 1 + self.declared.door_heat_per_k * np.maximum(weather.air.max(-1) - 25, 0)
        return np.minimum(usual * self.persons / 2 * heat, MOST_OPENINGS)

    def food_wh(self, step, cabin_c, set_point_c):
        """Heat of the drinks and the shopping that go into the fridge in a step."""
        nothing, clock = np.zeros(len(self.draws)), self.calendar.clock
        if self.declared is None or clock.repeats[step]:
            return nothing
        day, due = clock.day[step], range(clock.since(step), clock.bin[step] + 1)
        above, step_h = np.maximum(cabin_c - set_point_c, 0), self.calendar.step_h
        wh = nothing
        if int(self.declared.drinks_h / step_h + 1e-9) in due:
            wh = wh + on_day(self.drinks, day) * self.persons * WATER_WH_PER_K * above
        if int(self.trip.warm_food_h / step_h + 1e-9) in due:
            wh = wh + np.where(self.shops[:, day] < self.shopping, self.warm_food_kg * FOOD_WH_PER_K * above, 0)
        return wh


def water_nights(van, trip, calendar, draws, litres):
    """Night before which the fresh tank ran dry, and the grey one was full; 0 where neither. litres: (trials, days)."""
    tanks, n = van.water, len(draws)
    dry, full = np.zeros(n), np.zeros(n)
    if tanks is None:
        return dry, full
    start, grey_start, share = (
        draws.quantity(tanks, f, "water.") for f in ("initial_fresh_share", "initial_grey_share", "grey_share")
    )
    fresh, grey = start * tanks.fresh_l, grey_start * tanks.grey_l
    for day in range(calendar.days):
        if day in calendar.days_meant(trip.water_days):
            fresh, grey = np.full(n, tanks.fresh_l), np.zeros(n)
        dry = np.where((dry == 0) & (litres[:, day] > fresh), day + 1, dry)
        fresh = np.maximum(fresh - litres[:, day], 0)
        grey = grey + litres[:, day] * share
        full = np.where((full == 0) & (grey > tanks.grey_l), day + 1, full)
        grey = np.minimum(grey, tanks.grey_l)
    return dry, full
