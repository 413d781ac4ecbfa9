// What meters show on the way, and how likely a trial makes it.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "ridethrough/engine/trial_batch.hpp"

namespace ridethrough::forecast {

enum class Quantity { soc, ah_used, ah_left, volts, amps, yield_wh, fridge_c };
enum class Place { terminals, panel, fridge };  // panel: at the distribution

// One reading. Its error is normal: `sd` and `relative_sd` of the true value for itself alone, and what it shares with
// all readings of the same `bias`, one standard normal number a trial, times bias_sd and bias_relative_sd of the true
// value. The error shared by readings of a counter of ampere-hours grows with the root of the days since a full charge.
struct MeterReading {
    Quantity quantity = Quantity::soc;
    double hour = 0;           // from the start; the state is that at the end of the last whole hour before it
    double low = 0, high = 0;  // the display rounds to what lies between them; equal: the value itself
    double sd = 0, relative_sd = 0;
    std::string bias = {};
    double bias_sd = 0, bias_relative_sd = 0;
    Place at = Place::terminals;
    // What the reader knows of the van at that time; what is not given is as in the trial.
    std::optional<bool> compressor = {};
    std::optional<double> loads_w = {};
    bool nothing_charges = false;
    std::optional<double> since_full_h = {};

    double shared_sd(double true_value) const;
    double own_variance(double true_value) const;
};

// In an order that hangs on what they say alone, whatever order they are given in. InputError where one is out of
// range.
std::vector<MeterReading> in_order(const trip::CompiledTrip& compiled, std::vector<MeterReading> readings);

// Log of the probability that normal errors of variance `variance` bring a true value into [low, high], or their
// density where low == high.
double log_interval_probability(double low, double high, double true_value, double variance);

// Log likelihood of readings whose true values are those; shared errors are integrated out.
double log_likelihood(std::span<const MeterReading> readings, std::span<const double> true_values);

// The last whole hour that is over at `hour`, counted from 0; the first one where none is.
int hour_before(const trip::CompiledTrip& compiled, double hour);

// What the meters should show of the trial in a lane of a runner that has kept its states and what `series_of` names.
class TrueValues {
  public:
    TrueValues(const trip::CompiledTrip& compiled, std::vector<MeterReading> readings);
    static engine::SeriesWanted series();

    // Of the first `count` readings.
    void fill(const engine::PackRunner& pack, int lane, std::size_t count, std::vector<double>& values) const;

  private:
    const trip::CompiledTrip& compiled_;
    std::vector<MeterReading> readings_;
    std::vector<int> hours_, first_hours_;  // of each: its hour, and the first one of its day of the sky
};

}  // namespace ridethrough::forecast
