// A stream of 64-bit words keyed by (seed, purpose, trial): word for word numpy.random.PCG64 on the same SeedSequence.
#pragma once

#include <pcg_random.hpp>

#include "ridethrough/random/seed_sequence.hpp"

namespace ridethrough::random {

class Stream {
  public:
    Stream(std::uint64_t seed, std::uint32_t purpose, std::uint64_t trial)
        : Stream(SeedSequence(seed, purpose), trial) {}
    // For many trials of one purpose: their common part is hashed once.
    Stream(const SeedSequence& key, std::uint64_t trial) : Stream(key.state(trial)) {}

    std::uint64_t next() { return engine_(); }
    void advance(std::uint64_t words) { engine_.advance(words); }
    void step_back(std::uint64_t words) { engine_.backstep(words); }

  private:
    // The 128-bit words as constructor arguments; the stream operators of pcg-cpp 0.98 do not compile with g++ 12.
    explicit Stream(const std::array<std::uint64_t, 4>& w) : engine_(wide(w[0], w[1]), wide(w[2], w[3])) {}
    static pcg64::state_type wide(std::uint64_t high, std::uint64_t low) {
        return static_cast<pcg64::state_type>(high) << 64 | low;
    }

    pcg64 engine_;
};

}  // namespace ridethrough::random
