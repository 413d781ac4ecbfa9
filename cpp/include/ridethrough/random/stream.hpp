// A stream of 64-bit draws keyed by (seed, purpose, trial): draw for draw numpy.random.PCG64 on the same SeedSequence.
#pragma once

#include <pcg_random.hpp>

#include "ridethrough/random/seed_sequence.hpp"

namespace ridethrough::random {

class Stream {
  public:
    Stream(std::uint64_t seed, std::uint32_t purpose, std::uint64_t trial)
        : Stream(SeedSequence(seed, purpose), trial) {}
    // For many trials of one purpose: their common part is hashed once.
    Stream(const SeedSequence& sequence, std::uint64_t trial) : Stream(Key(sequence, trial).words) {}
    // Of a key's 32-bit words, `apart` from each other.
    explicit Stream(const std::uint32_t* key, std::size_t apart = 1)
        : engine_(wide(key, apart), wide(key + 4 * apart, apart)) {}

    std::uint64_t next() { return engine_(); }
    void advance(std::uint64_t draws) { engine_.advance(draws); }

  private:
    struct Key {
        std::uint32_t words[8];
        Key(const SeedSequence& sequence, std::uint64_t trial) { sequence.key_of(trial, words); }
    };
    // The 128-bit words as constructor arguments; the stream operators of pcg-cpp 0.98 do not compile with g++ 12.
    // Of the two 64-bit words that make one, the high one comes first, and of their halves the low one.
    static pcg64::state_type wide(const std::uint32_t* key, std::size_t apart) {
        const auto word = [&](std::size_t i) { return static_cast<pcg64::state_type>(key[i * apart]); };
        return word(1) << 96 | word(0) << 64 | word(3) << 32 | word(2);
    }

    pcg64 engine_;
};

}  // namespace ridethrough::random
