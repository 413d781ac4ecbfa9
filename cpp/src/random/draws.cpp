#include "ridethrough/random/draws.hpp"

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::random {

namespace {

using One = simd::Pack<double, 1>;

void require(bool good, const char* name, double value, const char* range) {
    if (!good) throw base::InputError({.path = name, .value = base::number_text(value), .allowed = range});
}

}  // namespace

double uniform(std::uint64_t draw) { return uniform_of<One>(&draw).v; }
double normal(std::uint64_t draw) { return normal_of<One>(&draw).v; }

int count_of(double u, double mean_count, int max_count) {
    require(u > 0.0 && u < 1.0, "u", u, "0 to 1, ends excluded");
    require(mean_count >= 0.0 && mean_count <= 80.0, "mean_count", mean_count, "0 to 80");
    require(max_count >= 0, "max_count", max_count, "0 or more");
    return static_cast<int>(count_of(One(u), One(mean_count), max_count).v);
}

}  // namespace ridethrough::random
