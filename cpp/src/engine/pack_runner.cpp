#include "pack_runner.hpp"

#include "ridethrough/engine/trial_batch.hpp"

namespace ridethrough::engine {

std::unique_ptr<PackRunner> make_runner(std::shared_ptr<const trip::CompiledTrip> compiled, std::uint64_t seed,
                                        Precision precision, const Level& level, const PathsWanted& paths) {
    if (precision == Precision::single_)
        return std::make_unique<Runner<float>>(std::move(compiled), seed, level.single, paths);
    return std::make_unique<Runner<double>>(std::move(compiled), seed, level.double_, paths);
}

}  // namespace ridethrough::engine
