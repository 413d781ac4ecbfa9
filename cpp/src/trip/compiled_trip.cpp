// What a compiled trip gives the engine.
#include "ridethrough/trip/compile.hpp"
#include "tables.hpp"

namespace ridethrough::trip {

CompiledTrip::~CompiledTrip() = default;

const Plan& CompiledTrip::plan() const { return tables_->plan; }
const std::vector<Interval>& CompiledTrip::schedule() const { return tables_->schedule.intervals; }

template <>
SkyView<double> CompiledTrip::skies<double>() const {
    return tables_->in_double.view();
}
template <>
SkyView<float> CompiledTrip::skies<float>() const {
    return tables_->in_single.view();
}

}  // namespace ridethrough::trip
