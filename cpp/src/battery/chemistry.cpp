#include "ridethrough/battery/chemistry.hpp"

#include <array>

#include "ridethrough/base/math.hpp"

namespace ridethrough::battery {

namespace {

// IEEE 485 cell-size correction K_T; the three coldest from memory.
constexpr std::array<double, 12> kFahrenheit{25, 30, 35, 40, 45, 50, 55, 60, 65, 68, 70, 77};
constexpr std::array<double, 12> kCellSize{1.52, 1.43, 1.35, 1.30, 1.25, 1.19, 1.15, 1.11, 1.08, 1.056, 1.04, 1.00};

double celsius(double f) { return (f - 32) / 1.8; }

}  // namespace

double q_max_per_capacity(double c, double k, double hours) {
    const double e = base::exp(-k * hours);
    return (1 - e + c * (k * hours - 1 + e)) / (hours * k * c);
}

double kibam_lifetime_h(double c, double k, double q_max_ah, double current_a) {
    double low = 0, high = q_max_ah / current_a;  // the whole charge at that current
    for (int i = 0; i < 200; ++i) {
        const double mid = 0.5 * (low + high);
        (current_a * mid < q_max_ah / q_max_per_capacity(c, k, mid) ? low : high) = mid;
    }
    return low;
}

double vented_capacity_share(double temp_c) {
    std::size_t i = 1;
    while (i + 1 < kFahrenheit.size() && temp_c > celsius(kFahrenheit[i])) ++i;
    const double x0 = celsius(kFahrenheit[i - 1]), x1 = celsius(kFahrenheit[i]);
    const double y0 = 1 / kCellSize[i - 1], y1 = 1 / kCellSize[i];
    return temp_c >= x1 && i + 1 == kFahrenheit.size() ? 1.0 : y0 + (y1 - y0) * (temp_c - x0) / (x1 - x0);
}

Curve<double> curve_through(std::span<const double> x, std::span<const double> y) {
    Curve<double> f{};
    double slope = (y[1] - y[0]) / (x[1] - x[0]);
    f.s0 = slope;
    f.y0 = y[0] - slope * x[0];
    for (std::size_t i = 1; i + 1 < x.size(); ++i) {
        const double next = (y[i + 1] - y[i]) / (x[i + 1] - x[i]);
        f.at[f.kinks] = x[i];
        f.change[f.kinks++] = next - slope;
        slope = next;
    }
    return f;
}

BatteryKind<double> battery_kind(const config::Record& battery) {
    BatteryKind<double> k{};
    k.lithium = battery.schema().name == "LfpBattery";
    const auto& volts = battery.numbers("rest_voltage_v");
    if (k.lithium) {
        k.rest_v = curve_through(battery.numbers("rest_charge"), volts);
        // Linear: about .85 at 0 degC and .7 at -20 degC, from memory.
        k.cold = curve_through(std::array{0.0, 25.0, 60.0}, std::array{1.0, 0.0, 0.0});
        k.c = 0.9;  // both from memory: nearly all charge is at hand within the hour
        k.k = 2.0;
        k.floor_v = battery.number("bms_cutoff_v");
        k.charge_block_c = battery.number("charge_block_c");
        k.charge_full_c = battery.number("charge_full_c");
        k.hot_reduce_c = battery.number("hot_reduce_c");
        k.hot_block_c = battery.number("hot_block_c");
        return k;
    }
    // A node below empty: what is not there cannot be drawn, the voltage collapses (100 V per unit, own choice).
    std::array<double, 12> charge{-0.1}, rest{volts[0] - 10};
    for (std::size_t i = 1; i < charge.size(); ++i) {
        charge[i] = static_cast<double>(i - 1) / 10;
        rest[i] = volts[i - 1];
    }
    k.rest_v = curve_through(charge, rest);
    std::array<double, kFahrenheit.size() + 1> temp, loss;
    for (std::size_t i = 0; i < kFahrenheit.size(); ++i) {
        temp[i] = celsius(kFahrenheit[i]);
        loss[i] = (1 - 1 / kCellSize[i]) / (1 - vented_capacity_share(0));
    }
    temp.back() = 60;
    loss.back() = 0;
    k.cold = curve_through(temp, loss);
    // Fitted by tests/long/fit_wells.py to this project's own discharge shares at C/20 to C/2 (from memory).
    k.c = 0.325;
    k.k = 1.92;
    k.floor_v = battery.number("brownout_v");
    k.back_v = battery.number("brownout_restart_v");
    return k;
}

}  // namespace ridethrough::battery
