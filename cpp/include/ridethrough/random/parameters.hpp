// Where a trial's numbers and draws stand, for the kernel: see simd/pack.hpp for what such a header may include.
#pragma once

#include "ridethrough/random/draws.hpp"

namespace ridethrough::random {

// Place of a number among a trial's parameters; none where the van or the trip has no such thing.
class ParameterIndex {
  public:
    RT_INLINE constexpr ParameterIndex() {}
    RT_INLINE constexpr explicit ParameterIndex(int place) : place_(place) {}
    RT_INLINE constexpr explicit operator bool() const { return place_ >= 0; }
    RT_INLINE constexpr int place() const { return place_; }
    RT_INLINE friend constexpr bool operator==(ParameterIndex a, ParameterIndex b) { return a.place_ == b.place_; }

  private:
    int place_ = -1;
};

// The parameters of a pack of trials.
template <class V>
class Parameters {
  public:
    RT_INLINE explicit Parameters(V* values) : values_(values) {}
    RT_INLINE V& operator[](ParameterIndex i) const { return values_[i.place()]; }

  private:
    V* values_;
};

// Place of the 64-bit draws that one purpose takes each day; none where it takes none.
class DrawIndex {
  public:
    RT_INLINE constexpr DrawIndex() {}
    RT_INLINE constexpr DrawIndex(int first, int a_day) : first_(first), a_day_(a_day) {}
    RT_INLINE constexpr explicit operator bool() const { return first_ >= 0; }
    RT_INLINE constexpr int at(int day, int i) const { return first_ + day * a_day_ + i; }
    RT_INLINE constexpr int a_day() const { return a_day_; }

  private:
    int first_ = -1, a_day_ = 0;
};

// The draws of a pack of trials; draw `i` of a day, counted from 0.
template <class V>
class Draws {
  public:
    RT_INLINE explicit Draws(const std::uint64_t* draws) : draws_(draws) {}
    RT_INLINE V uniform(DrawIndex of, int day, int i = 0) const { return uniform_of<V>(at(of, day, i)); }
    RT_INLINE V normal(DrawIndex of, int day, int i = 0) const { return normal_of<V>(at(of, day, i)); }
    RT_INLINE const std::uint64_t* at(DrawIndex of, int day, int i = 0) const {
        return draws_ + of.at(day, i) * V::width;
    }

  private:
    const std::uint64_t* draws_;
};

}  // namespace ridethrough::random
