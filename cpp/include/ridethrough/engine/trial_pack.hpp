// One pack of trials from the trip's start to its end: the hourly kernel. It reads a plan, the draws and the drawn
// parameters, and writes results through plain pointers; it allocates nothing. All lanes walk the steps together.
#pragma once

#include "ridethrough/engine/hours.hpp"
#include "ridethrough/engine/van.hpp"

namespace ridethrough::engine {

template <class V>
class TrialPack {
    using T = typename V::Scalar;

  public:
    // `sky` stands outside, so that no call that is not inlined can reach what a pack holds.
    RT_INLINE TrialPack(const PlanView<T>& view, const Buffers<V>& buffers, SkyDays<V>& sky)
        : plan_(view.plan),
          hours_(view, buffers, sky),
          van_(view.plan, buffers),
          clock_(plan_.run, plan_.runs),
          steps_(buffers.steps) {}

    // False where `stop` was raised: the pack's results are then not to be used.
    RT_INLINE bool run(Stop stop) {
        van_.begin_trip();
        hours_.begin_trip();
        int step = 0;
        for (int day = 0; day < plan_.days && !left(step); ++day) {
            if (stop.raised()) return false;
            hours_.begin_day(day);
            van_.begin_day(hours_.today());
            for (int k = clock_.enter(day); k >= 0 && !left(step); k = clock_.next(), ++step) {
                hours_.make_row(day, k, step, clock_, row_);
                if (clock_.opens_day()) van_.begin_charge_day();
                van_.step(row_, k, hours_.today(), hours_.bins(), step, day);
            }
        }
        van_.finish();
        hours_.finish();
        return true;
    }

  private:
    RT_INLINE bool left(int step) const { return steps_ > 0 && step >= steps_; }

    const trip::Plan& plan_;
    Hours<V> hours_;
    Van<V> van_;
    trip::ClockCursor clock_;
    int steps_;
    Row<V> row_{};
};

}  // namespace ridethrough::engine
