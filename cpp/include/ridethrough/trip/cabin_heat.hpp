// A heater that warms the cabin: when it runs today, and what runs on from yesterday. In the share of a step in which
// it runs, the air has at least the temperature which the heater holds; when it stops the van is as cold as before, for
// its walls keep next to nothing (own choice). A heater that loses its supply while it runs counts as warm to the end
// of that use.
#pragma once

#include "ridethrough/load/events.hpp"

namespace ridethrough::trip {

constexpr int kHeaterUses = 2;  // a day: morning and evening

template <class V>
struct CabinHeat {
    using T = typename V::Scalar;
    struct Window {
        V start, end;
    };
    Window today[kHeaterUses], yesterday[kHeaterUses];
    int uses = 0, before = 0;

    RT_INLINE void next_day() {
        for (int i = 0; i < uses; ++i) yesterday[i] = today[i];
        before = uses;
        uses = 0;
    }
    // Its number of the day. A use that still has to start is given as one that ends where it begins.
    RT_INLINE int add(V start, V end) {
        today[uses] = {start, end};
        return uses++;
    }
    // Air of `cabin_c` in the step of `step_h` hours that begins at `from_h`.
    RT_INLINE V warmed(V cabin_c, V held_c, T from_h, T step_h) const {
        V runs(T(0));
        for (int i = 0; i < before; ++i) runs += within(yesterday[i], from_h + T(24), step_h);
        for (int i = 0; i < uses; ++i) runs += within(today[i], from_h, step_h);
        const V share = min(runs * V(T(1) / step_h), V(T(1)));
        return cabin_c + share * max(held_c - cabin_c, V(T(0)));
    }

  private:
    static RT_INLINE V within(const Window& w, T from_h, T step_h) {
        const V zero(T(0)), from(from_h), step(step_h);
        return max(clamp(w.end - from, zero, step) - clamp(w.start - from, zero, step), zero);
    }
};

}  // namespace ridethrough::trip
