// Every use of chance has a name of its own ("weather.clearness", "load.laptop", "spread.battery.capacity_ah") and so a
// stream of its own: adding or removing one use moves no other.
#pragma once

#include <cstdint>
#include <string_view>

namespace ridethrough::random {

// FNV-1a, 32 bits, of a dotted name (Fowler, Noll and Vo). ParameterTable checks a trip's names for collisions.
constexpr std::uint32_t purpose(std::string_view name) {
    std::uint32_t hash = 0x811c9dc5u;
    for (const char c : name) hash = (hash ^ static_cast<std::uint8_t>(c)) * 0x01000193u;
    return hash;
}

}  // namespace ridethrough::random
