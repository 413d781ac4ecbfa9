"""Bad input is refused before any work, by an InputError that names the field, the value and what is allowed."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest
import ridethrough

rt: Any = ridethrough  # as calls here are wrong on purpose

PLACE = {"latitude": 36.1, "longitude": -79.95}
GHI = [2.4, 3.1, 4.2, 5.4, 5.6, 6.2, 6.1, 5.6, 4.4, 3.6, 2.4, 2.2]
AIR = [0.3, 5.0, 11.4, 14.7, 19.0, 23.6, 25.4, 24.8, 20.1, 13.1, 10.8, 4.2]
CLIMATE = rt.Climate(**PLACE, ghi_kwh_m2_day=GHI, air_temp_c=AIR)
TRIP = rt.Trip(site=rt.Site(**PLACE, climate=CLIMATE), start="2026-11-06 15:00", nights=5)


def frame(days: int = 400) -> pd.DataFrame:
    """Hours of one cloudless day over and over, from 2019 on."""
    index = pd.date_range("2019-01-01", periods=24 * days, freq="h", tz="Etc/GMT+5")
    hour = np.arange(24 * days) % 24
    ghi = np.clip(400 * np.sin((hour - 6) / 12 * math.pi), 0, None)
    return pd.DataFrame({"ghi": ghi, "temp_air": 10 + 0.1 * hour}, index=index)


def daily(days: int = 400) -> pd.DataFrame:
    index = pd.date_range("2019-01-01", periods=days)
    return pd.DataFrame({"ghi_kwh_m2": 3.0, "temp_min_c": 5.0, "temp_max_c": 12.0}, index=index)


def with_nan(table: pd.DataFrame, column: str, row: int) -> pd.DataFrame:
    values = table[column].to_numpy(copy=True)
    values[row] = math.nan
    return table.assign(**{column: values})


def hourly(table: pd.DataFrame, **changes: Any) -> rt.Climate:
    return rt.Climate.from_hourly(table, **{**PLACE, "label": "left", **changes})


def run(van: rt.Van | None = None, trip: rt.Trip = TRIP, **arguments: Any) -> rt.Risk:
    return rt.simulate(van or rt.Van(), trip, **arguments)


def replayed(**changes: Any) -> rt.Risk:
    trip = TRIP.replace(weather="replayed", replay_window_d=0, site=rt.Site(**PLACE, climate=hourly(frame())))
    return run(trip=trip.replace(**changes), trials=10)


Case = tuple[Callable[[], object], str]

CONFIGURATION: dict[str, Case] = {
    "negative": (lambda: rt.AgmBattery(capacity_ah=-1), "AgmBattery.capacity_ah = -1 Ah: allowed 5 to 2000 Ah"),
    "nan": (lambda: rt.AgmBattery(capacity_ah=math.nan), "AgmBattery.capacity_ah = nan Ah: allowed 5 to 2000 Ah"),
    "infinite": (lambda: rt.SolarArray(rated_w=math.inf), "SolarArray.rated_w = inf W: allowed 0 to 5000 W"),
    "13 normals": (
        lambda: rt.Climate(**PLACE, ghi_kwh_m2_day=[*GHI, 2.0], air_temp_c=AIR),
        "Climate.ghi_kwh_m2_day = 13 numbers: allowed 12 numbers, 0 to 12 kWh/m2",
    ),
    "a NaN normal": (
        lambda: rt.Climate(**PLACE, ghi_kwh_m2_day=GHI, air_temp_c=[*AIR[:11], math.nan]),
        "Climate.air_temp_c.12 (December) = nan C: allowed -60 to 50 C",
    ),
    "above the clear-sky limit": (
        lambda: rt.Climate(**PLACE, ghi_kwh_m2_day=[7.5, *GHI[1:]], air_temp_c=AIR),
        "Climate.ghi_kwh_m2_day.1 (January) = 7.5 kWh/m2: allowed 0.049 to 3.945 kWh/m2",
    ),
    "latitude": (lambda: rt.Site(latitude=91, longitude=0), "Site.latitude = 91 deg: allowed -90 to 90 deg"),
    "nights 0": (lambda: TRIP.replace(nights=0), "Trip.nights = 0: allowed whole number, 1 to 365"),
    "nights -1": (lambda: TRIP.replace(nights=-1), "Trip.nights = -1: allowed whole number, 1 to 365"),
    "nights 366": (lambda: TRIP.replace(nights=366), "Trip.nights = 366: allowed whole number, 1 to 365"),
    "nights 2.5": (lambda: TRIP.replace(nights=2.5), "Trip.nights = 2.5: allowed whole number, 1 to 365"),
    "a day after the trip": (
        lambda: TRIP.replace(shore_power=[rt.ShorePower(nights=[10])]),
        "Trip.shore_power.1.nights = 10: allowed 1 to 5 (1 is the first night)",
    ),
    "start in words": (lambda: TRIP.replace(start="6 November"), 'Trip.start = "6 November": not a date and time'),
    "start not on the hour": (lambda: TRIP.replace(start="2026-11-06 15:30"), "must be a full hour"),
    "start on 30 February": (lambda: TRIP.replace(start="2026-02-30 15:00"), "there is no such day in that month"),
    "unknown field": (lambda: rt.Fridge(volum_l=5), "Fridge.volum_l: no such field; did you mean volume_l?"),
    "unknown load": (
        lambda: rt.Van().replace(**{"loads.ligths.current_a": 1}),
        "loads: no 'ligths' in the list; did you mean 'lights'?",
    ),
    "unknown kind of load": (
        lambda: rt.Van.from_dict({"loads": {"laptop": {"kind": "Laptopp"}}}),
        "Van.loads.laptop.kind = 'Laptopp': allowed Lights or ",
    ),
    "a heater's currents the wrong way round": (
        lambda: rt.Heater(low_current_a=3, full_current_a=rt.spreads.triangular(1.4, 1.8, 2.2)),
        "Heater.low_current_a = 3 A: must not be above full_current_a = 1.8 A",
    ),
    "two loads of one name": (lambda: rt.Van(loads=[rt.Fan(), rt.Fan()]), "Van.loads: the name 'fan' is used twice"),
    "a window that ends by default before it begins": (
        lambda: rt.Kettle(earliest_h=22),
        "h (its default): must not be before earliest_h = 22 h",
    ),
    "a window that ends before it begins": (
        lambda: rt.Kettle(earliest_h=22, latest_h=21.5),
        "Kettle.latest_h = 21.5 h: must not be before earliest_h = 22 h",
    ),
    "spread outside the range": (
        lambda: rt.AgmBattery(initial_soc=rt.spreads.uniform(0.5, 1.5)),
        "AgmBattery.initial_soc = uniform(0.5, 1.5): allowed 0 to 1",
    ),
    "spread too fine": (
        lambda: rt.AgmBattery(initial_soc=rt.spreads.uniform(0.5, 1, per="hour")),
        "AgmBattery.initial_soc = uniform(0.5, 1, per='hour'): allowed per='trial'",
    ),
    "spread of a fixed field": (
        lambda: rt.Fridge(volume_l=rt.spreads.uniform(50, 60)),
        "Fridge.volume_l = uniform(50, 60): fixed for the whole plan; allowed one number",
    ),
    "spread of NaN": (lambda: rt.spreads.triangular(0, math.nan, 1), "triangular(0, nan, 1): allowed finite numbers"),
    "site 2 degrees north": (
        lambda: rt.Site(latitude=38.1, longitude=-79.95, climate=CLIMATE),
        "Site.latitude = 38.1 deg: the climate was made for 36.1 deg; allowed within 1 deg",
    ),
    "site 2 degrees east": (
        lambda: rt.Site(latitude=36.1, longitude=-77.95, climate=CLIMATE),
        "Site.longitude = -77.95 deg: the climate was made for -79.95 deg; allowed within 1 deg",
    ),
    "brown-out": (
        lambda: rt.AgmBattery(brownout_v=11, brownout_restart_v=10.5),
        "AgmBattery.brownout_restart_v = 10.5 V: must be above brownout_v = 11 V",
    ),
}

WEATHER: dict[str, Case] = {
    "empty": (lambda: hourly(frame().iloc[:0]), "weather frame: it has no rows"),
    "gap": (
        lambda: hourly(frame().drop(frame().index[100:110])),
        "weather frame: ghi is missing or not finite in 10 h, first 2019-01-05 04:00",
    ),
    "gap too long to fill": (
        lambda: hourly(frame().drop(frame().index[100:110]), fill="interpolate"),
        "weather frame: ghi has a gap of 10 h (from 2019-01-05 04:00); only gaps up to 3 h",
    ),
    "nan": (
        lambda: hourly(with_nan(frame(), "temp_air", 1000)),
        "weather frame: temp_air is missing or not finite in 1 h, first 2019-02-11 16:00",
    ),
    "repeated hour": (
        lambda: hourly(pd.concat([frame().iloc[:50], frame().iloc[49:]])),
        "weather frame: 2019-01-03 01:00:00-05:00 comes after 2019-01-03 01:00:00-05:00",
    ),
    "no zone": (lambda: hourly(frame().tz_localize(None)), "weather frame: its index has no time zone"),
    "no column": (lambda: hourly(frame()[["ghi"]]), "weather frame: no column temp_air; it has ghi"),
    "label": (lambda: hourly(frame(), label="middle"), "label = 'middle': allowed 'left', 'right', 'centre'"),
    "label that does not fit": (
        lambda: hourly(frame(), label="centre"),
        "weather frame: with label = 'centre' the interval of 2019-01-01 00:00:00-05:00 starts 30 min off",
    ),
    "nan latitude": (lambda: hourly(frame(), latitude=math.nan), "latitude = nan: allowed -90 to 90 deg"),
    "too short": (lambda: hourly(frame(100)), "weather frame: fewer than 5 whole days in May, Jun, Jul, Aug, Sep,"),
    "empty days": (lambda: rt.Climate.from_daily(daily().iloc[:0], **PLACE), "weather frame: no rows"),
    "missing day": (
        lambda: rt.Climate.from_daily(daily().drop(pd.Timestamp("2019-03-01")), **PLACE),
        "weather frame: 2019-03-02 00:00:00 comes after 2019-02-28 00:00:00; days must be in a row",
    ),
    "nan day": (
        lambda: rt.Climate.from_daily(with_nan(daily(), "ghi_kwh_m2", 40), **PLACE),
        "weather frame: ghi_kwh_m2 is not finite on 1 days, first 2019-02-10",
    ),
}

RUNS: dict[str, Case] = {
    "no trials": (lambda: run(trials=0), "trials = 0: allowed whole numbers 1 to 1,000,000,000"),
    "negative trials": (lambda: run(trials=-5), "trials = -5: allowed whole numbers 1 to"),
    "trials of bool": (lambda: run(trials=True), "trials = True: allowed whole numbers 1 to"),
    "trials of NumPy's bool": (lambda: run(trials=np.True_), "trials = np.True_: allowed whole numbers 1 to"),
    "trials of float": (lambda: run(trials=10.5), "trials = 10.5: allowed whole numbers 1 to"),
    "negative seed": (lambda: run(seed=-1), "seed = -1: allowed whole numbers 0 to 18,446,744,073,709,551,615"),
    "large seed": (lambda: run(seed=2**64), "seed = 18446744073709551616: allowed whole numbers 0 to"),
    "threads": (lambda: run(threads=-1), "threads = -1: allowed whole numbers 0 to 1,024"),
    "half width": (lambda: run(half_width=0.5), "half_width = 0.5: allowed 0.000001 to 0.49"),
    "half width nan": (lambda: run(half_width=math.nan), "half_width = nan: allowed 0.000001 to 0.49"),
    "precision": (lambda: run(precision="half"), "precision = 'half': allowed 'single', 'double'"),
    "keep": (lambda: run(keep="all"), "keep = 'all': allowed 'columns', 'summary'"),
    "path": (
        lambda: run(time_series=["terminal_a"]),
        "time_series: 'terminal_a' is no time series; did you mean 'terminal_v'?",
    ),
    "paths of a summary": (lambda: run(time_series=True, keep="summary"), "time_series: not kept with keep='summary'"),
    "no van": (lambda: rt.simulate(None, TRIP), "van = None: must be a Van"),
    "two vans": (lambda: rt.simulate(rt.Van(), rt.Van()), "trip = Van(): must be a Trip"),
    "no climate at sea": (
        lambda: run(trip=TRIP.replace(site=rt.Site(latitude=0, longitude=-30))),
        "Site: no default climate for 0, -30: it lies in the sea",
    ),
    "no record": (
        lambda: run(trip=TRIP.replace(weather="replayed")),
        'Trip.weather = "replayed": the climate has no record; make it with Climate.from_hourly',
    ),
    "outside the record": (
        lambda: replayed(nights=120),
        "start 2026-11-06, 121 days: outside the weather record, <HourlySeries 36.1, -79.95: 9600 h, 2019-01-01 to ",
    ),
    "powered without a charger": (
        lambda: run(trip=TRIP.replace(shore_power=[rt.ShorePower(nights=[2])])),
        "Trip.shore_power: Van.mains is None: give the van a MainsCharger, in a file [van.mains]",
    ),
    "restart below cut-out": (
        lambda: run(rt.Van(fridge=rt.Fridge(cutout_v=11.5, restart_v=11))),
        "fridge.restart_v = 11 V: must be above fridge.cutout_v = 11.5 V",
    ),
    "restart spread into cut-out": (
        lambda: run(rt.Van(disconnect=rt.SystemDisconnect(cutout_v=rt.spreads.uniform(10, 12), restart_v=11.5))),
        "disconnect.restart_v = 11.5 V: must be above disconnect.cutout_v = 12 V",
    ),
}


@pytest.mark.parametrize(
    "case",
    [pytest.param(case, id=name) for cases in (CONFIGURATION, WEATHER, RUNS) for name, case in cases.items()],
)
def test_bad_input_is_refused(case: Case) -> None:
    call, words = case
    assert issubclass(rt.InputError, ValueError)
    with pytest.raises(rt.InputError, match=re.escape(words)):
        call()


def test_a_good_run_passes_where_the_bad_ones_fail() -> None:
    assert run(trials=10).trials == replayed().trials == 10
    assert (
        run(rt.Van(mains=rt.MainsCharger()), TRIP.replace(shore_power=[rt.ShorePower(nights=[2])]), trials=10).trials
        == 10
    )


MORE = {"more": rt.Van(solar=rt.SolarArray(rated_w=300))}
STUDIES: dict[str, Case] = {  # by NumPy's numbers, as they come out of arrays
    "compare": (lambda: rt.compare(rt.Van(), MORE, TRIP, trials=np.int64(1)), "trials = np.int64(1): allowed 2 or"),
    "upgrades": (lambda: rt.upgrades(rt.Van(), TRIP, trials=np.uint8(1)), "trials = np.uint8(1): allowed 2 or"),
    "compare of float": (lambda: rt.compare(rt.Van(), MORE, TRIP, trials=2.5), "trials = 2.5: allowed whole numbers 1"),
    "alarm": (
        lambda: rt.compare(rt.Van(), MORE, TRIP, alarm_v=np.float32(20)),
        "alarm_v = np.float32(20.0): allowed",
    ),
    "samples": (lambda: rt.sensitivity(rt.Van(), TRIP, samples=np.int64(1)), "samples = np.int64(1): allowed whole"),
    "days": (lambda: rt.catalogue(rt.Van(), TRIP, drive_every=np.int64(31)), "drive_every = np.int64(31): allowed"),
}


@pytest.mark.parametrize("case", STUDIES.values(), ids=STUDIES)
def test_studies_refuse_numpys_numbers_as_they_do_pythons(case: Case) -> None:
    test_bad_input_is_refused(case)


def test_numpys_numbers_are_as_good_as_pythons() -> None:
    run(trials=np.int32(10), half_width=np.float32(0.4)).nights_at(np.float32(0.2))
    assert rt.compare(rt.Van(), MORE, TRIP, trials=np.int64(2), alarm_v=np.int64(11)).to_dict()
    assert rt.catalogue(rt.Van(), TRIP, drive_every=np.int64(2))
    within, step = (np.int64(100), np.float32(300)), np.int64(100)
    how: dict[str, Any] = {"within": within, "step": step, "trials": np.int64(10)}
    assert rt.size(rt.Van(), TRIP, "solar.rated_w", np.float32(0.5), **how).tried


@pytest.mark.parametrize("name", [name for name in RUNS if name != "precision"])  # the core's own word
def test_nothing_is_simulated_before_all_is_valid(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*arguments: object, **keywords: object) -> None:
        pytest.fail("a trial was simulated")

    monkeypatch.setattr("ridethrough._core.simulate", never)
    with pytest.raises(rt.InputError):
        RUNS[name][0]()


@pytest.mark.parametrize(
    "solar", [{"solar": rt.SolarArray(rated_w=0.3)}, {"arrays": [rt.SolarArray(), rt.PortableArray(rated_w=0.1)]}]
)
def test_a_panel_in_kilowatts_warns(solar: Any) -> None:
    with pytest.warns(UserWarning, match=r"rated_w = 0\.[13] W: .*; are kW meant"):
        run(rt.Van(**solar), trials=10)


@pytest.mark.parametrize("charger", [{"solar": rt.SolarArray}, {"dc_dc": rt.DcDcCharger}, {"mains": rt.MainsCharger}])
@pytest.mark.parametrize(
    ("battery", "chemistry"), [(rt.LithiumBattery(), "lead_acid"), (rt.AgmBattery(), "lithium")], ids=["lfp", "agm"]
)
def test_a_profile_for_the_other_chemistry_warns(battery: Any, chemistry: Any, charger: dict[str, Any]) -> None:
    for name, cls in charger.items():
        van = rt.Van(battery=battery, **{name: cls(charge_profile=rt.ChargeProfile(chemistry=chemistry))})
        with pytest.warns(UserWarning, match=f"Van.{name}.charge_profile.chemistry = {chemistry}: the battery is "):
            risk = run(van, trials=10)
        assert any(f"Van.{name}.charge_profile.chemistry" in text for text in risk.warnings)
    fitting = {"lead_acid": "lithium", "lithium": "lead_acid"}[chemistry]
    assert not run(
        rt.Van(battery=battery, solar=rt.SolarArray(charge_profile=rt.ChargeProfile(chemistry=fitting))), trials=10
    ).warnings
