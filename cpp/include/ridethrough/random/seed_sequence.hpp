// The key of a stream: NumPy's SeedSequence(seed, spawn_key=(purpose, trial)).generate_state(4, uint64). The trial
// comes last in the hash, so that all trials of one purpose share the work before it.
#pragma once

#include <array>
#include <cstdint>

namespace ridethrough::random {

class SeedSequence {
  public:
    SeedSequence(std::uint64_t seed, std::uint32_t purpose);

    std::array<std::uint64_t, 4> state(std::uint64_t trial) const;

  private:
    std::array<std::uint32_t, 4> pool_{};
    std::uint32_t multiplier_;  // of the next word to enter
};

}  // namespace ridethrough::random
