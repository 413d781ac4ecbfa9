"""Air in the cabin: one node, warmed by sun, people and a heater, cooled through the walls, by windows and by fans."""

import numpy as np

from .loads import fitted


def between(cabin_c, none_c, all_c):
    return np.clip((cabin_c - none_c) / (all_c - none_c), 0, 1)


class Cabin:
    nudge_k = 0.0  # of the air around it, and of that which the trip's steps are given

    def __init__(self, van, trip, calendar, draws, party):
        self.van, self.trip, self.calendar, self.party = van, trip, calendar, party

        def q(field):
            return draws.quantity(van, field, "")

        self.sun_rise, self.person_w = q("cabin_sun_rise_k_per_w_m2"), q("cabin_person_heat_w")
        self.loss_w_per_k, self.lag_h = q("cabin_heat_loss_w_per_k"), q("cabin_lag_h")
        self.windows = q("window_ventilation")
        self.fans = []
        for i, load in enumerate(van.loads):
            if type(load).__name__ == "Fan":
                path = f"loads.{load.name}."
                has = fitted(load, draws, path)
                self.fans.append(
                    (
                        i,
                        load,
                        draws.quantity(load, "current_a", path) * has,
                        draws.quantity(load, "ventilation", path) * has,
                    )
                )
        self.end_c = None

    def shut_rise_k(self, clock_h, sun):
        """(trials,): over the outdoor air, where the shut cabin would settle."""
        trip = self.trip
        out = trip.out_share if trip.out_from_h <= clock_h < trip.out_to_h else 0.0
        return self.sun_rise * sun + self.party.persons * (1 - out) * self.person_w / self.loss_w_per_k

    def by_clock(self, weather, sun):
        """(trials, days, 24) where it would settle without a heater."""
        rise = [self.shut_rise_k(hour, sun[..., hour].T).T for hour in range(24)]
        return weather.air[:, : sun.shape[1]] + np.stack(rise, axis=-1)

    def ventilation(self, cabin_c, waking, powered, clock_h):
        """In parts of the shut cabin's heat loss."""
        if not self.party.persons > 0:
            return np.zeros_like(cabin_c)
        van = self.van
        windows = self.windows * between(cabin_c, van.windows_open_above_c, van.windows_wide_above_c)
        trip = self.trip
        away = trip.out_share if trip.out_from_h <= clock_h < trip.out_to_h else 0.0
        out = windows * (1 - away * (1 - van.windows_open_when_out) if waking else van.windows_open_at_night)
        for _, load, _, most in self.fans:
            out = out + np.where(powered, most * between(cabin_c, load.starts_above_c, load.full_above_c), 0)
        return out

    def start_at_equilibrium(self, air, sun, clock_h, waking):
        """Where it would settle with what is open, by halving the rise of the shut cabin."""
        shut, powered = self.shut_rise_k(clock_h, sun), np.ones(len(air), bool)
        low, high = air, air + shut
        for _ in range(14):
            self.end_c = (low + high) / 2
            above = self.end_c > air + shut / (1 + self.ventilation(self.end_c, waking, powered, clock_h))
            low, high = np.where(above, low, self.end_c), np.where(above, self.end_c, high)

    def enter(self, air, sun, clock_h, waking, powered):
        """A step's ventilation: the mean of what there would be at its beginning and, with that, on its mean."""
        air = air + self.nudge_k
        self.air, self.shut = air, self.shut_rise_k(clock_h, sun)
        first = self.ventilation(self.end_c, waking, powered, clock_h)
        mean, _ = self.towards(air + self.shut / (1 + first), first)
        self.v = (first + self.ventilation(mean, waking, powered, clock_h)) / 2
        self.felt = self.end_c, mean

    def tau_h(self, v):
        return self.lag_h / (1 + v)

    def towards(self, settles, v, hours=None):
        """Mean and end of so many hours, a step where it is not said, towards a temperature."""
        passed = (self.calendar.step_h if hours is None else hours) / self.tau_h(v)
        away = self.end_c - settles
        return settles - away * np.expm1(-passed) / passed, settles + away * np.exp(-passed)

    def fan_a(self):
        """Current of each fan, by the place of its load."""
        if not self.party.persons > 0:
            return {i: np.zeros_like(amps) for i, _, amps, _ in self.fans}
        return {
            i: amps * sum(between(c, load.starts_above_c, load.full_above_c) for c in self.felt) / 2
            for i, load, amps, _ in self.fans
        }

    def settles_c(self):
        """Without a heater."""
        return self.air + self.shut / (1 + self.v)

    def heat_for_w(self, kelvin):
        """Heat that keeps it so much warmer."""
        return kelvin * (1 + self.v) * self.loss_w_per_k

    def unheated(self):
        """Mean and end of the step."""
        return self.towards(self.settles_c(), self.v)

    def heated(self, held_c, power_w):
        """Mean and end of the step, and hours with all heat and with what holds it: where it would settle below
        `held_c`, `power_w` or nothing until it is there."""
        step_h, tau, settles = self.calendar.step_h, self.tau_h(self.v), self.settles_c()
        asks = settles < held_c
        most_k = power_w / self.heat_for_w(1.0)
        cold = asks & ((self.end_c < held_c) | (settles + most_k <= held_c))  # or too weak to hold it
        target = settles + np.where(cold, most_k, 0)
        reaches = asks & (~cold | (target > held_c))
        with np.errstate(divide="ignore", invalid="ignore"):
            needs_h = np.where(reaches, tau * np.log((self.end_c - target) / (held_c - target)), np.inf)
        first_h = np.clip(needs_h, 0, step_h)
        held_h = step_h - first_h
        mean, end = self.towards(target, self.v, np.maximum(first_h, 1e-300))
        mean = (mean * first_h + held_c * held_h) / step_h
        return mean, np.where(needs_h < step_h, held_c, end), np.where(cold, first_h, 0), held_h

    def warm(self, heater_share, heated):
        """Mean of the step; its end in `next_c`. `heated`: mean and end with a heater that runs all through."""
        mean, self.next_c = (a + heater_share * (b - a) for a, b in zip(self.unheated(), heated, strict=True))
        return mean + self.nudge_k

    def leave(self):
        self.end_c = self.next_c
