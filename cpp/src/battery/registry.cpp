// The chemistries that there are.
#include <array>
#include <stdexcept>

#include "agm.hpp"
#include "lfp.hpp"

namespace ridethrough::battery {
using namespace config;

std::span<const Chemistry* const> chemistries() {
    static constexpr std::array<const Chemistry*, 2> all{&kAgm, &kLfp};
    return all;
}

const Chemistry& chemistry_of(const Configuration& battery) {
    for (const Chemistry* c : chemistries())
        if (c->schema().name == battery.schema().name) return *c;
    throw std::logic_error("no chemistry is called " + battery.schema().name);
}

}  // namespace ridethrough::battery
