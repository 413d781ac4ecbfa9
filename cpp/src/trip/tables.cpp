#include "tables.hpp"

namespace ridethrough::trip {

void Tables::set_plan_pointers() {
    const auto given = [](const auto& v) { return v.empty() ? nullptr : v.data(); };
    plan.run = runs.data();
    plan.runs = static_cast<int>(runs.size());
    plan.counted = counted.data();
    plan.sky_hour = given(sky_hours);
    plan.dusk_h = dusk_h.data();
    plan.dawn_h = dawn_h.data();
    plan.drive = schedule.drive.data();
    plan.powered = schedule.powered.data();
    plan.idle = given(schedule.idle);
    plan.generator = given(schedule.generator);
    plan.battery_rise_k = given(schedule.battery_rise_k);
    plan.warm_food = schedule.warm_food.data();
    plan.water.refilled = schedule.water_refilled.data();
    plan.event = loads.events.data();
    plan.events = static_cast<int>(loads.events.size());
    plan.fan = loads.fans.data();
    plan.fans = static_cast<int>(loads.fans.size());
    plan.standby = loads.standbys.data();
    plan.standbys = static_cast<int>(loads.standbys.size());
    plan.of_day = of_day.data();
    plan.daily = static_cast<int>(of_day.size());
    plan.solar.array = arrays.data();
    plan.solar.arrays = static_cast<int>(arrays.size());
    plan.solar.morning = given(morning);
    plan.solar.afternoon = given(afternoon);
    plan.solar.stationary = schedule.stationary.data();
    if (!stop_shade.empty())
        plan.stops = {stop_shade.data(), stop_lag.data(), stop_scale.data(), stop_air_lag1.data(),
                      stop_air_offset.data()};
}

}  // namespace ridethrough::trip
