// The algorithm is O'Neill's "Developing a seed_seq Alternative" (pcg-random.org, 2015) as documented for
// numpy.random.SeedSequence with its pool of four 32-bit words; the constants are from there.
#include "ridethrough/random/seed_sequence.hpp"

namespace ridethrough::random {

namespace {

constexpr std::uint32_t enter_first = 0x43b0d7e5u, enter_step = 0x931e8875u;
constexpr std::uint32_t leave_first = 0x8b51f9ddu, leave_step = 0x58f38dedu;
constexpr std::uint32_t mix_left = 0xca01f9ddu, mix_right = 0x4973f715u;

constexpr std::uint32_t fold(std::uint32_t x) { return x ^ (x >> 16); }

// Scrambles a word with a multiplier that no other position of the hash uses.
std::uint32_t scramble(std::uint32_t word, std::uint32_t& multiplier, std::uint32_t step) {
    word ^= multiplier;
    multiplier *= step;
    return fold(word * multiplier);
}

std::uint32_t mix(std::uint32_t x, std::uint32_t y) { return fold(mix_left * x - mix_right * y); }

void absorb(std::array<std::uint32_t, 4>& pool, std::uint32_t word, std::uint32_t& multiplier) {
    for (auto& slot : pool) slot = mix(slot, scramble(word, multiplier, enter_step));
}

}  // namespace

SeedSequence::SeedSequence(std::uint64_t seed, std::uint32_t purpose) : multiplier_(enter_first) {
    const std::uint32_t words[4] = {static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32), 0, 0};
    for (std::size_t i = 0; i < 4; ++i) pool_[i] = scramble(words[i], multiplier_, enter_step);
    for (std::size_t from = 0; from < 4; ++from)
        for (std::size_t to = 0; to < 4; ++to)
            if (from != to) pool_[to] = mix(pool_[to], scramble(pool_[from], multiplier_, enter_step));
    absorb(pool_, purpose, multiplier_);
}

std::array<std::uint64_t, 4> SeedSequence::state(std::uint64_t trial) const {
    auto pool = pool_;
    auto multiplier = multiplier_;
    absorb(pool, static_cast<std::uint32_t>(trial), multiplier);
    if (trial >> 32) absorb(pool, static_cast<std::uint32_t>(trial >> 32), multiplier);

    std::array<std::uint64_t, 4> words{};
    multiplier = leave_first;
    for (std::size_t i = 0; i < 8; ++i) {
        const std::uint64_t word = scramble(pool[i % 4], multiplier, leave_step);
        words[i / 2] |= i % 2 ? word << 32 : word;
    }
    return words;
}

}  // namespace ridethrough::random
