#include "ridethrough/battery/ageing.hpp"

#include <algorithm>
#include <array>

namespace ridethrough::battery {

config::Spread aged_health(bool lithium, double years) {
    using Three = std::array<double, 3>;
    const Three fresh = lithium ? Three{0.94, 0.98, 1.0} : Three{0.85, 0.95, 1.0};
    const Three five = lithium ? Three{0.85, 0.92, 0.98} : Three{0.55, 0.75, 0.90};
    Three now{};
    for (std::size_t i = 0; i < 3; ++i) now[i] = std::max(fresh[i] + (five[i] - fresh[i]) * years / 5, 0.2);
    return config::Spread::triangular(now[0], now[1], now[2]);
}

config::Spread aged_resistance_mohm(bool lithium, double years) {
    const double factor = lithium ? 1 + years / 20 : std::min(1 + years / 5, 3.0);
    return lithium ? config::Spread::triangular(4 * factor, 7 * factor, 14 * factor)
                   : config::Spread::triangular(5 * factor, 6.5 * factor, 10 * factor);
}

}  // namespace ridethrough::battery
