"""What the van's solar arrays give in an hour: light left by shade, soiling and film, cells, modules, charge
controllers.

Trackers give a power, clamped (PWM) modules a current; `terminal_v` is the battery's voltage as last known.
"""

import numpy as np

from .draws import on_day, uniform_of
from .module import RATED_W, equivalent_cell_c, module_at
from .plane import MODELS, aimed, plane_hours
from .sun import record_sky

RISE = {"glued": 0.0563, "air_gap": 0.0342, "framed": 0.0208}  # K per W/m2: Ross 1981, Skoplaki & Palyvos 2009
# Share of the shunt's conductance that does not go with the light, triangular; by whether cells are glued or fold.
LEAKS = {True: (0.1, 0.2, 0.5), False: (0.0, 0.07, 0.2)}
LEAST_W_M2 = 2  # below it an array gives nothing
LEAST_STRING_V = 15


def beside_shadow(record, area, diffuse_share):
    """Power left where one piece of the array has diffuse light only. In series the charge controller takes the better
    of the touched substrings bypassed and all at the current of the shaded."""

    def touched(parts):  # a thousandth of a part does not count
        return np.minimum(np.ceil(area * parts - 1e-3) / parts, 1)

    modules, substrings = int(record.modules), int(record.substrings)
    if record.layout != "series" and modules > 1:
        return 1 - touched(modules) * (1 - diffuse_share)
    if substrings == 0:
        return np.where(touched(modules) > 0, diffuse_share, 1)
    bypassed = 1 - touched(modules * substrings)
    enough = bypassed * modules * record.module_vmp_v >= LEAST_STRING_V
    return np.maximum(np.where(enough, bypassed, 0), diffuse_share)


class Array:
    """One array with its charge controller."""

    def __init__(self, record, path, draws, planes):
        self.record, self.planes = record, planes
        self.portable = type(record).__name__ == "PortableArray"
        self.pwm = record.charge_controller == "pwm"
        self.model = MODELS[record.sky_model]
        mounting = "framed" if self.portable else record.mounting

        def draw(field, otherwise=None):
            return draws.quantity(record, field, path, otherwise)

        flexible = self.portable or mounting == "glued"
        self.rise = RISE[mounting] * draw("cell_rise_factor")
        self.loss_per_k = draw("power_loss_per_k")
        if record.dark_shunt_share is None:
            self.dark_share = draws.of_shape("triangular", LEAKS[flexible], path + "dark_shunt_share")
        else:
            self.dark_share = draw("dark_shunt_share")
        self.rated_w, self.soiling, self.other = draw("rated_w"), draw("soiling_loss"), draw("system_loss")
        self.efficiency = 1.0 if self.pwm else draw("controller_efficiency")
        self.drop_v = draw("controller_drop_v")
        self.own_a = draw("self_consumption_ma") / 1000
        self.controller_start_w = draw("controller_start_w")
        self.start_v, self.stay_v = draw("controller_starts_above_battery_v"), draw("controller_stays_above_battery_v")
        self.starts_by_voltage = not self.pwm and record.controller_starts_above_battery_v != 0
        age = draw("age_years") * draw("ageing_per_year", 0.02 if flexible else 0.006)
        self.left_by_age = np.maximum(1 - age, 0)
        self.running = np.zeros(len(draws), bool)
        if self.portable:
            self.kept, self.use = draw("shade_kept"), draw("use_probability")
            self.hours = record.set_up_h, record.pack_up_h
            self.use_draws = uniform_of(draws.daily_draws(path.removeprefix("more_") + "use", 1)[..., 0])
        else:
            self.shadow = None if record.shadow_share == 0 else draw("shadow_share")
            self.hours = record.shadow_from_h, record.shadow_to_h

    def out(self, day, stationary):
        """Whether it stands in the light on that day of the clock."""
        if not self.portable:
            return np.ones(len(self.running), bool)
        return (self.use_draws[:, day] < self.use) & stationary[day]

    def hour(self, day, hour, sky_at, part, weather, shade_beam, shade_sky, film, terminal_v, stationary):
        """Power of a tracker [W], current of a clamped module [A], what the charge controller takes [A].

        day, hour: of the clock; sky_at: day and hour of the sky; part: which of the clock's offsets holds.
        """
        nothing = np.zeros(len(self.running))
        if getattr(self, "day", None) != day:
            self.day, self.running = day, np.zeros(len(self.running), bool)
        in_hours = self.hours[0] <= hour < self.hours[1]
        if self.portable and not in_hours:
            return nothing, nothing, nothing
        planes = self.planes[min(part, len(self.planes) - 1)]
        p = type(planes)(**{k: v[..., *sky_at] for k, v in vars(planes).items()})
        beam, sky = self.model(p, weather.direct[:, *sky_at], weather.diffuse[:, *sky_at])
        air = weather.air[:, *sky_at]
        if self.portable:
            shade_beam, shade_sky, film = shade_beam * self.kept, shade_sky * self.kept, 1.0
        beam, sky = np.maximum(beam, 0) * (1 - shade_beam), np.maximum(sky, 0) * (1 - shade_sky)
        light = beam + sky
        used = light * (1 - self.soiling) * film
        cell_c = equivalent_cell_c(air + self.rise * light, self.loss_per_k)
        lit = used > LEAST_W_M2
        module = module_at(np.maximum(used, LEAST_W_M2), cell_c, self.dark_share)
        watts, volts = module.peak()
        share = (1 - self.other) * self.efficiency * self.left_by_age
        if not self.portable and self.shadow is not None and in_hours:
            diffuse_share = np.minimum(sky / np.maximum(light, 1e-6), 1)
            share = share * beside_shadow(self.record, on_day(self.shadow, day), diffuse_share)
        out = self.out(day, stationary)
        works = out
        if self.starts_by_voltage:
            series = self.record.modules if not self.portable and self.record.layout == "series" else 1
            cells = series * self.record.module_vmp_v / 18  # modules of 36 cells in a row
            above = module.open_v() * cells - terminal_v
            self.running = lit & ((above >= self.start_v) | (self.running & (above >= self.stay_v)))
            works = works & self.running
            clamped = terminal_v / cells * module.current_a(terminal_v / cells)
            watts = np.where(volts < terminal_v / cells, clamped, watts)
        nameplate = np.where(lit, self.rated_w * share / RATED_W, 0)
        power = nameplate * watts
        works = works & (power >= self.controller_start_w)
        own = np.where(out, self.own_a, 0)
        if not self.pwm:
            return np.where(works, power, 0), nothing, own
        ratio = 18 / self.record.module_vmp_v
        amps = module.current_a((terminal_v + self.drop_v) * ratio) * ratio
        return nothing, np.where(works, nameplate * amps, 0), own


class Arrays:
    """All of a van's arrays on a trip, hour by hour."""

    def __init__(self, van, trip, calendar, draws, weather, by_clock, stationary, index=None):
        self.weather, self.stationary, self.calendar = weather, stationary, calendar
        self.film = film_of(van, calendar, draws, by_clock)
        self.time_shade = shade_by_time(trip, calendar, draws)
        self.arrays = [
            Array(r, path, draws, planes_of(r, trip, calendar, index))
            for r, path in zip(van.arrays, draw_paths(van.arrays), strict=True)
        ]

    def hour(self, step, shade_beam, shade_sky, terminal_v):
        """Sums of power [W], clamped current [A] and charge controllers' own current [A], each (trials,)."""
        clock = self.calendar.clock
        sky_at = divmod(clock.sky_hour[step], 24)
        at = clock.day[step], clock.bin[step] * 24 // self.calendar.per_day, sky_at, clock.part[step]
        film = self.film[:, at[0], at[1]]
        given = [
            a.hour(*at, self.weather, shade_beam, shade_sky, film, terminal_v, self.stationary) for a in self.arrays
        ]
        nothing = np.zeros(len(film))
        return [sum((g[i] for g in given), nothing) for i in range(3)]


def draw_paths(arrays):
    """Under which each array's quantities are drawn: by its name, or its place where the name is used before."""
    names = []
    for i, record in enumerate(arrays, 1):
        on_roof = type(record).__name__ == "SolarArray"
        names.append("" if i == 1 and on_roof else str(i) if record.name in names else record.name)
    return [f"more_solar.{name}." if name else "solar." for name in names]


def planes_of(record, trip, calendar, index):
    """The array's plane through the sky's hours, for each of the clock's offsets where it is aimed by the clock.

    `index`: of a record's hours, (trials, days, 24), where replayed.
    """
    aimed_by_clock = type(record).__name__ == "PortableArray"
    ahead = [calendar.clock.ahead_h(i) for i in range(len(calendar.clock.parts) if aimed_by_clock else 1)]

    def hours(sky, site, ahead):
        if aimed_by_clock:
            from_h, to_h = record.set_up_h - ahead, record.pack_up_h - ahead
            tilt, facing = aimed(sky, from_h, to_h, int(record.aims_per_day), record.tilt_deg)
        else:
            equator = 0 if sky.latitude[0] < 0 else 180
            tilt, facing = record.tilt_deg, equator if record.azimuth_deg is None else record.azimuth_deg
        return plane_hours(sky, tilt, facing, site.albedo, trip.horizon_deg)

    if index is not None:
        site = calendar.places[0].site
        measured = site.climate.weather_series
        sky, within = record_sky(measured)
        apart = calendar.utc_offset_h - measured.utc_offset_h
        return [hours(sky, site, apart + h).of_hours(index + within) for h in ahead]
    skies = calendar.sky(drawn=True)

    def all_places(h):
        parts = []
        for p in calendar.places:
            part = type(skies)(**{k: v[p.first_day : p.first_day + p.days] for k, v in vars(skies).items()})
            parts.append(hours(part, p.site, h))
        return type(parts[0])(**{k: np.concatenate([getattr(x, k) for x in parts]) for k in vars(parts[0])})

    return [all_places(h) for h in ahead]


def shade_by_time(trip, calendar, draws):
    """Share of the beam lost by solar time: before 10 h, between, after 14 h; None: none is.

    A function of the sky's day and hour and of the clock's day.
    """
    fields = ("shade_morning", "shade_midday", "shade_afternoon")
    if all(getattr(trip, f) == 0 for f in fields):
        return None
    lost = [draws.quantity(trip, f, "trip.") for f in fields]
    begin = (np.arange(24) + calendar.sky().solar_minus_clock[:, None]) % 24
    before, after = np.clip(10 - begin, 0, 1), np.clip(begin + 1 - 14, 0, 1)

    def at(sky_at, day):
        shares = before[sky_at], 1 - before[sky_at] - after[sky_at], after[sky_at]
        return sum(share * on_day(v, day) for share, v in zip(shares, lost, strict=True))

    return at


def film_of(van, calendar, draws, weather):
    """Share of the light that passes frost or snow, after a night below freezing, until air or sun clears it."""
    passes = np.ones_like(weather.air)
    film = van.snow_and_frost
    if film is None:
        return passes
    share, light, clears = (
        draws.quantity(film, f, "panel_film.") for f in ("film_probability", "transmittance", "clears_after_wh_m2")
    )
    u = uniform_of(draws.daily_draws("solar.film", 1)[:, : calendar.days, 0])
    dawn = calendar.by_clock().sunrise
    hour = np.arange(24)
    night = (hour == 0) | (hour < 4) | (hour < dawn[:, None])
    coldest = np.where(night, weather.air, np.inf).min(-1)
    covered = (coldest < film.night_below_c) & (u < share[:, None])
    sun_before = np.cumsum(weather.ghi, -1) - weather.ghi
    holds = (weather.air <= film.clears_above_c) & (sun_before <= clears[:, None, None])
    lies = covered[..., None] & np.logical_and.accumulate(holds, axis=-1)
    return np.where(lies, light[:, None, None], passes)
