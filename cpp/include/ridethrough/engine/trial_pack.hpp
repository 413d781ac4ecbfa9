// One pack of trials from the trip's start to its end: the hourly kernel. It reads a plan, the drawn words and the
// drawn parameters, and writes results through plain pointers; it allocates nothing.
#pragma once

#include "ridethrough/battery/freezing.hpp"
#include "ridethrough/random/draws.hpp"
#include "ridethrough/engine/kernel.hpp"
#include "ridethrough/engine/party.hpp"
#include "ridethrough/engine/plan.hpp"
#include "ridethrough/engine/sky_days.hpp"
#include "ridethrough/engine/slots.hpp"
#include "ridethrough/engine/voltage_limited_starts.hpp"
#include "ridethrough/engine/step.hpp"

namespace ridethrough::engine {

constexpr int kMostDoorOpenings = 160;

// Memory for one pack of trials, sized by the plan.
template <class V>
struct Workspace {
    const std::uint64_t* words;        // see Plan
    V* slots;                          // [slots] drawn for the trial; day slots are overwritten each day
    const V* day_values;               // [days][day_slots]
    const std::int32_t* replay_start;  // [lanes]
    V *clearness, *air_mean_c;         // [days]
    V* bins;                           // [6][2 per_day]
    bool days_given = false;           // clearness and air_mean_c hold measured days
};

template <class V>
struct Outputs {
    V* columns;        // [kColumns]
    V* load_ah;        // [loads] asked for within the trip
    V* ledger_miss;    // [2] charge, energy: relative
    V* paths[kPaths];  // [hours] each, or null
};

namespace detail {

template <class T, class V>
RT_INLINE void trial_constants(const Plan<T>& plan, const V* x, TrialConstants<V>& c) {
    const V milli(T(0.001));
    auto& b = c.battery;
    b.capacity_ah = x[kCapacityAh] * x[kStateOfHealth];
    b.q_max_ah = b.capacity_ah * V(plan.q_max_per_capacity);
    b.resistance_ohm = x[kResistance] * milli * V(T(100)) / x[kCapacityAh];
    b.offset_v = x[kRestOffset];
    b.polarisation = x[kPolarisation];
    b.capacity_factor_0c = x[kCapacityFactor0c];
    b.acceptance = x[kAcceptance];
    b.coulombic = x[kCoulombic];
    if (plan.vehicle.measured_slot >= 0 || plan.vehicle.second_slot >= 0)
        battery_as_it_is(plan.vehicle, x, plan.q_max_per_capacity, b);
    c.cells_wh_per_k = V(plan.vehicle.cells_wh_per_k_ah) * x[kCapacityAh];
    auto& f = c.fridge;
    f.ua_w_per_k = x[kUa] * x[kHeatLeakFactor];
    f.capacity_wh_per_k = x[kHeatCapacity] * V(T(1.0 / 3.6));
    f.compressor_w = x[kCompressorW];
    f.carnot_share = x[kCarnotShare];
    f.carnot_share_loss_per_k = V(plan.carnot_loss_per_k);
    f.vent_rise_k = x[kVentRise];
    f.low_c = V(plan.set_point_c - plan.hysteresis_k);
    f.high_c = V(plan.set_point_c + plan.hysteresis_k);
    fridge::fridge_extras(plan.fridge, x, f, c.fridge_extras);
    c.shared_ohm = x[kSharedMohm] * milli;
    c.branch_ohm = x[kBranchMohm] * milli;
    c.cutout_v = x[kFridgeCutoutV];
    c.restart_v = x[kFridgeRestartV];
    c.disconnect_v = x[kDisconnectV];
    c.reconnect_v = x[kReconnectV];
    c.wakes_itself = x[kWakesItself] > V(T(0.5));
}

template <class T, class V>
RT_INLINE void start_state(const Plan<T>& plan, const V* x, const TrialConstants<V>& c, V inside_c, V battery_c,
                           TrialState<V>& s) {
    using Bool = typename V::Bool;
    const V zero(T(0));
    s.battery = {x[kStartCharge] * c.battery.q_max_ah, zero, zero, battery_c};
    s.inside_c = s.freezer_c = inside_c;
    s.food_wh = s.absorbed_h = s.fridge_low_h = s.system_low_h = zero;
    s.posts_v = V(T(12.8));
    s.waited_h = V(plan.restart_wait_h);
    s.running = s.fridge_open = s.system_open = s.bus_open = s.floating = s.full_today = Bool::all(false);
    for (V& column : s.column) column = zero;
    s.column[kLowestCharge] = x[kStartCharge];
    s.column[kWarmestFoodC] = inside_c;
    s.column[kFirstCutoutH] = s.column[kColdestCabinC] = V(T(1e30));
    s.warm_spell_h = zero;
    s.in_ah = s.out_ah = s.stored_ah = s.source_wh = s.chemical_wh = s.wiring_wh = s.battery_loss_wh = zero;
}

// The fridge is cold, somewhere in its thermostat's band, or was switched on warm.
template <class T, class V>
RT_INLINE void start_fridge(const Plan<T>& plan, const V* x, const TrialConstants<V>& c, V cabin_c, TrialState<V>& s) {
    if (plan.fridge.start_c >= 0) {
        s.inside_c = s.freezer_c = s.column[kWarmestFoodC] = x[plan.fridge.start_c];
    } else if (plan.fridge.freezer_box()) {
        s.freezer_c = fridge::steady_box_c(c.fridge, c.fridge_extras.freezer, cabin_c, s.inside_c);
    }
    if (plan.fridge.freezer_box()) s.column[kWarmestFreezerC] = s.freezer_c;
}

template <class V>
RT_INLINE V cabin_c(const V* x, const weather::HourlyWeather<V>& weather, int hour) {
    return weather.air[hour] + x[kSunRise] * weather.ghi[hour] + x[kLivedInRise];
}

template <class T, class V>
RT_INLINE void lay_day(const Plan<T>& plan, const Workspace<V>& ws, int day, const weather::HourlyWeather<V>& weather,
                       const loads::DayBins<V>& bins, V* load_ah, cabin::CabinHeat<V>& heat, V& water_l) {
    const V habits = ws.slots[kHabitsScale];
    const bool workday = (plan.party.first_weekday + day) % 7 < 5;
    const bool stationary = plan.solar.stationary[day] > T(0);
    const loads::DayClock<T> clock{plan.dusk_h[day], plan.dawn_h[day], plan.wake_h, workday, stationary};
    const auto wet = rainy(plan, ws.slots, weather.clearness);
    water_l = V(T(0));
    for (int i = 0; i < plan.events; ++i) {
        const loads::EventPlan<T>& e = plan.event[i];
        const V before = load_ah[e.load];
        loads::lay_events(e, clock, ws.words, day, ws.slots, habits, weather.air, bins, load_ah[e.load], wet);
        if (e.litres_per_h > T(0)) water_l += (load_ah[e.load] - before) / ws.slots[e.current_slot] * V(e.litres_per_h);
    }
    V unheated[24];
    for (int h = 0; h < 24; ++h) unheated[h] = cabin_c(ws.slots, weather, h);
    if (plan.heater.load >= 0)
        cabin::plan_heat(plan.heater, ws.words, day, plan.wake_h, plan.bedtime_h, ws.slots, unheated, heat);
    const int hour_bins = plan.per_day / 24;
    for (int k = 0; k < plan.per_day; ++k) {
        if (!bins.counted[k]) continue;
        const V step(plan.step_h * T(bins.counted[k]));
        V steady(T(0));
        for (int i = 0; i < plan.standbys; ++i) {
            const V a = ws.slots[plan.standby[i].current_slot];
            load_ah[plan.standby[i].load] += a * step;
            steady += a;
        }
        for (int i = 0; i < plan.fans; ++i) {
            const auto& f = plan.fan[i];
            const V above = unheated[k / hour_bins] - V(f.starts_c);
            const V a = ws.slots[f.current_slot] * ws.slots[f.fitted_slot] *
                        clamp(above * V(T(1) / (f.full_c - f.starts_c)), V(T(0)), V(T(1)));
            load_ah[f.load] += a * step;
            steady += a;
        }
        bins.distribution_a[k] += steady;
    }
}

template <class V>
RT_INLINE void read_bins(const loads::DayBins<V>& bins, int k, StepInput<V>& in) {
    in.distribution_a = bins.distribution_a[k];
    in.posts_a = bins.posts_a[k];
    in.event_a = bins.event_a[k];
    in.event_on_h = bins.event_on_h[k];
    in.event_off_h = bins.event_off_h[k];
    in.event_at_posts = bins.event_at_posts[k];
}

}  // namespace detail

// False where `stop` was raised: the pack's results are then not to be used.
template <class T, class V>
inline bool simulate_pack(const Plan<T>& plan, const Workspace<V>& ws, const Outputs<V>& out, Stop stop) {
    using Bool = typename V::Bool;
    constexpr int lanes = V::width;
    const V zero(T(0)), one(T(1));
    V* x = ws.slots;
    TrialConstants<V> c;
    detail::trial_constants(plan, x, c);

    if (plan.storage.any()) {
        V standby_a = zero;
        for (int i = 0; i < plan.standbys; ++i) standby_a += x[plan.standby[i].current_slot];
        x[kStartCharge] = charge_after_storage(plan.storage, x, standby_a, c.battery.q_max_ah);
    }
    const bool drawn = !plan.replay && !ws.days_given;
    if (drawn && plan.stops.lag_slot) {
        weather_of_stops(plan.weather, plan.stops, x, ws.words + plan.clearness_word * lanes,
                         ws.words + plan.temperature_word * lanes, ws.clearness, ws.air_mean_c);
    } else if (drawn) {
        const weather::WeatherInputs<V> inputs{x[kClearnessLag1], V(plan.air_temp_lag1), x[kGhiScale]};
        weather::daily_weather(plan.weather, inputs, ws.words + plan.clearness_word * lanes,
                               ws.words + plan.temperature_word * lanes, ws.clearness, ws.air_mean_c);
    }
    const int span = 2 * plan.per_day;
    loads::DayBins<V> bins{plan.per_day,       plan.step_h,        ws.bins,
                          ws.bins + span,     ws.bins + 2 * span, ws.bins + 3 * span,
                          ws.bins + 4 * span, ws.bins + 5 * span, plan.counted};
    bins.clear(0, span);
    for (int i = 0; i < plan.loads; ++i) out.load_ah[i] = zero;

    careless_trial(plan, x);
    WaterState<V> water = water_at_start(plan, x);
    cabin::CabinHeat<V> heat;
    TrialState<V> s{};
    LowestFridgeVolts<V> lowest_v;
    // Half a step before it and half a step after it: the step has the battery's temperature of its middle.
    const V battery_lag = one - simd::exp(-V(T(0.5) * plan.step_h) / x[kThermalLag]);
    const int hour_steps = plan.per_day / 24;
    V start_q = zero;

    SkyDays<T, V> sky(plan, ws.words, ws.clearness, ws.air_mean_c, ws.replay_start);
    trip::ClockCursor clock(plan.run, plan.runs);
    int step = 0;
    for (int day = 0; day < plan.days; ++day) {
        if (stop.raised()) return false;
        for (int i = 0; i < plan.day_slots; ++i) x[plan.day_slot[i]] = ws.day_values[day * plan.day_slots + i];
        careless_day(plan, day, x);
        const weather::HourlyWeather<V>& weather = sky.clock_day(day);
        bins.counted = plan.counted + day * plan.per_day;
        if (day > 0) bins.next_day();
        V water_l;
        detail::lay_day(plan, ws, day, weather, bins, out.load_ah, heat, water_l);
        const bool heated = plan.heater.load >= 0 && heat.wanted;
        use_water(plan, x, day, water_l, water);

        const std::uint64_t* fridge_word = ws.words + (plan.fridge_word + 2 * day) * lanes;
        const V openings = random::count_of(random::uniform_of<V>(fridge_word), door_openings(plan, x, weather.air),
                                            kMostDoorOpenings);
        const V door_w_per_k = openings * V(plan.door_opening_wh_per_k / (plan.bedtime_h - plan.wake_h));
        const auto& vehicle = plan.vehicle;
        const V drive_a = vehicle.link ? x[kDcDcA] : dc_dc_current_a(vehicle, x, x[kDcDcA]);
        V idle_a = zero;
        if (vehicle.idle) {
            idle_a = min(x[vehicle.idle_slot], x[kDcDcA]);
            if (!vehicle.link) idle_a = dc_dc_current_a(vehicle, x, idle_a);
        }
        solar::SolarDay<V> solar_day;
        solar::begin_solar_day(plan.solar, x, ws.words, day, plan.dawn_h[day], weather, solar_day);

        solar::SolarHour<V> sun{zero, zero, zero};
        V air = zero, ghi = zero, unheated = zero, cabin = zero, battery_air = zero, heater_a = zero;
        int lit_hour = -1, lit_clock = -1;
        const auto warm_air = [&](int k, bool waking) {
            const cabin::HeaterStep<V> warm = cabin::heat_step(plan.heater, x, x[kHeatLoss], waking, unheated, T(k) * plan.step_h,
                                                 plan.step_h, heat);
            cabin = unheated + warm.rise_k;
            heater_a = warm.current_a;
            battery_air = air + x[kCabinShare] * (cabin - air);
        };
        for (int k = clock.enter(day); k >= 0; k = clock.next(), ++step) {
            const int hour = k / hour_steps, sky_hour = (plan.first_step + plan.sky_lead + step) / hour_steps;
            if (hour != lit_clock || sky_hour != lit_hour) {  // another hour of the clock or of the sky
                lit_clock = hour;
                lit_hour = sky_hour;
                const weather::HourlyWeather<V>& above = sky.day(sky_hour / 24);
                air = above.air[sky_hour % 24];
                ghi = above.ghi[sky_hour % 24];
                cabin = unheated = detail::cabin_c(x, above, sky_hour % 24);
                battery_air = air + x[kCabinShare] * (cabin - air);
                V shade_beam = x[kShadeBeam], shade_sky = x[kShadeSky];
                if (plan.stops.shade_slot) {
                    shade_beam = x[plan.stops.shade_slot[2 * (24 * day + hour)]];
                    shade_sky = x[plan.stops.shade_slot[2 * (24 * day + hour) + 1]];
                }
                const solar::HourIndex<V> index{sky_hour, plan.record.hours, plan.replay ? ws.replay_start : nullptr,
                                         clock.part()};
                sun = solar::solar_hour(plan.solar, x, index, hour, above, shade_beam, shade_sky,
                                 step == 0 ? V(T(12.8)) : s.posts_v, solar_day);
            }
            if (step == 0) {  // whatever heater runs then
                const V u = random::uniform_of<V>(fridge_word + lanes);
                detail::start_state(plan, x, c, c.fridge.low_c + u * (c.fridge.high_c - c.fridge.low_c), battery_air,
                                    s);
                detail::start_fridge(plan, x, c, cabin, s);
                start_q = s.battery.q_ah;
            }
            const bool waking = T(hour) >= plan.wake_h && T(hour) < plan.bedtime_h;
            if (heated) {
                cabin::stop_heat(heat, s.bus_open | s.system_open, V(T(k) * plan.step_h));
                warm_air(k, waking);
            }
            if (clock.opens_day()) {
                s.column[kDaysFull] += select(s.full_today, one, zero);
                s.full_today = s.floating = Bool::all(false);
                s.absorbed_h = zero;
            }
            const V rise_k = vehicle.battery_rise_k ? V(vehicle.battery_rise_k[step]) : zero;
            V around_battery = battery_air + rise_k;
            s.battery.temp_c += (around_battery - s.battery.temp_c) * battery_lag;
            if (plan.fridge.set_back_k > T(0)) {
                const T middle = plan.set_point_c + (plan.fridge.set_back(hour) ? plan.fridge.set_back_k : T(0));
                c.fridge.low_c = V(middle - plan.hysteresis_k);
                c.fridge.high_c = V(middle + plan.hysteresis_k);
            }
            StepInput<V> in;
            const auto read_loads = [&] {
                detail::read_bins(bins, k, in);
                in.posts_a += sun.own_a;
                if (heated) in.distribution_a += heater_a;
            };
            read_loads();
            in.solar_w = sun.power_w;
            in.solar_a = sun.current_a;
            in.drive = {plan.drive[2 * step], plan.drive[2 * step + 1]};
            in.powered = {plan.powered[2 * step], plan.powered[2 * step + 1]};
            in.dc_dc_a = drive_a;
            in.mains_a = x[kMainsA];
            if (vehicle.idle) in.idle = {vehicle.idle[2 * step], vehicle.idle[2 * step + 1]};
            if (vehicle.generator) in.generator = {vehicle.generator[2 * step], vehicle.generator[2 * step + 1]};
            in.idle_a = idle_a;
            in.generator_a = min(x[kMainsA], V(vehicle.generator_a));
            in.link_v = x[kAlternatorV];
            in.link_ohm = max(x[kSupplyMohm], V(T(2))) * V(T(0.001));  // no cable is better than that
            in.waking = waking;
            in.from_start_h = V(T(step) * plan.step_h);
            if (heated) {
                if (!clock.repeats())
                    decide_starts(plan, c, s, in, x, step == 0 ? 0 : clock.since(), k, bins, out.load_ah, heat);
                warm_air(k, waking);  // a heater that has just started is felt in the same step
                const V found = around_battery;
                around_battery = battery_air + rise_k;
                s.battery.temp_c += (around_battery - found) * battery_lag;
                read_loads();
                out.load_ah[plan.heater.load] += heater_a * V(plan.step_h);
            }

            in.cabin_c = cabin;
            s.column[kColdestCabinC] = min(s.column[kColdestCabinC], cabin);
            if (plan.party.persons > T(0))
                s.column[kColdCabinH] += select(cabin < V(T(kColdCabinC)), V(plan.step_h), zero);
            if (plan.warm_food[step] > T(0))
                s.food_wh += x[kWarmFoodKg] * V(T(3.5 / 3.6)) * max(cabin - V(plan.set_point_c), zero);
            if (plan.party.given && !clock.repeats())
                s.food_wh += party_food_wh(plan, ws.words, day, clock.since(), k, x, cabin);
            const V food_wh = s.food_wh * V(plan.food_release);
            s.food_wh -= food_wh;
            in.heat_w = food_wh * V(T(1) / plan.step_h);
            if (waking) in.heat_w += door_w_per_k * max(cabin - V(plan.set_point_c), zero);

            const int trip_hour = step / hour_steps;
            StepMeans<V> means{};
            run_step(plan, c, in, s, out.paths[kPathPostsV] ? &means : nullptr);
            s.battery.temp_c += (around_battery - s.battery.temp_c) * battery_lag;
            if (!plan.battery.lithium && any(s.battery.temp_c < V(T(battery::kWarmestFreezingC)))) {
                const Bool freezes = s.battery.temp_c < battery::freezing_c(s.battery.q_ah / c.battery.q_max_ah);
                s.column[kFrozen] = select(freezes, one, s.column[kFrozen]);
            }

            const auto last_of_hour = (step + 1) % hour_steps == 0;
            const auto level = [&](Path p, V value) {
                if (out.paths[p] && last_of_hour) out.paths[p][trip_hour] = value;
            };
            const auto mean_of_hour = [&](Path p, V value) {
                if (!out.paths[p]) return;
                if (step % hour_steps == 0) out.paths[p][trip_hour] = zero;
                out.paths[p][trip_hour] += value;  // step hours times level
            };
            level(kPathCharge, s.battery.q_ah / c.battery.q_max_ah);
            level(kPathFridgeC, s.inside_c);
            level(kPathAirC, air);
            level(kPathBatteryC, s.battery.temp_c);
            level(kPathGhi, ghi);
            mean_of_hour(kPathCabinC, cabin * V(plan.step_h));
            mean_of_hour(kPathPostsV, means.posts_v);
            mean_of_hour(kPathFridgeV, means.fridge_v);
            mean_of_hour(kPathSolarW, means.solar_w);
            mean_of_hour(kPathDcDcW, means.dc_dc_w);
            mean_of_hour(kPathMainsW, means.mains_w);
            mean_of_hour(kPathCurtailedW, means.curtailed_w);
            mean_of_hour(kPathFridgeW, means.fridge_w);
            mean_of_hour(kPathOtherLoadsW, means.other_w);
            mean_of_hour(kPathWiringW, means.wiring_w);
            mean_of_hour(kPathBatteryW, means.battery_w);
            mean_of_hour(kPathBatteryA, means.battery_a);
            mean_of_hour(kPathFridgeOff, means.off);
            if (out.paths[kPathLowestFridgeV]) lowest_v.add(means, step % hour_steps == 0);
            level(kPathLowestFridgeV, lowest_v.value());
        }
    }
    s.column[kDaysFull] += select(s.full_today, one, zero);
    s.column[kWaterDryNight] = water.dry_night;
    s.column[kGreyFullNight] = water.full_night;
    s.column[kLossWh] = s.wiring_wh + s.battery_loss_wh;
    for (int i = 0; i < kColumns; ++i) out.columns[i] = s.column[i];

    // What the ledgers miss, relative to what went through them.
    out.ledger_miss[0] = abs(start_q - s.out_ah + s.stored_ah - s.battery.q_ah) / (start_q + s.out_ah + s.in_ah + one);
    const V used_wh = s.column[kFridgeWh] + s.column[kOtherLoadsWh] + s.column[kLossWh];
    out.ledger_miss[1] =
        abs(s.source_wh + s.chemical_wh - used_wh) / (s.source_wh + abs(s.chemical_wh) + used_wh + one);
    return true;
}

}  // namespace ridethrough::engine
