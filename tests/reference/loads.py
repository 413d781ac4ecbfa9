"""A trip's uses put into bins one step long. In each bin the largest piece keeps its own current and times; the others
are spread over the bin, at the distribution or at the terminals. What is always on and what follows the heat is
added."""

from dataclasses import dataclass

import numpy as np

from .draws import normal_of, uniform_of
from .habits import HEATERS, STEADY, draws_a_day, times_of, uses_of
from .heater import Heater


class Bins:
    """(trials, bins) from midnight of the first day, two days past the last."""

    def __init__(self, trials, calendar):
        self.calendar = calendar
        shape = trials, (calendar.days + 2) * calendar.per_day
        self.distribution_a, self.terminal_a = np.zeros(shape), np.zeros(shape)
        self.event_a, self.event_on_h, self.event_off_h, self.event_at_terminals = (np.zeros(shape) for _ in range(4))
        self.counted = calendar.clock.counted  # how often each is run

    def put(self, day, start_h, end_h, current_a, at_terminals):
        """One piece a trial, (trials,) hours of the day; returns ampere-hours within the trip."""
        step, per_day = self.calendar.step_h, self.calendar.per_day
        edges = np.arange(2 * per_day) * step
        here = slice(day * per_day, (day + 2) * per_day)
        on = np.clip(start_h[:, None] - edges, 0, step)
        off = np.clip(end_h[:, None] - edges, 0, step)
        ah = np.maximum(off - on, 0) * current_a[:, None]
        larger = (ah > 0) & (current_a[:, None] > self.event_a[:, here])
        event_h = self.event_off_h[:, here] - self.event_on_h[:, here]
        again = (ah > 0) & (current_a[:, None] == self.event_a[:, here]) & (self.event_at_terminals[:, here] > 0)
        again &= at_terminals
        both = np.minimum(event_h + np.maximum(off - on, 0), step)
        begins = np.minimum(self.event_on_h[:, here], step - both)
        self.event_on_h[:, here] = np.where(again, begins, self.event_on_h[:, here])
        self.event_off_h[:, here] = np.where(again, begins + both, self.event_off_h[:, here])
        # The one that has to give way is spread.
        event_ah = self.event_a[:, here] * (self.event_off_h[:, here] - self.event_on_h[:, here])
        spread = np.where(again, 0, np.where(larger, event_ah, ah)) / step
        to_terminals = np.where(larger, self.event_at_terminals[:, here] > 0, at_terminals)
        self.terminal_a[:, here] += np.where(to_terminals, spread, 0)
        self.distribution_a[:, here] += np.where(to_terminals, 0, spread)
        for name, value in (
            ("event_a", current_a[:, None]),
            ("event_on_h", on),
            ("event_off_h", off),
            ("event_at_terminals", float(at_terminals)),
        ):
            getattr(self, name)[:, here] = np.where(larger, value, getattr(self, name)[:, here])
        return (ah * self.counted[here]).sum(1)


@dataclass
class Clock:
    dusk_h: np.ndarray
    dawn_h: np.ndarray
    workday: np.ndarray
    stationary: np.ndarray


class Loads:
    def __init__(self, van, calendar, draws, party, weather, cabin_c, stationary):
        n, days = len(draws), calendar.days
        self.calendar, self.bins = calendar, Bins(n, calendar)
        self.load_ah = np.zeros((n, len(van.loads)))
        self.litres = np.zeros((n, days))
        planned, self.heater = [], None
        sky = calendar.by_clock()
        dusk = np.where(sky.sunset < sky.sunrise, 24.0, sky.sunset)  # the light may run across midnight
        clock = Clock(dusk, sky.sunrise, calendar.weekday(np.arange(days)) < 5, stationary)
        for i, load in enumerate(van.loads):
            kind, path = type(load).__name__, f"loads.{load.name}."
            if kind == "Fan":
                continue  # follows the cabin's heat
            if kind in STEADY:
                amps = draws.quantity(load, "current_a", path)[:, None, None]
                amps = np.broadcast_to(amps, (n, days, 24))
                self.add_steady(i, np.repeat(amps.reshape(n, -1), calendar.per_day // 24, axis=1))
                continue
            if kind in HEATERS:
                if party.persons > 0:
                    self.heater = Heater(load, i, calendar, draws, party, cabin_c)
                continue
            uses = uses_of(load, draws, party)
            drawn = draws.daily_draws("load." + load.name, draws_a_day(uses))[:, :days]
            at = 0
            for use in uses:
                chance = uniform_of(drawn[..., at]), normal_of(drawn[..., at])
                forgotten = None if use.left_on is None else uniform_of(drawn[..., at + 2])
                times = times_of(use, chance, uniform_of(drawn[..., at + 1]), forgotten, clock, party, weather)
                at += 2 if use.left_on is None else 3
                planned.append((i, use, times))
        for day in range(days):  # of two equal currents the one that was put in before keeps its times
            for i, use, times in planned:
                ah = self.put(use, times, day, i)
                if use.litres_per_h > 0:
                    self.litres[:, day] += ah / use.current_a[:, 0] * use.litres_per_h

    def put(self, use, times, day, load):
        """A day's use; its ampere-hours within the trip."""
        start, run_from, end = times.start[:, day], times.run_from[:, day], times.end[:, day]
        ah = self.bins.put(day, start, run_from, times.start_a[:, day], use.at_terminals)
        ah = ah + self.bins.put(day, run_from, end, times.run_a[:, day], use.at_terminals)
        self.load_ah[:, load] += ah
        return ah

    def add_steady(self, load, amps):
        """(trials, steps of the trip's days)."""
        here = slice(0, amps.shape[1])
        within = self.bins.counted[here]
        self.bins.distribution_a[:, here] += amps * (within > 0)
        self.load_ah[:, load] += (amps * within).sum(1) * self.calendar.step_h


def fitted(fan, draws, path):
    """Whether a trial's van has one."""
    share = fan.fitted_probability
    if share in (0, 1):
        return np.full(len(draws), float(share))
    return draws.of_shape(
        "discrete", ([0, 1], [1 - share, share]), path + fan.schema.field("fitted_probability").draw_name
    )
