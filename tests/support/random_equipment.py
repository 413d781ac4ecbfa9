"""What `random_vans.random_case` leaves out: random parts, loads, plans and places that fewer vans and trips have, put
on one that it has drawn. Together they reach every kind of part and most fields that an equation depends on."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

import numpy as np
import ridethrough as rt
from ridethrough import _core
from ridethrough.model import clocks

Rng = np.random.Generator

ON_INVERTER: list[Any] = [rt.Kettle, rt.InductionHob, rt.Microwave, rt.HairDryer, rt.EBike]
OTHER_LOADS: list[Any] = [rt.GuestEvening, rt.InternetTerminal, rt.BatteryPacks, rt.ElectricBlanket, rt.TyrePump]
PROFILES: list[Any] = [
    None,
    rt.ChargeProfile(ready_made="converter"),
    rt.ChargeProfile(ready_made="agm", compensation_mv_per_k=-24),
    rt.ChargeProfile(absorption_v=14.7, float_v=13.6, absorption_limit_h=2, tail_current_c_rate=0.02),
]
LITHIUM_PROFILES: list[Any] = [
    None,
    rt.ChargeProfile(ready_made="lithium"),
    rt.ChargeProfile(chemistry="lithium", absorption_v=14, float_v=13.4, absorption_limit_h=0.5),
]


def u(rng: Rng, low: float, high: float) -> float:
    return float(rng.uniform(low, high))


def often(rng: Rng, share: float) -> bool:
    return bool(rng.random() < share)


def one_of(rng: Rng, values: Any) -> Any:
    return values[int(rng.integers(len(values)))]


def changed(record: Any, **fields: Any) -> Any:
    """With those of the fields that go with the rest."""
    for name, value in fields.items():
        try:
            record = record.replace(**{name: value})
        except rt.InputError:
            continue
    return record


def varied(rng: Rng, record: Any) -> Any:
    """With some of its numbers up to a third away from what they are, some of those as a spread."""
    for field in record.schema.fields:
        now = getattr(record, field.name)
        if field.type == "part" and now is not None:
            record = changed(record, **{field.name: varied(rng, now)})
        if field.type != "number" or now is None or not often(rng, 0.1):
            continue
        usual = now.mean() if isinstance(now, rt.spreads.Spread) else now
        value: Any = float(np.clip(usual * u(rng, 0.7, 1.3), field.low, field.high))
        around = [float(np.clip(value * by, field.low, field.high)) for by in (0.85, 1.1)]
        if field.variation != "fixed" and around[1] > around[0] and often(rng, 0.4):
            value = rt.spreads.uniform(*around)
        record = changed(record, **{field.name: value})
    return record


def battery(rng: Rng, record: Any) -> Any:
    lithium = isinstance(record, rt.LithiumBattery)
    fields: dict[str, Any] = {}
    if often(rng, 0.35):
        fields["initial_soc"] = one_of(rng, [rt.spreads.uniform(0.1, 1.0), rt.spreads.uniform(0.0, 0.4), 1.0])
    fields["capacity_ah"] = u(rng, 12, 60) if often(rng, 0.2) else u(rng, 80, 400)
    if often(rng, 0.3):
        fields["location"] = "engine_bay"
    if often(rng, 0.2):
        fields["measured_capacity_ah"] = u(rng, 20, 150)
    if lithium:
        if often(rng, 0.6):
            fields |= {"max_discharge_a": rt.spreads.uniform(30, 200), "overcurrent_delay_s": u(rng, 0, 30)}
        if often(rng, 0.5):
            fields |= {"cell_imbalance": rt.spreads.uniform(0, 0.3), "wakes_itself_probability": u(rng, 0, 1)}
        if often(rng, 0.3):
            fields |= {"cell_heater_w": u(rng, 20, 150), "heated_to_c": u(rng, 2, 12)}
        if often(rng, 0.2):
            fields |= {"hot_reduce_c": 31.0, "hot_block_c": 38.0}
    else:
        if often(rng, 0.4):
            fields |= {"weeks_at_partial_charge": u(rng, 1, 30)}
        if often(rng, 0.3):
            fields |= {"brownout_v": u(rng, 8.5, 11), "brownout_restart_v": u(rng, 11.2, 12.2)}
    return varied(rng, changed(record, **fields))


def batteries(rng: Rng, record: Any) -> list[Any]:
    """Now and then with others in parallel, which say what is their own."""
    first = battery(rng, record)
    more = []
    for _ in range(int(rng.integers(1, 3)) if often(rng, 0.25) else 0):
        other = type(record)(capacity_ah=u(rng, 20, 120), age_years=float(rng.integers(0, 9)))
        if isinstance(record, rt.LithiumBattery) and often(rng, 0.5):
            other = other.replace(max_discharge_a=u(rng, 20, 90))
        more.append(other)
    return [first, *more]


def array(rng: Rng, record: Any, name: str | None = None) -> Any:
    fields: dict[str, Any] = {} if name is None else {"name": name}
    if often(rng, 0.5):
        fields["charge_controller"] = one_of(rng, ["mppt", "pwm"])
    if often(rng, 0.3):
        fields |= {"self_consumption_ma": u(rng, 0, 40), "controller_start_w": u(rng, 0, 8)}
    if often(rng, 0.3):
        fields |= {"module_vmp_v": u(rng, 15, 34), "controller_starts_above_battery_v": u(rng, 0, 6)}
    if often(rng, 0.3):
        fields |= {"age_years": u(rng, 0, 12), "dark_shunt_share": rt.spreads.uniform(0, 0.5)}
    if isinstance(record, rt.SolarArray) and often(rng, 0.4):
        fields |= {
            "modules": int(rng.integers(1, 4)),
            "layout": one_of(rng, ["parallel", "series"]),
            "substrings": int(rng.integers(0, 4)),
            "shadow_share": rt.spreads.uniform(0, 0.6, per="day"),
            "azimuth_deg": u(rng, 0, 360),
        }
    if isinstance(record, rt.PortableArray):
        fields |= {"aims_per_day": int(rng.integers(1, 4)), "set_up_h": float(rng.integers(6, 11))}
    return varied(rng, changed(record, **fields))


def arrays(rng: Rng, roof: Any) -> list[Any]:
    out = [array(rng, record) for record in roof]
    if often(rng, 0.3):
        out.append(array(rng, rt.PortableArray(rated_w=u(rng, 40, 200)), "folding"))
    if often(rng, 0.3):
        out.append(array(rng, rt.SolarArray(rated_w=u(rng, 40, 300), tilt_deg=u(rng, 0, 90)), "second"))
    return out


def alternator(rng: Rng, lithium: bool) -> Any:
    """A charger or a plain cable, by an alternator that swings or not."""
    fields: dict[str, Any] = {"line_closed": often(rng, 0.95)}
    if often(rng, 0.5):
        level = u(rng, 12.6, 14.6)
        fields["alternator_v"] = rt.spreads.triangular(level - 0.5, level, level + 0.4, per="day")
        fields["alternator_swing_v"] = one_of(rng, [0.0, 1.2, u(rng, 0, 2)])
    if often(rng, 0.3):
        fields["supply_mohm"] = u(rng, 0, 150)
    elif often(rng, 0.3):
        fields |= {"supply_length_m": u(rng, 1, 12), "supply_section_mm2": u(rng, 1.5, 35)}
    fields["current_a"] = u(rng, 5, 80)
    if often(rng, 0.35):
        return varied(rng, changed(rt.AlternatorCable(), **fields))
    lockout = u(rng, 12, 13.4)
    charger = changed(
        rt.DcDcCharger(),
        **fields,
        lockout_v=lockout,
        restart_v=one_of(rng, [None, lockout + u(rng, 0, 1.5)]),
        cycling_share=one_of(rng, [0.0, rt.spreads.uniform(0, 0.6)]),
        input_priority=one_of(rng, ["both", "both", "solar_first", "alternator_first"]),
        charge_profile=one_of(rng, LITHIUM_PROFILES if lithium else PROFILES),
    )
    return varied(rng, charger)


def fridge(rng: Rng, record: Any) -> Any:
    parts: dict[str, Callable[[], Any]] = {
        "freezer_box": lambda: rt.FreezerBox(volume_l=u(rng, 3, 12), coupling_w_per_k=u(rng, 0.5, 2)),
        "cover": rt.InsulatedCover,
        "vent_fan": rt.VentFan,
        "night_set_back": lambda: rt.NightSetBack(rise_k=u(rng, 0.3, 3), from_h=int(rng.integers(20, 24))),
        "medicine": rt.Medicine,
        "initial_inside_c": lambda: u(rng, 2, 25),
        "ice_kg": lambda: rt.spreads.uniform(0, u(rng, 0.5, 5)),
    }
    return varied(rng, changed(record, **{name: part() for name, part in parts.items() if often(rng, 0.3)}))


def loads(rng: Rng, given: Any) -> list[Any]:
    """Mains appliances with an inverter of their own limits or none, and more of the 12 V kind."""
    out = {load.name: load for load in given}
    if often(rng, 0.4):
        for kind in rng.choice(len(ON_INVERTER), size=int(rng.integers(1, 4)), replace=False):
            one: Any = ON_INVERTER[kind]()
            share = "charge_probability" if isinstance(one, rt.EBike) else "use_probability"
            out[one.name] = one.replace(**{share: u(rng, 0.3, 1)})
        low = u(rng, 9.5, 11.5)
        limits: dict[str, Any] = {"cutout_v": low, "restart_v": low + u(rng, 0.4, 2), "branch_mohm": u(rng, 0, 6)}
        times = {"cutout_delay_s": u(rng, 0, 60), "restart_wait_s": u(rng, 0, 600)}
        if often(rng, 0.8):
            out["inverter"] = changed(rt.Inverter(left_on_probability=u(rng, 0, 1)), **limits, **times)
    if often(rng, 0.3):
        out["toaster"] = rt.InverterAppliance(name="toaster", power_w=u(rng, 300, 1800), duration_min=u(rng, 2, 30))
    if often(rng, 0.3):
        out["tool"] = rt.Appliance(
            name="tool",
            current_a=u(rng, 1, 12),
            duration_min=u(rng, 5, 120),
            uses_per_day=int(rng.integers(1, 4)),
            start_current_a=u(rng, 0, 30),
            start_duration_min=u(rng, 0, 3),
            feed=one_of(rng, ["distribution", "inverter"]),
        )
    for kind in OTHER_LOADS:
        if often(rng, 0.15):
            one = kind()
            out[one.name] = one
    for name, load in out.items():
        if isinstance(load, rt.Heater) and often(rng, 0.5):
            out[name] = changed(load, starts_above_v=u(rng, 10.5, 12.2), supply_mohm=u(rng, 10, 120))
        if isinstance(load, rt.Fan) and often(rng, 0.5):
            out[name] = load.replace(ventilation=rt.spreads.uniform(0, 6))
    return [varied(rng, load) for load in out.values()]


def van(rng: Rng, plain: rt.Van) -> rt.Van:
    lithium = isinstance(plain.batteries[0], rt.LithiumBattery)
    profiles = LITHIUM_PROFILES if lithium else PROFILES
    fields: dict[str, Any] = {
        "batteries": batteries(rng, plain.batteries[0]),
        "arrays": arrays(rng, plain.arrays),
        "fridge": fridge(rng, plain.fridge),
        "loads": loads(rng, plain.loads),
        "towed": often(rng, 0.2),
    }
    if often(rng, 0.7):
        fields["dc_dc"] = alternator(rng, lithium)
    if often(rng, 0.5):
        mains = rt.MainsCharger(current_a=u(rng, 4, 40), charge_profile=one_of(rng, profiles))
        fields["mains"] = varied(rng, mains)
        if often(rng, 0.5):
            fields["generator"] = rt.Generator(rated_w=u(rng, 150, 1500))
    if often(rng, 0.4):
        fields["wiring"] = rt.Wiring(shared_mohm=u(rng, 5, 60), fridge_branch_mohm=u(rng, 10, 120))
    if often(rng, 0.3):
        low = u(rng, 10.5, 12)
        fields["disconnect"] = rt.SystemDisconnect(cutout_v=low, restart_v=low + 0.9, cutout_delay_s=u(rng, 0, 120))
    if often(rng, 0.3):
        fields["water"] = rt.WaterTanks(fresh_l=u(rng, 20, 100), grey_l=u(rng, 15, 80))
    if often(rng, 0.5):
        fields |= {
            "cabin_heat_loss_w_per_k": u(rng, 20, 120),
            "cabin_lag_h": u(rng, 0.3, 4),
            "cabin_sun_rise_k_per_w_m2": rt.spreads.uniform(0.004, 0.02),
            "windows_open_above_c": u(rng, 16, 26),
            "windows_wide_above_c": u(rng, 26.5, 34),
            "windows_open_at_night": u(rng, 0, 1),
            "window_ventilation": u(rng, 0, 6),
        }
    out = changed(plain, **fields)
    for part in ("snow_and_frost", "disconnect", "water", "generator", "wiring"):
        if getattr(out, part) is not None:
            out = changed(out, **{part: varied(rng, getattr(out, part))})
    return cast(rt.Van, out)


def measured_year(rng: Rng, site: Any) -> Any:
    """A made-up year of hours there, after which it begins anew."""
    first_day = 20454
    sky = _core.sky_days(first_day, 365, site.latitude, site.longitude, site.utc_offset_h)
    i0 = np.asarray(sky["i0_wh_m2"]).ravel()
    ghi = i0 * np.repeat(rng.uniform(0.1, 0.75, 365), 24) * rng.uniform(0.7, 1.1, len(i0))
    warm = u(rng, 0, 20) + 6 * np.repeat(rng.standard_normal(365), 24)
    return _core.HourlySeries(
        latitude=site.latitude,
        longitude=site.longitude,
        utc_offset_h=site.utc_offset_h,
        first_hour=24 * first_day,
        ghi_w_m2=ghi,
        dhi_w_m2=ghi * rng.uniform(0.1, 1, len(i0)) if often(rng, 0.7) else None,
        air_temp_c=warm + 4 * np.sin(np.arange(len(i0)) * 2 * np.pi / 24),
        wraps=True,
    )


def place(rng: Rng, trip: rt.Trip) -> rt.Trip:
    """Several stops, a record that is replayed, a clock that changes, errors of the climate, or nothing of that."""
    site: Any = trip.site
    climate = site.climate
    if often(rng, 0.5):
        climate = climate.replace(ghi_scale=rt.spreads.normal(1, 0.1), air_temp_offset_k=rt.spreads.uniform(-10, 8))
        site = site.replace(climate=climate, albedo=u(rng, 0.1, 0.8))
    kind = rng.random()
    if kind < 0.2:
        stops: list[rt.Stop] = []
        left = int(trip.nights or 1)
        while left > 0:
            nights = min(left, int(rng.integers(1, 4)))
            power = one_of(rng, ["off_grid", "off_grid", "shore"])
            stop = rt.Stop(
                name=f"stop_{len(stops)}", site=site, nights=nights, power=power, drive_duration_h=u(rng, 1, 5)
            )
            stops.append(changed(stop, shade_beam=u(rng, 0, 0.5)) if often(rng, 0.5) else stop)
            left -= nights
        return trip.replace(site=None, nights=None, stops=stops)
    if kind < 0.4:
        site = site.replace(climate=climate.replace(weather_series=measured_year(rng, site)))
        return trip.replace(site=site, weather="replayed", replay_window_d=float(rng.integers(3, 30)))
    if kind < 0.5:
        eve = one_of(rng, ["2026-03-28", "2026-10-24"])
        site = site.replace(utc_offset_h=None, time_zone="Europe/Lisbon")
        return trip.replace(site=site, start=f"{eve} {trip.start[11:]}")
    return trip.replace(site=site)


def days(rng: Rng, nights: int) -> list[int]:
    return sorted({int(d) for d in rng.integers(1, nights + 1, size=int(rng.integers(1, 4)))})


def trip(rng: Rng, van: rt.Van, plain: rt.Trip) -> rt.Trip:
    nights = min(int(plain.nights or 1), 5)
    keep: dict[str, Any] = {"nights": nights, "warm_food_days": days(rng, nights)}
    keep |= {"drives": [], "shore_power": []}
    out = place(rng, plain.replace(**keep))
    fields: dict[str, Any] = {}
    if van.dc_dc is not None and often(rng, 0.7):
        fields["drives"] = [rt.Drive(days=days(rng, nights), start_h=u(rng, 5, 20), duration_h=u(rng, 0.3, 5))]
        if often(rng, 0.4):
            fields["idling"] = [rt.Idle(days=days(rng, nights), start_h=u(rng, 6, 22), duration_h=u(rng, 0.2, 2))]
    if van.mains is not None and often(rng, 0.5):
        fields["shore_power"] = [rt.ShorePower(nights=[1 + int(rng.integers(nights))], start_h=u(rng, 12, 22))]
    if van.generator is not None:
        run = rt.GeneratorRun(days=days(rng, nights), start_h=u(rng, 6, 19), duration_h=u(rng, 0.5, 4))
        fields["generator_runs"] = [run]
    if often(rng, 0.2):
        fields["day_trips"] = [rt.DayTrip(days=days(rng, nights), start_h=u(rng, 8, 15))]
    if often(rng, 0.3):
        fields["storage"] = rt.Storage(
            weeks=rt.spreads.uniform(1, 8),
            isolator=one_of(rng, ["on", "off"]),
            solar=one_of(rng, ["connected", "under_roof", "disconnected"]),
        )
    if often(rng, 0.3):
        fields["horizon_deg"] = [(int(b), u(rng, 0, 35)) for b in sorted(rng.choice(360, size=4, replace=False))]
    if often(rng, 0.3):
        fields |= {"shade_morning": u(rng, 0, 1), "shade_afternoon": rt.spreads.uniform(0, 0.8, per="day")}
    if often(rng, 0.6):
        fields["party"] = rt.Party(
            persons=int(rng.integers(0, 6)),
            rain_below_clearness=u(rng, 0.1, 0.6),
            carelessness=u(rng, 0, 2),
            drinks_l_per_person_day=u(rng, 0, 2),
            shopping_probability=u(rng, 0, 0.6),
        )
    if van.water is not None:
        fields["water_days"] = days(rng, nights)
    if often(rng, 0.3):
        fields |= {"wake_h": u(rng, 5, 9), "bedtime_h": u(rng, 20, 24), "out_share": u(rng, 0, 1)}
    out = changed(out, **fields)
    parts = {part: varied(rng, there) for part in ("party", "storage") if (there := getattr(out, part)) is not None}
    numbers = ("shade_beam", "shade_sky", "habits_scale", "warm_food_kg", "warm_food_h", "out_from_h", "out_to_h")
    strayed = varied(rng, out)
    parts |= {name: getattr(strayed, name) for name in numbers}
    return cast(rt.Trip, changed(out, **parts, step_min=int(one_of(rng, [60, 60, 60, 30, 15]))))


def equipped(rng: Rng, plain_van: rt.Van, plain_trip: rt.Trip) -> tuple[rt.Van, rt.Trip]:
    """Drawn anew until the core accepts it: plans must not overlap, say."""
    while True:
        chosen = van(rng, plain_van)
        try:
            planned = trip(rng, chosen, plain_trip)
            clocks.compile_with_clock(chosen, planned)
        except rt.InputError:
            continue
        return chosen, planned
