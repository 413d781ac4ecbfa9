// What the kernel of one number type reads.
#pragma once

#include "ridethrough/trip/plan.hpp"
#include "ridethrough/trip/sky_view.hpp"

namespace ridethrough::engine {

template <class T>
struct PlanView {
    const trip::Plan& plan;
    trip::SkyView<T> skies;
};

}  // namespace ridethrough::engine
