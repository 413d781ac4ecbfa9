// The arrays behind a engine::Plan<T>. Internal to the layer.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "array_plans.hpp"
#include "load_plans.hpp"
#include "ridethrough/weather/tables.hpp"
#include "ridethrough/battery/chemistry.hpp"
#include "ridethrough/engine/plan.hpp"

namespace ridethrough::trip {

// What the builder collects, in double.
struct Draft {
    engine::Plan<double> plan;
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
    engine::Plan<T> plan;
    std::vector<T> dusk_h, dawn_h, drive, powered, warm_food;
    std::vector<T> idle, generator, battery_rise_k;
    std::vector<int> shade_slots, lag_slots, scale_slots;
    std::vector<T> air_lag1;
    std::vector<loads::EventPlan<T>> events;
    std::vector<engine::FanPlan<T>> fans;
    std::vector<engine::StandbyPlan> standbys;
    std::vector<int> day_slots;
    std::vector<unsigned char> water_days;
    std::vector<ClockRun> runs;
    std::vector<unsigned char> counted;
    std::vector<int> sky_hours;
    std::optional<SolarTables<T>> solar;
    std::optional<weather::WeatherPlan<T>> weather;
    std::optional<weather::ReplayPlan<T>> record;

    void point();  // the plan's pointers at these arrays
};

// Copies a draft into arrays of T.
template <class T>
std::unique_ptr<Tables<T>> make_tables(const Draft& draft);

}  // namespace ridethrough::trip
