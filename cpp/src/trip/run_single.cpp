#include "pack_runner.hpp"

namespace ridethrough::trip {

std::unique_ptr<PackRunner> make_single_runner(Shared compiled, std::uint64_t seed, int width,
                                               const PathsWanted& paths) {
    using base::Pack;
    if (width == 1) return std::make_unique<Runner<Pack<float, 1>>>(std::move(compiled), seed, paths);
    return std::make_unique<Runner<Pack<float, 16>>>(std::move(compiled), seed, paths);
}

}  // namespace ridethrough::trip
