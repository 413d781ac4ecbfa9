// Owns the arrays that a Plan points into. Internal to the layer.
#pragma once

#include <optional>
#include <vector>

#include "ridethrough/loads/schemas.hpp"
#include "ridethrough/solar/plane_hours.hpp"
#include "ridethrough/trip/plan.hpp"
#include "ridethrough/trip/sky_view.hpp"
#include "ridethrough/weather/tables.hpp"
#include "schedule.hpp"

namespace ridethrough::trip {

// Weather and planes in one number type.
template <class T>
struct SkyTables {
    std::optional<weather::WeatherPlan<T>> weather;
    std::optional<weather::ReplayPlan<T>> replay;
    std::vector<std::vector<T>> planes;

    SkyView<T> view() const {
        SkyView<T> v;
        if (weather) v.weather = weather->view();
        if (replay) v.replay = replay->view();
        for (std::size_t i = 0; i < planes.size(); ++i)
            v.planes.of_array[i] = planes[i].empty() ? nullptr : planes[i].data();
        return v;
    }
};

struct Tables {
    Plan plan;
    Schedule schedule;
    loads::LoadModels loads;
    std::vector<solar::ArrayModel> arrays;
    std::vector<ClockRun> runs;
    std::vector<unsigned char> counted;
    std::vector<int> sky_hours;  // empty where the clock's hours are the sky's
    std::vector<random::ParameterIndex> of_day, stop_shade, stop_lag, stop_scale, stop_air_offset;
    std::vector<double> stop_air_lag1, dusk_h, dawn_h, morning, afternoon;
    SkyTables<double> in_double;
    SkyTables<float> in_single;

    void set_plan_pointers();
};

}  // namespace ridethrough::trip
