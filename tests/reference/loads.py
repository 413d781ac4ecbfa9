"""A trip's uses laid into bins one step long. In each bin the largest piece keeps its own current and times; the others
are spread over the bin, at the distribution or at the posts. What is always on and what follows the heat is added."""

from dataclasses import dataclass

import numpy as np

from .habits import STEADY, times_of, uses_of, words_a_day
from .words import normal_of, uniform_of


class Bins:
    """(trials, bins) from midnight of the first day, two days past the last."""

    def __init__(self, trials, calendar):
        self.calendar = calendar
        shape = trials, (calendar.days + 2) * calendar.per_day
        self.distribution_a, self.posts_a = np.zeros(shape), np.zeros(shape)
        self.event_a, self.event_on_h, self.event_off_h, self.event_at_posts = (np.zeros(shape) for _ in range(4))
        self.counted = calendar.clock.counted  # how often each is run

    def lay(self, day, start_h, end_h, current_a, at_posts):
        """One piece a trial, (trials,) hours of the day; returns ampere-hours within the trip."""
        step, per_day = self.calendar.step_h, self.calendar.per_day
        edges = np.arange(2 * per_day) * step
        here = slice(day * per_day, (day + 2) * per_day)
        on = np.clip(start_h[:, None] - edges, 0, step)
        off = np.clip(end_h[:, None] - edges, 0, step)
        ah = np.maximum(off - on, 0) * current_a[:, None]
        larger = (ah > 0) & (current_a[:, None] > self.event_a[:, here])
        # The one that has to give way is spread.
        event_ah = self.event_a[:, here] * (self.event_off_h[:, here] - self.event_on_h[:, here])
        spread = np.where(larger, event_ah, ah) / step
        to_posts = np.where(larger, self.event_at_posts[:, here] > 0, at_posts)
        self.posts_a[:, here] += np.where(to_posts, spread, 0)
        self.distribution_a[:, here] += np.where(to_posts, 0, spread)
        for name, value in (
            ("event_a", current_a[:, None]),
            ("event_on_h", on),
            ("event_off_h", off),
            ("event_at_posts", float(at_posts)),
        ):
            getattr(self, name)[:, here] = np.where(larger, value, getattr(self, name)[:, here])
        return (ah * self.counted[here]).sum(1)


@dataclass
class Clock:
    dusk_h: np.ndarray
    dawn_h: np.ndarray
    workday: np.ndarray
    stationary: np.ndarray


@dataclass
class Gated:
    """A use that needs a voltage to start."""

    load: int
    use: object
    times: object


class Loads:
    def __init__(self, van, calendar, draws, party, weather, cabin_c, stationary):
        n, days = len(draws), calendar.days
        # Share of each step in which a heater runs, and how warm it holds the cabin.
        self.warm, self.held_c = np.zeros((n, calendar.per_day * (days + 2))), np.zeros(n)
        self.calendar, self.bins = calendar, Bins(n, calendar)
        self.load_ah = np.zeros((n, len(van.loads)))
        self.litres = np.zeros((n, days))
        self.gated, laid = [], []
        sky = calendar.by_clock()
        dusk = np.where(sky.sunset < sky.sunrise, 24.0, sky.sunset)  # the light may run across midnight
        clock = Clock(dusk, sky.sunrise, calendar.weekday(np.arange(days)) < 5, stationary)
        for i, load in enumerate(van.loads):
            kind, path = type(load).__name__, f"loads.{load.name}."
            if kind in STEADY or kind == "Fan":
                amps = draws.quantity(load, "current_a", path)[:, None, None]
                amps = np.broadcast_to(amps, (n, days, 24)) if kind != "Fan" else amps * fan_share(load, cabin_c)
                self.add_steady(i, np.repeat(amps.reshape(n, -1), calendar.per_day // 24, axis=1))
                continue
            uses = uses_of(load, draws, party)
            words = draws.daily_words("load." + load.name, words_a_day(uses))[:, :days]
            at = 0
            for use in uses:
                chance = uniform_of(words[..., at]), normal_of(words[..., at])
                forgotten = None if use.left_on is None else uniform_of(words[..., at + 2])
                times = times_of(use, chance, uniform_of(words[..., at + 1]), forgotten, clock, party, weather)
                at += 2 if use.left_on is None else 3
                if use.warms:
                    self.held_c = draws.quantity(load, "holds_cabin_c", path)
                if use.starts_above_v is not None:
                    self.gated.append(Gated(i, use, times))
                else:
                    laid.append((i, use, times))
        for day in range(days):  # of two equal currents the one that was laid before keeps its times
            for i, use, times in laid:
                if use.warms:
                    self.heat(times, day)
                ah = self.lay(use, times, day, i)
                if use.litres_per_h > 0:
                    self.litres[:, day] += ah / use.current_a[:, 0] * use.litres_per_h

    def lay(self, use, times, day, load, made=True):
        """A day's use; its ampere-hours within the trip. `made`: where it is laid at all."""
        ah = self.bins.lay(
            day, times.start[:, day], times.run_from[:, day], np.where(made, times.start_a[:, day], 0), use.at_posts
        )
        ah = ah + self.bins.lay(
            day, times.run_from[:, day], times.end[:, day], np.where(made, times.run_a[:, day], 0), use.at_posts
        )
        self.load_ah[:, load] += ah
        return ah

    def heat(self, times, day, made=True):
        """A heater's use: of each step the share in which it runs."""
        step_h = self.calendar.step_h
        start, end = (24 * day + t[:, day, None] for t in (times.start, times.end))
        steps = np.arange(self.warm.shape[1]) * step_h
        runs = np.maximum(np.minimum(end, steps + step_h) - np.maximum(start, steps), 0) / step_h
        made = (made & (times.run_a[:, day] > 0))[:, None]
        self.warm = np.minimum(self.warm + np.where(made, runs, 0), 1)

    def warmed(self, cabin_c, at):
        """(trials,) in a step: at least what the heater holds, in the share of the step in which it runs."""
        return cabin_c + self.warm[:, at] * np.maximum(self.held_c - cabin_c, 0)

    def add_steady(self, load, amps):
        """(trials, steps of the trip's days)."""
        here = slice(0, amps.shape[1])
        within = self.bins.counted[here]
        self.bins.distribution_a[:, here] += amps * (within > 0)
        self.load_ah[:, load] += (amps * within).sum(1) * self.calendar.step_h

    def decide(self, step, volts, may):
        """Uses that begin in a step, or in what was passed over before it: made where the voltage under their start
        current holds; the rest are counted."""
        step_h, clock = self.calendar.step_h, self.calendar.clock
        day, k = clock.day[step], clock.bin[step]
        since = 0 if step == 0 else clock.since(step)
        failed = np.zeros(len(self.load_ah))
        for g in () if clock.repeats[step] else self.gated:
            start, end = g.times.start[:, day], g.times.end[:, day]
            begins = (start >= since * step_h) & (start < (k + 1) * step_h) & (end > np.maximum(start, k * step_h))
            if not begins.any():
                continue
            start_a = np.maximum(g.times.start_a[:, day], g.times.run_a[:, day])
            starts = (
                begins
                & may
                & (volts(np.maximum(start - k * step_h, 0), start_a, g.use.start_ohm) >= g.use.starts_above_v[:, 0])
            )
            failed += begins & ~starts
            self.lay(g.use, g.times, day, g.load, starts)
            if g.use.warms:
                self.heat(g.times, day, starts)
        return failed


def fan_share(fan, cabin_c):
    return np.clip((cabin_c - fan.starts_above_c) / (fan.full_above_c - fan.starts_above_c), 0, 1)
