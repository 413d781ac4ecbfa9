#include "pack_runner.hpp"

#include "ridethrough/engine/trial_batch.hpp"

namespace ridethrough::engine {

std::unique_ptr<PackRunner> make_runner(std::shared_ptr<const trip::CompiledTrip> compiled, std::uint64_t seed,
                                        Precision precision, const InstructionSet& set, const SeriesWanted& paths) {
    if (precision == Precision::single_)
        return std::make_unique<Runner<float>>(std::move(compiled), seed, set.single, paths);
    return std::make_unique<Runner<double>>(std::move(compiled), seed, set.double_, paths);
}

}  // namespace ridethrough::engine
