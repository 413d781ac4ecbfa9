"""A plain van once more as one scalar loop for Numba: AGM battery, a roof array behind a tracker, the fridge, what is
always on, the Sun alone to charge, hourly steps. Equations and sources: tests/reference, against which it is checked.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit, prange
from numba_given import Chance
from numba_weather import HOW, days_of, fast, hours_of
from reference.module import (
    A_REF,
    BOLTZMANN_EV_K,
    GAP_EV,
    GAP_PER_K,
    LIGHT_REF,
    LOSS_PER_K,
    PER_K,
    RATED_W,
    REF_K,
    SATURATION_REF,
    SERIES_OHM,
    SHUNT_REF,
)

PATHS = ("soc", "fridge_c", "terminal_v", "solar_w", "battery_a")
SUMS = ("solar_wh", "curtailed_wh", "fridge_wh", "other_loads_wh", "loss_wh", "hours_off", "hours_above_5c")


@fast
def line(at, value, x):  # type: ignore[no-untyped-def]
    i = 0
    while i < len(at) - 2 and x > at[i + 1]:
        i += 1
    return value[i] + (value[i + 1] - value[i]) / (at[i + 1] - at[i]) * (x - at[i])


@fast
def rest_at(volts, x):  # type: ignore[no-untyped-def]
    i = min(max(int(math.floor(10 * x)) + 1, 0), 10)
    return volts[i] + (volts[i + 1] - volts[i]) * 10 * (x - (i - 1) / 10)


@fast
def until(start, level, target, tau):  # type: ignore[no-untyped-def]
    ratio = (start - target) / (level - target)
    return tau * math.log(min(ratio, 1e30)) if ratio > 1 else 1e6


@fast
def fridge_amps(watts, loop, open_v):  # type: ignore[no-untyped-def]
    most = watts / 8.5
    if open_v - loop * most < 8.5:
        return most
    return 2 * watts / max(open_v + math.sqrt(max(open_v**2 - 4 * loop * watts, 1e-12)), 1)


@fast
def most_w(light, cell_c, dark_share):  # type: ignore[no-untyped-def]
    sun, k = light / 1000, cell_c + 273.15
    a, light_a = A_REF * k / REF_K, sun * (LIGHT_REF + PER_K * (cell_c - 25))
    gap = GAP_EV / REF_K - GAP_EV * (1 + GAP_PER_K * (cell_c - 25)) / k
    saturation_a = SATURATION_REF * (k / REF_K) ** 3 * math.exp(gap / BOLTZMANN_EV_K)
    shunt = (sun + dark_share * (1 - sun)) / SHUNT_REF
    v = min(a * math.log(light_a / saturation_a + 1), light_a / shunt)
    for _ in range(6):
        diode = saturation_a * math.exp(v / a)
        v += (light_a - diode + saturation_a - v * shunt) / (diode / a + shunt)
    v -= a * math.log(v / a + 1)
    amps = 0.0
    for _ in range(6):
        diode = saturation_a * math.exp(v / a)
        slope = -diode / a - shunt
        amps = light_a - diode + saturation_a - v * shunt
        inner = v - 2 * amps * SERIES_OHM
        step = (amps + slope * inner) / (2 * slope - 2 * SERIES_OHM * slope * slope - diode / a / a * inner)
        v -= step
        amps -= slope * step
    return (v - amps * SERIES_OHM) * amps


@fast
def watts_of(light, air, i, own, rules):  # type: ignore[no-untyped-def]
    used = light * (1 - own.soiling[i])
    if not used > 2:
        return 0.0
    cell_c = 25 + (air + rules.cell_rise * own.rise_factor[i] * light - 25) * own.cell_loss_per_k[i] / LOSS_PER_K
    return own.rated[i] * most_w(used, cell_c, own.dark_share[i]) / RATED_W * own.share[i]


@fast
def windows_at(cabin_c, clock, i, own, rules):  # type: ignore[no-untyped-def]
    asleep = 1.0 if rules.wake_h <= clock < rules.bedtime_h else rules.open_at_night
    return asleep * own.windows[i] * min(max((cabin_c - rules.open_c) / (rules.wide_c - rules.open_c), 0), 1)


@fast
def cabin_of(begin, air, ghi, clock, i, own, rules):  # type: ignore[no-untyped-def]
    """Mean and end of an hour; before the trip it stands where it settles."""
    out = rules.out_share if rules.out_from_h <= clock < rules.out_to_h else 0.0
    shut = own.sun_rise[i] * ghi + own.people_k[i] * (1 - out)
    v = windows_at(air + shut if begin < -1e5 else begin, clock, i, own, rules)
    if begin < -1e5:
        begin = air + shut / (1 + v)
        v = windows_at(begin, clock, i, own, rules)
    first = v
    for turn in range(2):
        passed, settles = (1 + v) / own.lag_h[i], air + shut / (1 + v)
        mean = settles - (begin - settles) * math.expm1(-passed) / passed
        if turn == 0:
            v = 0.5 * (first + windows_at(mean, clock, i, own, rules))
    return mean, settles + (begin - settles) * math.exp(-passed)


@fast
def trial(i, own, t, rules, chance, paths, sums):  # type: ignore[no-untyped-def]
    days = len(t.dark)
    k, mean = np.empty(days + 1), np.empty(days + 1)
    air, ghi, power = np.empty(24), np.empty(24), np.empty(24)
    days_of(i, own, t, chance, k, mean)
    full, cap, ohm_out = own.full_ah[i], own.capacity_ah[i], own.ohm[i]
    available, bound = 0.325 * own.charge[i] * full, 0.675 * own.charge[i] * full
    polarisation, temp, inside = 0.0, 0.0, own.inside[i]
    running = fridge_open = bus_open = floating = False
    start_left = 0.0
    waited, absorbed, low_h, door, cabin_end = rules.wait_h, 0.0, 0.0, 0.0, -1e6
    lowest, first_h, cutout_cause = own.charge[i], math.inf, 0
    loop, ua = own.shared_ohm[i] + own.branch_ohm[i], own.ua[i]
    tau = own.wh_per_k[i] / ua
    for hour in range(rules.hours):
        d, clock = (hour + rules.start) // 24, (hour + rules.start) % 24
        if hour == 0 or clock == 0:
            hours_of(i, d, k[d], own, t, chance.cloud[d], mean, air, ghi, power)
            floating, absorbed = False, 0.0
            u, m = chance.doors[d], own.openings[i, d]
            term = math.exp(-m)
            below, count = term, 0
            while u > below and count < 160:
                count += 1
                term *= m / count
                below += term
            door = count * own.door_wh[i]
        cabin, cabin_end = cabin_of(cabin_end, air[clock], ghi[clock], clock, i, own, rules)
        around = air[clock] + own.cabin_share[i] * (cabin - air[clock])
        if hour == 0:
            temp = around
        temp += (around - temp) * own.half_step[i]
        solar_w = watts_of(power[clock], air[clock], i, own, rules)
        heat = 0.0
        if rules.wake_h <= clock < rules.bedtime_h:
            heat = door * max(cabin - 0.5 * (rules.low + rules.high), 0)
        warm_air = cabin + own.vent_rise[i]
        cop = own.carnot[i] * (1 - rules.loss_per_k * max(warm_air - 20, 0)) * 261.15 / max(warm_air + 25, 10)
        off_equilibrium_c = cabin + heat / ua
        on_equilibrium_c = off_equilibrium_c - own.compressor_w[i] * cop / ua
        cold = max(1 - (1 - own.factor_0c[i]) * line(t.celsius, t.cold_loss, temp), 0.3)
        at, terminal_sum, solar_sum, amps_sum = 0.0, 0.0, 0.0, 0.0
        for segment in range(10):
            remaining = 1 - at
            if remaining <= 1e-7:
                break
            alive = not bus_open
            ready = alive and not fridge_open
            runs = ready and (inside >= rules.high or (running and inside > rules.low))
            edge, aim = (rules.low, on_equilibrium_c) if runs else (rules.high, off_equilibrium_c)
            start_left = (start_left if running else own.start_h[i]) if runs else 0.0
            to_switch = start_left + until(inside, edge, aim, tau) if ready else math.inf
            load_a, fridge_w = own.load_a[i] if alive else 0.0, own.compressor_w[i] if runs else 0.0
            head = available / (0.325 * full)
            net = load_a + fridge_w / 12 - solar_w / 13.5
            strain = min(max(net * 100 / cap, 0), 1)
            h = min(remaining, to_switch)
            if net > 0:
                both = (head - strain * (1 - cold) - 0.004) * full / max(net, 1e-3)
                follows = 1.92 * max(both, 0)
                h = min(h, max(both * (0.325 + 0.675 * follows / (1 + follows)), 0.02))
            if segment == 9:
                h = remaining
            turned = to_switch <= h

            charge = available + bound
            relative = charge / full
            missing = max(full - charge, 0)
            set_v = 0.0
            if solar_w > 0:
                set_v = rules.float_v if floating else rules.absorption_v
            idle_v = rest_at(t.loaded_v, relative) + own.offset[i]
            over_v = max(set_v - idle_v, 1e-3) / max(14.4 - idle_v, 0.1)
            willing = over_v ** own.exponent[i] * 2 ** ((temp - 25) / own.halving_k[i])
            accepted_h = own.acceptance[i] * min(willing, 1.5)
            i10 = min(max(-net, 0), accepted_h * missing) * 10 / cap
            gassed = 1 - math.exp(20.73 * (min(relative, 1) - 1) / (i10 + 0.55))
            stored = 1 - min(own.polarisation[i], 1) * (1 - max(gassed, 0.1))
            state = min(max(1 - 0.63 * (1 - relative), 0.2), 0.985)
            e = math.exp(-1.92 * h)
            gone = 1 - e
            late = 1.92 * h - gone
            ohm_in, accepts = ohm_out, 0.0
            if solar_w > 0:
                slope = (0.48 / (1 - min(state, 0.9)) ** 1.2 + 0.036) * (1 - 0.025 * (temp - 25))
                ohm_in = ohm_out + 6 * own.polarisation[i] * slope / cap
                hh = max(h, 1e-6)
                eh = -math.expm1(-1.92 * hh)
                room = 1.92 * (0.325 * full - available * (1 - eh) - charge * 0.325 * eh)
                limit = max(room, 0) / (eh + 0.325 * (1.92 * hh - eh))
                taken = -missing * math.expm1(-accepted_h * stored * hh)
                accepts = max(min(limit, taken / hh) / stored, 0)
            cold_head = (head - (1 - cold)) / cold
            rest_v = rest_at(t.loaded_v, head + strain * (cold_head - head)) + own.offset[i]
            rest_v = max(rest_v + (1 - strain) * rules.drop_v * min(max(1 - 10 * head, 0), 1), 6)
            source = rest_v - polarisation

            v = max(set_v, source)
            sag = own.shared_ohm[i] * load_a
            accepted = min(accepts, max(set_v - source, 0) / ohm_in)
            sun_a = solar_w / max(v, 8.5)
            fridge_a = fridge_amps(fridge_w, loop, v - sag)
            held = sun_a >= load_a + fridge_a + accepted and sun_a > 0
            ohm = ohm_in
            if held:
                sun_a = min(sun_a, load_a + fridge_a + accepted)
            else:
                v = source
                if not solar_w / max(v, 8.5) > load_a + fridge_amps(fridge_w, loop, v - sag):
                    ohm = ohm_out
                for _ in range(30):
                    fridge_a = fridge_amps(fridge_w, loop, v - sag)
                    slope = 0.0
                    if fridge_a < fridge_w / 8.5 * (1 - 1e-12):
                        slope = -fridge_a / max(v - sag - 2 * loop * fridge_a, 1)
                    if v > 8.5:
                        slope += solar_w / v**2
                    miss = v - source + ohm * (load_a + fridge_a - solar_w / max(v, 8.5))
                    step = miss / (1 + ohm * slope)
                    v -= step
                    if abs(step) < 1e-10:
                        break
                sun_a = solar_w / max(v, 8.5)
                fridge_a = fridge_amps(fridge_w, loop, v - sag)
            amps = load_a + fridge_a - sun_a
            distribution_v = v - own.shared_ohm[i] * (load_a + fridge_a)
            fridge_v = distribution_v - own.branch_ohm[i] * fridge_a
            over = v - source + ohm * amps if held else 0.0
            lost_v = ohm * amps + polarisation - over

            out = amps if amps > 0 else stored * amps
            available, bound = (
                available * e + (charge * 0.624 - out) * gone / 1.92 - out * 0.325 * late / 1.92,
                bound * e + charge * 0.675 * gone - out * 0.675 * late / 1.92,
            )
            head_end = available / (0.325 * full)
            i100 = abs(amps) * 100 / cap
            aim_v, rate = 0.0, 2.0
            if polarisation < 0 and amps >= 0:
                rate = 0.25 + max(amps, 0) / (0.015 * cap)
            if amps > 0:
                drop = 4 / (1 + i100**1.3) + 0.27 / state**1.5 + 0.02
                drop *= own.polarisation[i] * 6 * i100 / 100 * (1 - 0.007 * (temp - 25))
                known = amps * ohm_out + rest_at(t.loaded_v, relative) - rest_at(t.loaded_v, (head + head_end) / 2)
                aim_v = max(drop - known, 0)
            elif amps < 0:
                weak = max(i100, 1e-6)
                aim_v = -own.polarisation[i] * 0.36 * weak / (1 + weak**0.86)
            polarisation = aim_v + (polarisation - aim_v) * math.exp(-rate * h)
            started = inside
            still = min(start_left, h)
            moving = h - still
            start_left -= still
            inside = edge if turned else aim + (inside - aim) * math.exp(-moving / tau)

            if started > 5 or inside > 5:
                crossing = moving if started > 5 and inside > 5 else min(until(started, 5.0, aim, tau), moving)
                sums[6] += still + crossing if started > 5 else moving - crossing
            wiring = own.shared_ohm[i] * (load_a + fridge_a) ** 2 + own.branch_ohm[i] * fridge_a**2
            sums[0] += h * sun_a * v
            sums[1] += h * max(solar_w - sun_a * v, 0)
            sums[2] += h * fridge_v * fridge_a
            sums[3] += h * load_a * distribution_v
            sums[4] += h * (wiring + amps * lost_v + rest_v * max(-amps, 0) * (1 - stored))
            sums[5] += 0 if ready else h
            terminal_sum += h * v
            solar_sum += h * sun_a * v
            amps_sum += h * amps

            cold_head = (head_end - (1 - cold)) / cold
            rest_v = rest_at(t.loaded_v, head_end + strain * (cold_head - head_end)) + own.offset[i]
            rest_v = max(rest_v + (1 - strain) * rules.drop_v * min(max(1 - 10 * head_end, 0), 1), 6)
            terminal_end = v if held else rest_v - polarisation - ohm * amps
            relative = (available + bound) / full
            lowest = min(lowest, relative)
            low = runs and terminal_end - (v - fridge_v) < own.cutout_v[i]
            low_h = low_h + h if low else 0.0
            drops_fridge = low and low_h >= rules.delay_h
            drops_bus = alive and terminal_end + (ohm * fridge_a if drops_fridge else 0.0) < rules.brownout_v
            opened = drops_fridge or drops_bus
            if ready and opened and cutout_cause == 0:
                cutout_cause, first_h = 1 if drops_fridge else 3, hour + at + h
            waited = 0.0 if opened else waited + h
            back = not opened and waited >= rules.wait_h
            fridge_back = terminal_end - (v - distribution_v) >= own.restart_v[i]
            fridge_open = drops_fridge or (fridge_open and not (back and alive and fridge_back))
            bus_open = drops_bus or (bus_open and not (back and terminal_end >= rules.reconnect_v))
            running = runs
            absorbing = held and not floating
            if absorbing:
                absorbed += h
            tail = absorbing and -amps <= rules.tail * cap and relative >= 0.9
            floating = floating or tail or (absorbing and absorbed >= rules.limit_h)
            if terminal_end < 12.8:
                floating = False
            at += h
        temp += (around - temp) * own.half_step[i]
        if len(paths) > 0:
            paths[0, hour], paths[1, hour], paths[2, hour] = (available + bound) / full, inside, terminal_sum
            paths[3, hour], paths[4, hour] = solar_sum, amps_sum
    return lowest, first_h, cutout_cause


@fast
def drawn(days):  # type: ignore[no-untyped-def]
    chance = Chance(np.empty(days + 1), np.empty(days + 1), np.empty((days, 24)), np.empty(days))
    for d in range(days + 1):
        chance.clear[d] = np.random.standard_normal()  # noqa: NPY002
        chance.warm[d] = np.random.standard_normal()  # noqa: NPY002
    for d in range(days):
        chance.doors[d] = np.random.random()  # noqa: NPY002
        for h in range(24):
            chance.cloud[d, h] = np.random.standard_normal()  # noqa: NPY002
    return chance


@fast
def trial_of(i, own, t, rules, chance, paths, sums):  # type: ignore[no-untyped-def]
    if len(chance.clear) > 0:
        mine = Chance(chance.clear[i], chance.warm[i], chance.cloud[i], chance.doors[i])
        return trial(i, own, t, rules, mine, paths[i], sums)
    return trial(i, own, t, rules, drawn(len(t.dark)), paths[0], sums)


@njit(parallel=True, **HOW)
def run(own, t, rules, chance, paths):  # type: ignore[no-untyped-def]
    """Lowest charge, hour of the first cut-out, cutout_cause, sums. `chance` and `paths` (trials, ...), or one empty
    row."""
    n = len(own.lag1)
    lowest, first_h, cutout_cause, sums = np.empty(n), np.empty(n), np.empty(n, np.int64), np.zeros((n, len(SUMS)))
    for i in prange(n):
        lowest[i], first_h[i], cutout_cause[i] = trial_of(i, own, t, rules, chance, paths, sums[i])
    return lowest, first_h, cutout_cause, sums


NO_PATHS = np.empty((1, 0, 0))
