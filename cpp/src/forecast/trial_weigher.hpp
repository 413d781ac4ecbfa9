// The kernel's trials up to an evening, and their log likelihoods.
#pragma once

#include <limits>

#include "ridethrough/forecast/posterior.hpp"

namespace ridethrough::forecast {

constexpr double kImpossible = -std::numeric_limits<double>::infinity();

class TrialWeigher {
  public:
    TrialWeigher(const std::shared_ptr<const trip::CompiledTrip>& compiled, std::uint64_t seed,
                 const std::vector<MeterReading>& readings, bool kept_on)
        : compiled_(*compiled),
          readings_(readings),
          true_values_(*compiled, readings),
          kept_on_(kept_on),
          pack_(engine::make_runner(compiled, seed, engine::Precision::double_, engine::instruction_set_named(""),
                                    TrueValues::series())) {
        pack_->keep_states();
    }

    engine::PackRunner& pack() { return *pack_; }
    void leave_at(double hour) {
        hours_ = hour_before(compiled_, hour) + 1;
        pack_->leave_after(hours_);
    }
    // Of a trial that has been run, given the first `count` readings.
    double log_likelihood(int lane, std::size_t count) {
        const double first_cutout_h = pack_->column(engine::kFirstCutoutH, lane);
        if (kept_on_ && pack_->column(engine::kCutoutCause, lane) > 0 && first_cutout_h <= hours_) return kImpossible;
        true_values_.fill(*pack_, lane, count, values_);
        return forecast::log_likelihood(readings_, values_);
    }

  private:
    const trip::CompiledTrip& compiled_;
    const std::vector<MeterReading>& readings_;
    TrueValues true_values_;
    bool kept_on_;
    int hours_ = 0;
    std::unique_ptr<engine::PackRunner> pack_;
    std::vector<double> values_;
};

void require_now(const trip::CompiledTrip& compiled, const Evidence& evidence);

}  // namespace ridethrough::forecast
