"""Days and hours of weather for the scalar loop of numba_trip. Equations and sources: tests/reference."""

from __future__ import annotations

import math

from numba import njit

HOW = {"error_model": "numpy", "fastmath": True, "cache": True}
fast = njit(**HOW)


@fast
def days_of(i, own, t, chance, k, mean):  # type: ignore[no-untyped-def]
    clear = warm = 0.0
    for d in range(len(k)):
        phi, psi, r = own.lag1[i], t.air_lag1[d], t.correlation[d]
        if d == 0:
            clear = chance.clear[d]
            warm = r * clear + math.sqrt(1 - r * r) * chance.warm[d]
        else:
            rest, psi_rest = math.sqrt(1 - phi * phi), math.sqrt(1 - psi * psi)
            c = min(max(r * (1 - phi * psi) / (rest * psi_rest), -1), 1)
            clear = phi * clear + rest * chance.clear[d]
            warm = psi * warm + psi_rest * (c * chance.clear[d] + math.sqrt(1 - c * c) * chance.warm[d])
        x = min(max((clear + 6.25) * 80, 0), 1000)
        j = min(int(x), 999)
        row = t.clearness[d]
        k[d] = min((row[j] + (x - j) * (row[j + 1] - row[j])) * own.scale[i], 0.88)
        mean[d] = t.air_c[d] + t.air_sd[d] * warm


@fast
def hours_of(i, d, k_day, own, t, cloud, mean, air, ghi, power):  # type: ignore[no-untyped-def]
    phi = 0.38 + 0.06 * math.cos(7.4 * k_day - 2.5)
    phi_rest = math.sqrt(1 - phi * phi)
    width = 0.14 * math.exp(-20 * (k_day - 0.35) ** 2)
    steep = 3 * (k_day - 0.45) ** 2 + 16 * k_day**5
    y, started, total, kept, room = 0.0, False, 0.0, 0.0, 0.0
    for h in range(24):
        i0 = t.i0[d, h]
        if i0 > 0:
            y = phi * y + phi_rest * cloud[h] if started else cloud[h]
            started = True
            even = k_day * t.profile[d, h]
            kt = min(max(even + width * math.exp(steep * t.low_sun[d, h]) * y, 0.02 * even), t.limit[d, h])
            ghi[h] = kt
            total += i0
            kept += kt * i0
            room += (t.limit[d, h] - kt) * i0
    target = k_day * total
    fill = min(max((target - kept) / max(room, 1e-20), 0), 1)
    kept += fill * room
    factor = target / max(kept, 1e-20)
    before, after, today = mean[max(d - 1, 0)], mean[d + 1], mean[d]
    dawn, night, noon = (before + today) / 2, (today + after) / 2, 1.5 * today - (before + after) / 4
    wave = 1.5 if t.dark[d] else max(25.8 * k_day - 5.21, 1.5)
    for h in range(24):
        x, i0 = (h + 0.5) / 12, t.i0[d, h]
        base = dawn + (noon - dawn) * x if x < 1 else noon + (night - noon) * (x - 1)
        air[h] = base + wave * t.air_shape[d, h]
        power[h] = 0.0
        if not i0 > 0:
            ghi[h] = 0.0
            continue
        kt = (ghi[h] + fill * (t.limit[d, h] - ghi[h])) * factor
        diffuse = 1 - 0.09 * kt if kt <= 0.22 else 0.165
        if 0.22 < kt <= 0.8:
            diffuse = 0.9511 + kt * (-0.1604 + kt * (4.388 + kt * (-16.638 + kt * 12.336)))
        g = kt * i0
        ghi[h] = g
        direct = min(g * (1 - diffuse), 0.85 * i0)
        beam = max(direct * t.received[d, h], 0) * (1 - own.shade_beam[i, d])
        sky = max((g - direct) * t.sky[d, h] + g * t.ground[d, h], 0) * (1 - own.shade_sky[i, d])
        power[h] = beam + sky  # light as yet
