#include "tables.hpp"

#include "vehicle_plans.hpp"

namespace ridethrough::trip {

namespace {

template <class T>
std::vector<T> cast(const std::vector<double>& from) {
    return {from.begin(), from.end()};
}

template <class T>
loads::EventPlan<T> cast_event(const loads::EventPlan<double>& f) {
    loads::EventPlan<T> t;
    const auto number = [](double x) { return static_cast<T>(x); };
    t.load = f.load;
    t.first_word = f.first_word;
    t.words_a_day = f.words_a_day;
    t.uses = f.uses;
    t.current_slot = f.current_slot;
    t.hours_slot = f.hours_slot;
    t.share_slot = f.share_slot;
    t.left_on_slot = f.left_on_slot;
    t.start_current_slot = f.start_current_slot;
    t.current_factor = number(f.current_factor);
    t.hours_factor = number(f.hours_factor);
    t.hours_spread = number(f.hours_spread);
    t.start_hours = number(f.start_hours);
    t.from = static_cast<typename loads::EventPlan<T>::From>(f.from);
    t.earliest_h = number(f.earliest_h);
    t.latest_h = number(f.latest_h);
    t.to = static_cast<typename loads::EventPlan<T>::To>(f.to);
    t.end_h = number(f.end_h);
    t.end_spread_h = number(f.end_spread_h);
    t.left_on_until_h = number(f.left_on_until_h);
    t.only_below = f.only_below;
    t.condition_hour = f.condition_hour;
    t.condition_c = number(f.condition_c);
    t.at_posts = f.at_posts;
    t.scaled = f.scaled;
    t.current_over_slot = f.current_over_slot;
    t.only_above = f.only_above;
    t.days = static_cast<typename loads::EventPlan<T>::Days>(f.days);
    t.wet_hours_factor = number(f.wet_hours_factor);
    t.wet_share_factor = number(f.wet_share_factor);
    t.wet_early_h = number(f.wet_early_h);
    t.litres_per_h = number(f.litres_per_h);
    t.stationary_only = f.stationary_only;
    return t;
}

template <class T>
fridge::FridgeOptions<T> cast_options(const fridge::FridgeOptions<double>& o) {
    return {o.start_c,          o.cover_factor,    o.fan_a,
            o.vent_factor,      o.freezer_capacity, o.freezer_coupling,
            o.freezer_leak,     o.freezer_cooling, o.coldest_k,
            o.warmest_k,        static_cast<T>(o.evaporator_c),
            o.set_back_from_h,  o.set_back_to_h,   static_cast<T>(o.set_back_k)};
}

}  // namespace

template <class T>
void Tables<T>::point() {
    plan.dusk_h = dusk_h.data();
    plan.dawn_h = dawn_h.data();
    plan.drive = drive.data();
    plan.powered = powered.data();
    plan.warm_food = warm_food.data();
    const auto given = [](const std::vector<T>& v) { return v.empty() ? nullptr : v.data(); };
    plan.vehicle.idle = given(idle);
    plan.vehicle.generator = given(generator);
    plan.vehicle.battery_rise_k = given(battery_rise_k);
    plan.event = events.data();
    plan.fan = fans.data();
    plan.standby = standbys.data();
    plan.day_slot = day_slots.data();
    plan.run = runs.data();
    plan.counted = counted.data();
    plan.sky_hour = sky_hours.empty() ? nullptr : sky_hours.data();
    plan.water.refilled = water_days.data();
    if (!shade_slots.empty())
        plan.stops = {shade_slots.data(), lag_slots.data(), scale_slots.data(), air_lag1.data()};
    if (solar) plan.solar = solar->view();
    if (weather) plan.weather = weather->view();
    if (record) plan.record = record->view();
}

template <class T>
std::unique_ptr<Tables<T>> make_tables(const Draft& draft) {
    auto t = std::make_unique<Tables<T>>();
    const engine::Plan<double>& d = draft.plan;
    engine::Plan<T>& p = t->plan;
    const auto number = [](double x) { return static_cast<T>(x); };
    p.days = d.days;
    p.per_day = d.per_day;
    p.first_step = d.first_step;
    p.steps = d.steps;
    p.step_h = number(d.step_h);
    p.replay = d.replay;
    p.sky_lead = d.sky_lead;
    t->runs = draft.runs;
    t->counted = draft.counted;
    t->sky_hours = draft.sky_hours;
    p.runs = static_cast<int>(t->runs.size());
    p.battery = battery::cast_kind<T>(d.battery);
    for (int k = 0; k < engine::kSources; ++k)
        p.stages[k] = {number(d.stages[k].absorption_v), number(d.stages[k].float_v),
                       number(d.stages[k].absorption_limit_h), number(d.stages[k].tail_c_rate)};
    p.has_disconnect = d.has_disconnect;
    p.disconnect_delay_h = number(d.disconnect_delay_h);
    p.set_point_c = number(d.set_point_c);
    p.hysteresis_k = number(d.hysteresis_k);
    p.carnot_loss_per_k = number(d.carnot_loss_per_k);
    p.door_opening_wh_per_k = number(d.door_opening_wh_per_k);
    p.fridge_delay_h = number(d.fridge_delay_h);
    p.restart_wait_h = number(d.restart_wait_h);
    p.food_release = number(d.food_release);
    p.q_max_per_capacity = number(d.q_max_per_capacity);
    p.wake_h = number(d.wake_h);
    p.bedtime_h = number(d.bedtime_h);
    p.air_temp_lag1 = number(d.air_temp_lag1);
    p.slots = d.slots;
    p.day_slots = d.day_slots;
    p.clearness_word = d.clearness_word;
    p.temperature_word = d.temperature_word;
    p.cloud_word = d.cloud_word;
    p.fridge_word = d.fridge_word;
    p.party = engine::cast_party<T>(d.party);
    p.water = engine::cast_water<T>(d.water);

    p.fridge = cast_options<T>(d.fridge);
    p.storage = {d.storage.weeks,     d.storage.bypass_share, d.storage.self_discharge,
                 d.storage.sun_share, d.storage.isolator_on,  number(d.storage.sun_h_per_day)};

    t->shade_slots = draft.shade_slots;
    t->lag_slots = draft.lag_slots;
    t->scale_slots = draft.scale_slots;
    t->air_lag1 = cast<T>(draft.air_lag1);
    t->dusk_h = cast<T>(draft.dusk_h);
    t->dawn_h = cast<T>(draft.dawn_h);
    t->drive = cast<T>(draft.drive);
    t->powered = cast<T>(draft.powered);
    t->warm_food = cast<T>(draft.warm_food);
    p.vehicle = cast_vehicle<T>(d.vehicle);
    t->idle = cast<T>(draft.idle);
    t->generator = cast<T>(draft.generator);
    t->battery_rise_k = cast<T>(draft.battery_rise_k);
    for (const auto& e : draft.loads.events) t->events.push_back(cast_event<T>(e));
    for (const auto& f : draft.loads.fans)
        t->fans.push_back({f.load, f.current_slot, number(f.starts_c), number(f.full_c), f.fitted_slot});
    t->solar.emplace(draft.solar);
    t->standbys = draft.loads.standbys;
    t->water_days = draft.water_days;
    p.loads = d.loads;
    p.heater = cabin::cast_heater<T>(draft.loads.heater);
    p.events = static_cast<int>(t->events.size());
    p.fans = static_cast<int>(t->fans.size());
    p.standbys = static_cast<int>(t->standbys.size());
    return t;
}

template struct Tables<double>;
template struct Tables<float>;
template std::unique_ptr<Tables<double>> make_tables(const Draft&);
template std::unique_ptr<Tables<float>> make_tables(const Draft&);

}  // namespace ridethrough::trip
