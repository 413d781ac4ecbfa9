"""A heater on its thermostat: when it is switched on, how warm it makes the cabin, what it draws."""

import numpy as np

from .draws import uniform_of

MORNING, EVENING = 0, 1


class Heater:
    """Of a trip; the uses of the day that is being simulated in `runs`, (trials, use, from and to)."""

    def __init__(self, load, index, calendar, draws, party, cabin_c):
        self.load, self.index, self.calendar, self.party = load, index, calendar, party
        self.n = len(draws)
        path = f"loads.{load.name}."

        def q(field):
            return draws.quantity(load, field, path)

        self.held_c, self.night_c, self.cold_c = q("set_point_c"), q("night_set_point_c"), q("switch_on_below_c")
        if type(load).__name__ == "Heater":
            self.low_a, self.full_a, self.least = q("low_current_a"), q("full_current_a"), load.least_share
            self.glow_a, self.glow_h = q("glow_current_a"), load.glow_duration_min / 60
            self.needs_v, self.ohm = q("starts_above_v"), load.supply_mohm / 1000
        else:  # a blower that goes on and off
            self.low_a = self.full_a = q("current_a")
            self.least, self.glow_h, self.ohm = 1.0, 0.0, 0.0
            self.glow_a = self.needs_v = np.zeros(self.n)
        drawn = draws.daily_draws("load." + load.name, 2)[:, : calendar.days]
        self.starts, self.ends = self.wanted(cabin_c, uniform_of(drawn))
        self.runs = np.zeros((self.n, 2, 2))
        self.through = np.zeros(self.n, bool)

    def thermostat_c(self, waking):
        return self.held_c if waking else self.night_c

    def wanted(self, cabin_c, place):
        """Starts, (trials, days, use), `ends` where there is none; and the ends."""
        load, wake_h, bed_h = self.load, self.party.wake_h, self.party.bedtime_h
        morning_end = load.morning_until_h if load.morning_until_h > wake_h else (wake_h if load.all_night else 0.0)
        spans = [(0.0 if load.all_night else wake_h, morning_end)]
        spans.append((load.evening_from_h, 24.0 if load.all_night else bed_h))
        starts = np.empty(place.shape)
        for use, (begin, end) in enumerate(spans):
            start = np.full(place.shape[:2], float(end))
            for hour in reversed(range(24)):
                if begin < hour + 1 and hour < end:
                    cold = np.minimum(self.thermostat_c(wake_h <= hour < bed_h), self.cold_c)
                    start = np.where(cabin_c[..., hour] < cold[:, None], max(float(hour), begin), start)
            varied = np.clip(start + load.start_spread_h * (2 * place[..., use] - 1), 0, end)
            starts[..., use] = np.where(start < end, varied, end)
        return starts, np.array([end for _, end in spans])

    def enter(self, step, cut_off):
        """The step that comes: another day's uses, and an end without a supply."""
        clock = self.calendar.clock
        if step == 0 or clock.day[step] != clock.day[step - 1]:
            self.new_day(clock.day[step])
        self.stop(cut_off, clock.bin[step] * self.calendar.step_h)

    def new_day(self, day):
        evening = self.runs[:, EVENING]
        self.through = (evening[:, 1] >= 24) & (evening[:, 0] < 24)
        self.today = self.starts[:, day].copy()
        self.runs = np.repeat(self.ends[None, :, None], self.n, 0) * np.ones((1, 1, 2))
        self.today[:, MORNING] = np.where(self.through, self.ends[MORNING], self.today[:, MORNING])
        self.runs[:, MORNING, 0] = np.where(self.through, 0, self.runs[:, MORNING, 0])

    def goes_on(self):
        """Where the evening is wanted and the heater still runs from the morning."""
        if self.load.morning_until_h < self.load.evening_from_h:
            return np.zeros(self.n, bool)
        begun, until = self.runs[:, MORNING, 0], self.runs[:, MORNING, 1]
        from_h = self.load.evening_from_h
        return (self.today[:, EVENING] < self.ends[EVENING]) & (begun < from_h) & (until >= from_h)

    def stop(self, cut_off, now_h):
        """Without a supply it stops, until it is switched on again."""
        begun, until = self.runs[..., 0], self.runs[..., 1]
        stops = cut_off[:, None] & (until > now_h)
        self.runs[..., 1] = np.where(stops, np.maximum(begun, now_h), until)

    def share(self, step):
        """Of a step, in which it runs."""
        step_h = self.calendar.step_h
        within = np.clip(self.runs - self.calendar.clock.bin[step] * step_h, 0, step_h)
        return np.minimum(np.maximum(within[..., 1] - within[..., 0], 0).sum(1) / step_h, 1)

    def current_a(self, strength):
        """Of a share of full heat; under the smallest flame that one goes on and off."""
        amps = self.low_a + (self.full_a - self.low_a) * np.maximum(strength, self.least)
        return amps * np.minimum(strength / self.least, 1)

    def step(self, cabin, waking, step):
        """Mean of the cabin and of the current."""
        held_c, share, power = self.thermostat_c(waking), self.share(step), self.load.power_w
        mean, end, full_h, held_h = cabin.heated(held_c, power)
        holding = np.clip(cabin.heat_for_w(held_c - cabin.settles_c()) / power, 0, 1)
        amps = (self.full_a * full_h + self.current_a(holding) * held_h) / self.calendar.step_h
        return cabin.warm(share, (mean, end)), share * amps

    def decide(self, step, loads, volts, may):
        """Starts that fall in a step, or in what was passed over before it: they succeed where the voltage under the
        glow current holds; the rest count."""
        step_h, clock = self.calendar.step_h, self.calendar.clock
        day, k = clock.day[step], clock.bin[step]
        from_h, since = k * step_h, (0 if step == 0 else clock.since(step)) * step_h
        failed = np.zeros(self.n)
        for use in () if clock.repeats[step] else (MORNING, EVENING):
            on = self.goes_on() if use == EVENING else np.zeros(self.n, bool)
            start, end = np.where(on, self.load.evening_from_h, self.today[:, use]), self.ends[use]
            begins = (start >= since) & (start < from_h + step_h) & (end > np.maximum(start, from_h))
            if not begins.any():
                continue
            volts_then = volts(np.maximum(start - from_h, 0), self.glow_a, self.ohm)
            made = begins & may & (on | (volts_then >= self.needs_v))
            failed += begins & ~made
            self.runs[:, use, 0] = np.where(made, start, self.runs[:, use, 0])
            glow_end = np.minimum(start + self.glow_h, end)
            loads.load_ah[:, self.index] += loads.bins.put(
                day, start, glow_end, np.where(made & ~on, self.glow_a, 0), False
            )
        return failed
