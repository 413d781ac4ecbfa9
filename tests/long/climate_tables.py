"""How good the default climate is: every file at hand judged with itself and its neighbours left out of the fit.

    python tests/long/open_data.py && python tests/long/climate_tables.py [--chances] [--signs]

Prints the tables of python/docs/climate.md. `--chances` adds what the difference does to the chance of a cut-out, with
two vans in every second month at every place; that takes some minutes. `--signs` counts the warnings of a longitude
with the wrong sign, at the files' own places and at their mirrors.
"""

from __future__ import annotations

import sys
import warnings
from collections.abc import Iterable, Sequence

import numpy as np
import ridethrough as rt
from clearness_correction import corrected_at, density_weights, fit
from climate_stations import LEAST_H0_WH_M2, Normals, all_files, monthly_h0_wh_m2
from ridethrough.weather.place_checks import is_turned_round, misfit
from ridethrough.weather.world_grid import distance_km
from world_grids import Sun, sun

NEIGHBOUR_KM = 100
TRIALS, NIGHTS, MONTHS = 1000, 5, range(0, 12, 2)
STEP_SUN, STEP_K = 0.1, 1.0
VANS = {
    "AGM 100 Ah, 160 W": rt.Van(battery=rt.AgmBattery(capacity_ah=100), solar=rt.SolarArray(rated_w=160)),
    "lithium 100 Ah, 200 W": rt.Van(battery=rt.LithiumBattery(capacity_ah=100), solar=rt.SolarArray(rated_w=200)),
}
SEASONS = ("winter", "spring", "summer", "autumn")


def region_of(s: Normals) -> str:
    if abs(s.latitude) < 25:
        return "tropics, below 25 deg"
    if s.latitude < 0:
        return "south, beyond 25 deg"
    if s.longitude < -30:
        return "North America, west of 100 W" if s.longitude < -100 else "North America, east of 100 W"
    if s.longitude > 45:
        return "Asia"
    if s.latitude < 45:
        return "Mediterranean"
    return "north of 55 N" if s.latitude > 55 else "Germany" if s.kind == "TRY" else "British Isles, Netherlands"


def left_out(grid: Sun, s: Normals, files: Sequence[Normals]) -> np.ndarray:
    """Clearness of the default for a place whose file, and those within 100 km, the fit has not seen."""
    others = [
        f for f in files if f.open and distance_km(s.latitude, s.longitude, f.latitude, f.longitude) > NEIGHBOUR_KM
    ]
    return corrected_at(grid, fit(grid, others), s.latitude, s.longitude)


def air_of_default(s: Normals) -> np.ndarray:
    return np.array(rt.climate_at(s.latitude, s.longitude, s.altitude_m).air_temp_c)


def rms(errors: Iterable[np.ndarray], weights: Sequence[float]) -> tuple[float, float]:
    """Root mean square and mean; NaN is left out."""
    values = np.array(list(errors))
    weight = np.asarray(weights)[:, None] * np.isfinite(values)
    values = np.nan_to_num(values)
    total = weight.sum()
    return float(np.sqrt((weight * values**2).sum() / total)), float((weight * values).sum() / total)


def season_of(s: Normals, month: int) -> int:
    return (month + 1 + (6 if s.latitude < 0 else 0)) % 12 // 3


def cells(sun_rms: float, sun_mean: float, air_rms: float, air_mean: float) -> str:
    return f"{100 * sun_rms:.1f} ({100 * sun_mean:+.1f}) | {air_rms:.2f} ({air_mean:+.2f}) |"


def print_errors(files: Sequence[Normals], sun_errors: np.ndarray, air_errors: np.ndarray) -> None:
    groups = {"all": list(files)} | {
        "in the fit": [s for s in files if s.open],
        "never in the fit": [s for s in files if not s.open],
    }
    for region in sorted({region_of(s) for s in files}):
        groups[region] = [s for s in files if region_of(s) == region]
    print("| files | n | sun: rms (mean), % of a month | air: rms (mean), K |\n|---|---|---|---|")
    for name, group in groups.items():
        rows = [i for i, s in enumerate(files) if s in group]
        one = np.ones(len(rows))
        (a, b), (c, d) = rms(sun_errors[rows], one), rms(air_errors[rows], one)
        print(f"| {name} | {len(rows)} |", cells(a, b, c, d))
    dense = density_weights(files)
    (a, b), (c, d) = rms(sun_errors, dense), rms(air_errors, dense)
    print(f"| all, weighted by one over the files within 600 km | {len(files)} |", cells(a, b, c, d))
    print("\n| season | sun: rms (mean), % | air: rms (mean), K |\n|---|---|---|")
    for i, season in enumerate(SEASONS):
        here = np.array([[season_of(s, m) == i for m in range(12)] for s in files])
        one = np.ones(len(files))
        (a, b), (c, d) = (rms(np.where(here, e, np.nan), one) for e in (sun_errors, air_errors))
        print(f"| {season} |", cells(a, b, c, d))
    print("\nLargest rms of a file, sun:")
    by_file = np.sqrt(np.nanmean(sun_errors**2, axis=1))
    for i in np.argsort(-by_file)[:6]:
        print(f"  {files[i].name}: {100 * by_file[i]:.0f} % ({100 * np.nanmean(sun_errors[i]):+.0f})")
    by_file = np.sqrt(np.nanmean(air_errors**2, axis=1))
    print("air: " + ", ".join(f"{files[i].name} {by_file[i]:.1f} K" for i in np.argsort(-np.nan_to_num(by_file))[:6]))


def climate_of(s: Normals, clearness: np.ndarray, air_c: np.ndarray, **more: object) -> rt.Climate:
    h0 = monthly_h0_wh_m2(s.latitude)
    ghi = np.where(h0 > LEAST_H0_WH_M2, np.nan_to_num(clearness) * h0, np.minimum(0.3 * h0, 100)) / 1000
    return rt.Climate(latitude=s.latitude, longitude=s.longitude, ghi_kwh_m2_day=ghi, air_temp_c=air_c, **more)


def chance(van: rt.Van, s: Normals, climate: rt.Climate, month: int) -> float:
    site = rt.Site(latitude=s.latitude, longitude=s.longitude, utc_offset_h=round(s.longitude / 15), climate=climate)
    trip = rt.Trip(site=site, start=f"2027-{month + 1:02d}-13 15:00", nights=NIGHTS)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        return float(
            rt.simulate(van, trip, trials=TRIALS, precision="single", keep="summary", progress=False).cutout.value
        )


def chances(s: Normals, clearness: np.ndarray) -> list[tuple[object, ...]]:
    """A row each van and month: region, van, month, season, the error's spreads, and chances by the own normals and by
    the default as it is drawn, at its middle, with more sun, and warmer.
    """
    air = air_of_default(s)
    given = rt.climate_at(s.latitude, s.longitude, s.altitude_m)
    spreads = {"ghi_scale": given.ghi_scale, "air_temp_offset_k": given.air_temp_offset_k}
    own = climate_of(s, s.clearness, s.air_c)
    drawn, middle = climate_of(s, clearness, air, **spreads), climate_of(s, clearness, air)
    sunnier = climate_of(s, clearness, air, ghi_scale=1 + STEP_SUN)
    warmer = climate_of(s, clearness, air, air_temp_offset_k=STEP_K)
    sizes = given.ghi_scale.arguments[1], given.air_temp_offset_k.arguments[1]
    return [
        (
            region_of(s),
            name,
            month,
            season_of(s, month),
            *sizes,
            *(chance(van, s, c, month) for c in (own, drawn, middle, sunnier, warmer)),
        )
        for name, van in VANS.items()
        for month in MONTHS
    ]


def log_odds(p: np.ndarray) -> np.ndarray:
    """Of a share of TRIALS, half a trial from either end at most."""
    p = np.clip(p, 0.5 / TRIALS, 1 - 0.5 / TRIALS)
    return np.asarray(np.log(p / (1 - p)))


def print_chances(rows: list[tuple[object, ...]]) -> None:
    season = np.array([r[3] for r in rows])
    sun_sd, air_sd, own, drawn, middle, sunnier, warmer = np.array([r[4:] for r in rows], dtype=float).T
    real = (middle > 0.02) & (middle < 0.98)
    per_sun = (log_odds(sunnier) - log_odds(middle)) / np.log(1 + STEP_SUN)
    per_k = (log_odds(warmer) - log_odds(middle)) / STEP_K
    print(f"\nlog odds where the chance is 2 to 98 % ({real.sum()} van-months), root mean square by season:")
    slopes = []
    for i, name in enumerate(SEASONS):
        here = real & (season == i)
        slopes.append([float(np.sqrt(np.mean(x[here] ** 2))) for x in (per_sun, per_k)])
        print(f"  {name}: {slopes[-1][0]:.2f} per ln of the sun, {slopes[-1][1]:.3f} per K")
    table = np.array(slopes)[season]
    size = np.hypot(table[:, 0] * sun_sd, table[:, 1] * air_sd)
    apart = log_odds(own) - log_odds(drawn)
    within = np.abs(apart) <= 1.645 * size
    groups = {"all": np.ones(len(rows), bool), "2 to 90 %": (drawn > 0.02) & (drawn < 0.9)}
    groups |= {name: season == i for i, name in enumerate(SEASONS)}
    groups |= {name: np.array([r[1] == name for r in rows]) for name in VANS}
    groups |= {region: np.array([r[0] == region for r in rows]) for region in sorted({str(r[0]) for r in rows})}
    print("\n| chance by the default | n | mean, points | rms, points | own chance in the 90 % range |")
    print("|---|---|---|---|---|")
    for name, here in groups.items():
        gap = 100 * (drawn - own)[here]
        n, share = int(here.sum()), 100 * within[here].mean()
        print(f"| {name} | {n} | {gap.mean():+.1f} | {np.sqrt((gap**2).mean()):.1f} | {share:.0f} % |")


def print_signs(files: Sequence[Normals]) -> None:
    """Altitudes are left out: who errs in the longitude may not give one."""
    here, mirrored = (
        [misfit(climate_of(s, s.clearness, s.air_c), s.latitude, sign * s.longitude, None) for s in files]
        for sign in (1, -1)
    )
    false = [s.name for s, a, b in zip(files, here, mirrored, strict=True) if is_turned_round(a, b)]
    caught = [s.name for s, a, b in zip(files, here, mirrored, strict=True) if is_turned_round(b, a)]
    print(
        f"\nsigns: of {len(files)} files {len(false)} warned of at their own places {false}, {len(caught)} turned round"
    )


def main() -> None:
    files, grid = all_files(), sun()
    clearness = np.array([left_out(grid, s, files) for s in files])
    sun_errors = np.log(clearness / np.array([s.clearness for s in files]))
    air_errors = np.array([air_of_default(s) - s.air_c for s in files])
    print_errors(files, sun_errors, air_errors)
    if "--signs" in sys.argv:
        print_signs(files)
    if "--chances" in sys.argv:
        print_chances([row for s, k in zip(files, clearness, strict=True) for row in chances(s, k)])


if __name__ == "__main__":
    main()
