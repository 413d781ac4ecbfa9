// Weather and planes of a compiled trip in one of the kernel's number types: the only tables that are not in double.
#pragma once

#include "ridethrough/solar/arrays.hpp"
#include "ridethrough/weather/generator.hpp"

namespace ridethrough::trip {

template <class T>
struct SkyView {
    weather::WeatherView<T> weather{};
    weather::ReplayView<T> replay{};
    solar::PlaneTables<T> planes{};
};

}  // namespace ridethrough::trip
