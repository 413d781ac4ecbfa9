#include "ridethrough/random/seed_sequence.hpp"

namespace ridethrough::random {

SeedSequence::SeedSequence(std::uint64_t seed, std::uint32_t purpose) {
    const std::uint32_t words[4] = {static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32), 0, 0};
    for (int i = 0; i < 4; ++i) pool_[i] = scramble(words[i], multiplier_, enter_step);
    for (int from = 0; from < 4; ++from)
        for (int to = 0; to < 4; ++to)
            if (from != to) pool_[to] = mix(pool_[to], scramble(pool_[from], multiplier_, enter_step));
    absorb(purpose);
}

void SeedSequence::absorb(std::uint32_t word) {
    for (auto& state : pool_) state = mix(state, scramble(word, multiplier_, enter_step));
}

void SeedSequence::key_of(std::uint64_t trial, std::uint32_t (&words)[8]) const {
    const auto low = static_cast<std::uint32_t>(trial), high = static_cast<std::uint32_t>(trial >> 32);
    if (high == 0) return key(low, words);
    SeedSequence next = *this;
    next.absorb(low);
    next.key(high, words);
}

}  // namespace ridethrough::random
