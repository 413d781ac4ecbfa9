#include "ridethrough/trip/run.hpp"

#include "pack_runner.hpp"

namespace ridethrough::trip {

std::unique_ptr<PackRunner> make_runner(std::shared_ptr<const Compiled> compiled, std::uint64_t seed,
                                        Precision precision, int width, const PathsWanted& paths) {
    if (precision == Precision::single_) return make_single_runner(std::move(compiled), seed, width, paths);
    return make_double_runner(std::move(compiled), seed, width, paths);
}

}  // namespace ridethrough::trip
