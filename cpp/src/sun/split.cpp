#include "ridethrough/sun/split.hpp"

namespace ridethrough::sun {

double diffuse_share_hourly(double kt) { return diffuse_share_hourly(simd::Pack<double, 1>(kt)).v; }

}  // namespace ridethrough::sun
