// The hourly paths in the order of the enum: name, unit, what of the hour it is, what it means.
#pragma once

#include <array>

#include "ridethrough/engine/plan.hpp"

namespace ridethrough::engine {

struct PathInfo {
    const char *name, *unit, *when, *doc;
};

inline constexpr const char* kAtEnd = "at the end of the hour";
inline constexpr const char* kMean = "mean over the hour";

inline constexpr std::array<PathInfo, kPaths> kPathInfo{{
    {"charge", "1", kAtEnd, "state of charge, share of the full battery as it is now"},
    {"posts_v", "V", kMean, "at the battery's terminals, compressor on or off as it comes"},
    {"fridge_v", "V", kMean,
     "at the fridge's terminals, compressor on or off as it comes: seldom as low as what trips the cut-out"},
    {"fridge_c", "degC", kAtEnd, "inside of the fridge, air and contents as one"},
    {"air_c", "degC", kMean, "outdoor air, held over the hour"},
    {"cabin_c", "degC", kMean, "air in the cabin, which the fridge feels"},
    {"battery_c", "degC", kAtEnd, "battery"},
    {"ghi_w_m2", "W/m2", kMean, "sun on the horizontal, in the open"},
    {"solar_w", "W", kMean, "taken from the regulators, at the battery's terminals"},
    {"dc_dc_w", "W", kMean, "from driving, at the battery's terminals"},
    {"mains_w", "W", kMean, "from shore power or a generator, at the battery's terminals"},
    {"curtailed_w", "W", kMean, "sun that could have been taken and was not, as the battery was full or refused it"},
    {"fridge_w", "W", kMean, "taken by the fridge, at its terminals"},
    {"other_loads_w", "W", kMean, "taken by all other loads, at the distribution or the battery's terminals"},
    {"wiring_w", "W", kMean, "lost in the cables to the distribution and the fridge"},
    {"battery_w", "W", kMean, "given by the battery at its terminals; negative: charged"},
    {"battery_a", "A", kMean, "the same as a current; negative: charged"},
    {"fridge_off", "1", kMean, "share of the hour in which the fridge has no supply"},
    {"lowest_fridge_v", "V", "lowest of the hour",
     "at the fridge's terminals while its compressor runs, which is what its cut-out acts on; where it does not run in "
     "that hour, the lowest at rest"},
}};

}  // namespace ridethrough::engine
