// The arrays behind a Plan<T>. Internal to the layer.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "array_plans.hpp"
#include "load_plans.hpp"
#include "ridethrough/climate/weather_plan.hpp"
#include "ridethrough/power/kind.hpp"
#include "ridethrough/trip/plan.hpp"

namespace ridethrough::trip {

// What the builder collects, in double.
struct Draft {
    Plan<double> plan;
    std::vector<int> shade_slots, lag_slots, scale_slots;  // empty at one place
    std::vector<double> air_lag1;
    std::vector<double> dusk_h, dawn_h, drive, powered, warm_food;
    std::vector<unsigned char> water_days;
    std::vector<double> idle, generator, battery_rise_k;
    std::vector<ClockRun> runs;
    std::vector<unsigned char> counted;
    std::vector<int> sky_hours;  // empty where the clock's hours are the sky's
    LoadPlans loads;
    SolarDraft solar;
};

template <class T>
struct Tables {
    Plan<T> plan;
    std::vector<T> dusk_h, dawn_h, drive, powered, warm_food;
    std::vector<T> idle, generator, battery_rise_k;
    std::vector<int> shade_slots, lag_slots, scale_slots;
    std::vector<T> air_lag1;
    std::vector<load::EventPlan<T>> events;
    std::vector<FanPlan<T>> fans;
    std::vector<StandbyPlan> standbys;
    std::vector<int> day_slots;
    std::vector<unsigned char> water_days;
    std::vector<ClockRun> runs;
    std::vector<unsigned char> counted;
    std::vector<int> sky_hours;
    std::optional<SolarTables<T>> solar;
    std::optional<climate::WeatherPlan<T>> weather;
    std::optional<climate::ReplayPlan<T>> record;

    void point();  // the plan's pointers at these arrays
};

// Copies a draft into arrays of T.
template <class T>
std::unique_ptr<Tables<T>> make_tables(const Draft& draft);

}  // namespace ridethrough::trip
