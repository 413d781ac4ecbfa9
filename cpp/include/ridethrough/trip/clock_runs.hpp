// The steps of a trip on the days of its clock, as the kernel walks them.
#pragma once

#include "ridethrough/simd/pack.hpp"

namespace ridethrough::trip {

// Bins [from, to) of one day of the clock that are run one after the other. A day has one such run, unless the clock
// changes on it: bins that it skips are in no run, bins that it repeats are in two.
struct ClockRun {
    int day = 0, from = 0, to = 0;
    int first_new_bin = 0;   // bins from here on were in no run before this one; below `from`: those have been skipped
    int part = 0;            // which of the clock's offsets holds
    bool opens_day = false;  // the first of its day
};

class ClockCursor {
  public:
    RT_INLINE ClockCursor(const ClockRun* runs, int count) : run_(runs), end_(runs + count) {}

    // The first bin of a day, then its others in the order of time; -1 after the last.
    RT_INLINE int enter(int day) {
        if (run_ == end_ || run_->day != day) return -1;
        return k_ = run_->from;
    }
    RT_INLINE int next() {
        if (++k_ < run_->to) return k_;
        const int day = run_->day;
        ++run_;
        return enter(day);
    }
    RT_INLINE bool opens_day() const { return run_->opens_day && k_ == run_->from; }
    RT_INLINE bool repeats() const { return k_ < run_->first_new_bin; }
    // The first bin whose habits this step has to see to: its own, or the first of those that were skipped before it.
    RT_INLINE int first_bin_to_decide() const {
        return k_ == run_->from && run_->first_new_bin < k_ ? run_->first_new_bin : k_;
    }
    RT_INLINE int part() const { return run_->part; }

  private:
    const ClockRun *run_, *end_;
    int k_ = -1;
};

}  // namespace ridethrough::trip
