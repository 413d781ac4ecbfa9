// The hourly time series that were asked for: levels at an hour's end, means over it.
#pragma once

#include "ridethrough/engine/kernel.hpp"
#include "ridethrough/engine/state.hpp"
#include "ridethrough/engine/supplies.hpp"
#include "ridethrough/solar/arrays.hpp"

namespace ridethrough::engine {

// Members and no lambdas: what is not inlined by force could reach all that a pack holds.
template <class V>
class TimeSeries {
    using T = typename V::Scalar;

  public:
    RT_INLINE TimeSeries(V* const* rows, V* const* states) : series_rows_(rows), state_rows_(states) {}

    // Whether means over steps are needed.
    RT_INLINE bool wanted() const { return series_rows_[kSeriesTerminalV]; }

    RT_INLINE void write(int step, int hour_steps, T step_h, const Trial<V>& c, const TrialState<V>& s,
                         const Row<V>& row, V cabin_c, const StepMeans<V>& means) {
        hour_ = step / hour_steps;
        first_ = step % hour_steps == 0;
        last_ = (step + 1) % hour_steps == 0;
        write_level(kSeriesSoc, s.battery.q_ah / c.battery.q_max_ah);
        write_level(kSeriesFridgeC, s.inside_c);
        write_level(kSeriesAirC, row.air_c);
        write_level(kSeriesBatteryC, s.battery.temp_c);
        write_level(kSeriesGhi, row.ghi_w_m2);
        write_mean(kSeriesCabinC, cabin_c * V(step_h));
        write_mean(kSeriesTerminalV, means.terminal_v);
        write_mean(kSeriesFridgeV, means.fridge_v);
        write_mean(kSeriesSolarW, means.solar_w);
        write_mean(kSeriesDcDcW, means.dc_dc_w);
        write_mean(kSeriesMainsW, means.mains_w);
        write_mean(kSeriesCurtailedW, means.curtailed_w);
        write_mean(kSeriesFridgeW, means.fridge_w);
        write_mean(kSeriesOtherLoadsW, means.other_w);
        write_mean(kSeriesWiringW, means.wiring_w);
        write_mean(kSeriesBatteryW, means.battery_w);
        write_mean(kSeriesBatteryA, means.battery_a);
        write_mean(kSeriesFridgeOff, means.off);
        if (series_rows_[kSeriesLowestFridgeV]) lowest_v_.add(means, first_);
        write_level(kSeriesLowestFridgeV, lowest_v_.value());
        if (state_rows_[kAvailableCharge] && last_) write_states(c, s);
    }

  private:
    RT_INLINE void write_states(const Trial<V>& c, const TrialState<V>& s) const {
        state_rows_[kAvailableCharge][hour_] = battery::available_charge(c.battery, s.battery);
        state_rows_[kPolarisationV][hour_] = s.battery.polarisation_v;
        state_rows_[kCompressorRuns][hour_] = select(s.running, V(T(1)), V(T(0)));
    }
    RT_INLINE void write_level(Series p, V value) const {
        if (series_rows_[p] && last_) series_rows_[p][hour_] = value;
    }
    RT_INLINE void write_mean(Series p, V value) const {
        if (!series_rows_[p]) return;
        if (first_) series_rows_[p][hour_] = V(T(0));
        series_rows_[p][hour_] += value;  // step hours times level
    }

    V* const* series_rows_;
    V* const* state_rows_;
    int hour_ = 0;
    bool first_ = false, last_ = false;
    LowestFridgeVolts<V> lowest_v_;
};

}  // namespace ridethrough::engine
