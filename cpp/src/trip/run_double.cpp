#include "pack_runner.hpp"

namespace ridethrough::trip {

std::unique_ptr<PackRunner> make_double_runner(Shared compiled, std::uint64_t seed, int width,
                                               const PathsWanted& paths) {
    using base::Pack;
    if (width == 1) return std::make_unique<Runner<Pack<double, 1>>>(std::move(compiled), seed, paths);
    return std::make_unique<Runner<Pack<double, 8>>>(std::move(compiled), seed, paths);
}

}  // namespace ridethrough::trip
