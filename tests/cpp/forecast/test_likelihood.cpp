// The probability that a display shows what it shows.
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "ridethrough/forecast/readings.hpp"

using namespace ridethrough;
using forecast::log_interval_probability;
using forecast::log_likelihood;
using forecast::MeterReading;

namespace {

MeterReading percent(double low, double high, double sd) {
    MeterReading r;
    r.low = low;
    r.high = high;
    r.sd = sd;
    return r;
}

// A plain sum over the shared error, in steps of a thousandth of its standard deviation.
double by_sum(const std::vector<MeterReading>& readings, const std::vector<double>& values) {
    double total = 0;
    for (int i = -9000; i <= 9000; ++i) {
        const double z = i * 1e-3;
        double one = std::exp(-0.5 * z * z) / std::sqrt(2 * M_PI) * 1e-3;
        for (std::size_t k = 0; k < readings.size(); ++k) {
            const double at = values[k] + readings[k].shared_sd(values[k]) * z;
            const double sd = std::sqrt(readings[k].own_variance(values[k]));
            one *= 0.5 * (std::erfc((readings[k].low - at) / sd / std::sqrt(2.0)) -
                          std::erfc((readings[k].high - at) / sd / std::sqrt(2.0)));
        }
        total += one;
    }
    return std::log(total);
}

}  // namespace

TEST_CASE("the probability of an interval is that of the normal law, in its far tails too") {
    // Reference: the C library's erfc, whose own relative error is some 1e-16.
    for (const double centre : {-30.0, -8.0, -3.0, -0.2, 0.0, 0.4, 2.5, 9.0, 25.0})
        for (const double width : {0.01, 0.5, 3.0}) {
            const double low = centre, high = centre + width, near = low + high < 0 ? -high : low,
                         far = low + high < 0 ? -low : high;
            const double expected =
                near > 0 ? std::log(0.5 * (std::erfc(near / std::sqrt(2.0)) - std::erfc(far / std::sqrt(2.0))))
                         : std::log1p(-0.5 * std::erfc(far / std::sqrt(2.0)) - 0.5 * std::erfc(-near / std::sqrt(2.0)));
            CHECK(log_interval_probability(low, high, 0, 1) == Approx(expected).epsilon(1e-9).margin(1e-12));
            CHECK(log_interval_probability(5 + 2 * low, 5 + 2 * high, 5, 4) ==
                  Approx(expected).epsilon(1e-9).margin(1e-12));
        }
    // Beyond what a double holds as a probability: Mills' ratio, log P(Z > 40) from Abramowitz and Stegun 26.2.12.
    CHECK(log_interval_probability(40, 1e9, 0, 1) == Approx(-804.60844).epsilon(1e-6));
    CHECK(log_interval_probability(1, 1, 0, 4) == Approx(-0.125 - std::log(2 * std::sqrt(2 * M_PI))));
}

TEST_CASE("a shared error is integrated out") {
    MeterReading first = percent(0.895, 0.905, 0.018), second = percent(0.615, 0.625, 0.018);
    first.bias = second.bias = "counter";
    first.bias_sd = second.bias_sd = 0.04;
    second.since_full_h = 48;
    for (const double drift : {0.0, 0.05, -0.13}) {
        const std::vector<double> values{0.9 + drift, 0.62 + 1.2 * drift};
        // A display's narrow step is taken as a normal error: 4.5e-5 at most, see the source.
        CHECK(log_likelihood(std::vector{first, second}, values) ==
              Approx(by_sum({first, second}, values)).epsilon(0).margin(1e-4));
    }
    // A display with wide steps, and one that stops at full.
    MeterReading wide = percent(0.5, 0.75, 0.01), full = percent(0.995, 2, 0.01);
    wide.bias = full.bias = "gauge";
    wide.bias_sd = full.bias_sd = 0.1;
    // Neighbouring steps of a gauge, whose shared error has to lie just there.
    MeterReading lower = percent(0.25, 0.5, 0.005), upper = percent(0.5, 0.75, 0.005);
    lower.bias = upper.bias = "gauge";
    lower.bias_sd = upper.bias_sd = 0.1;
    for (const double charge : {0.5, 0.74})
        CHECK(log_likelihood(std::vector{lower, upper}, std::vector{charge, charge + 0.02}) ==
              Approx(by_sum({lower, upper}, {charge, charge + 0.02})).epsilon(0).margin(0.01));
    for (const double charge : {0.6, 0.8, 0.97})
        CHECK(log_likelihood(std::vector{wide, full}, std::vector{charge, charge + 0.1}) ==
              Approx(by_sum({wide, full}, {charge, charge + 0.1})).epsilon(0.01));
}

TEST_CASE("reading a meter with a shared error twice teaches little more than reading it once") {
    MeterReading one = percent(0.595, 0.605, 0.005);
    one.bias = "gauge";
    one.bias_sd = 0.1;
    const auto gain = [&](int times) {
        const std::vector<MeterReading> readings(static_cast<std::size_t>(times), one);
        const auto of = [&](double charge) {
            return log_likelihood(readings, std::vector<double>(static_cast<std::size_t>(times), charge));
        };
        return of(0.6) - of(0.8);
    };
    CHECK(gain(10) == Approx(gain(1)).epsilon(0.02));
    CHECK(gain(1) == Approx(2.0).epsilon(0.02));  // two standard deviations of .1
}
