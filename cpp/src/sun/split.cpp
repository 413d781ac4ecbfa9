#include "ridethrough/sun/split.hpp"

#include <algorithm>

#include "ridethrough/sun/position.hpp"

namespace ridethrough::sun {

namespace {
constexpr double winter_sunset_rad = 81.4 * radians_per_degree;
}

double diffuse_share_hourly(double kt) { return diffuse_share_hourly(simd::Pack<double, 1>(kt)).v; }

double diffuse_share_daily(double k, double sunset_rad) {
    if (sunset_rad <= winter_sunset_rad)
        return k < 0.715 ? 1 + k * (-0.2727 + k * (2.4495 + k * (-11.9514 + k * 9.3879))) : 0.143;
    return k < 0.722 ? 1 + k * (0.2832 + k * (-2.5557 + k * 0.8448)) : 0.175;
}

double diffuse_share_monthly(double kt, double sunset_rad) {
    const double k = std::clamp(kt, 0.3, 0.8);
    if (sunset_rad <= winter_sunset_rad) return 1.391 + k * (-3.560 + k * (4.189 - k * 2.137));
    return 1.311 + k * (-3.022 + k * (3.427 - k * 1.821));
}

}  // namespace ridethrough::sun
