// The key of a stream: NumPy's SeedSequence(seed, spawn_key=(purpose, trial)).generate_state(4, uint64). The trial
// comes last in the hash, so that all trials of one purpose share the work before it. The algorithm is O'Neill's
// "Developing a seed_seq Alternative" (pcg-random.org, 2015) as documented for numpy.random.SeedSequence with its pool
// of four 32-bit words; the constants are from there. May be compiled for several instruction sets in one program: see
// simd/pack.hpp.
#pragma once

#include "ridethrough/simd/vector.hpp"

namespace ridethrough::random {

class SeedSequence {
  public:
    SeedSequence(std::uint64_t seed, std::uint32_t purpose);

    // The key as 32-bit words, the lower half of each 64-bit one first. U: a trial below 2^32, or such trials in lanes.
    template <class U>
    RT_INLINE void key(U trial, U (&words)[8]) const {
        U pool[4];
        std::uint32_t multiplier = multiplier_;
        for (int i = 0; i < 4; ++i) pool[i] = mix(pool_[i], scramble(trial, multiplier, enter_step));
        multiplier = leave_first;
        for (int i = 0; i < 8; ++i) words[i] = scramble(pool[i % 4], multiplier, leave_step);
    }
    // Of any trial, into two halves a word.
    void key_of(std::uint64_t trial, std::uint32_t (&words)[8]) const;

  private:
    static constexpr std::uint32_t enter_step = 0x931e8875u, leave_first = 0x8b51f9ddu, leave_step = 0x58f38dedu;

    template <class U>
    RT_INLINE static U fold(U x) {
        return x ^ (x >> 16);
    }
    template <class U>
    RT_INLINE static U mix(std::uint32_t index, U word) {
        return fold(word * (0u - 0x4973f715u) + index * 0xca01f9ddu);
    }
    // Scrambles a word with a multiplier that no other position of the hash uses.
    template <class U>
    RT_INLINE static U scramble(U word, std::uint32_t& multiplier, std::uint32_t step) {
        word = word ^ multiplier;
        multiplier *= step;
        return fold(word * multiplier);
    }
    void absorb(std::uint32_t word);

    std::uint32_t pool_[4];
    std::uint32_t multiplier_ = 0x43b0d7e5u;  // of the next word to enter
};

}  // namespace ridethrough::random
