#include "ridethrough/circuit/wiring.hpp"

#include <array>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::circuit {

namespace {

// IEC 60228 class 5, plain copper at 20 degC; 35 mm2 from memory.
constexpr std::array<double, 8> kSectionMm2{1.5, 2.5, 4, 6, 10, 16, 25, 35};
constexpr std::array<double, 8> kOhmPerKm{13.3, 7.98, 4.95, 3.30, 1.91, 1.21, 0.780, 0.554};
constexpr double kCopperPerK = 0.00393;

void require(bool holds, const char* name, double value, const char* allowed) {
    if (!holds) throw base::InputError({.path = name, .value = base::number_text(value), .allowed = allowed});
}

}  // namespace

double conductor_resistance_ohm(double section_mm2, double length_m, double temp_c) {
    require(section_mm2 >= kSectionMm2.front() && section_mm2 <= kSectionMm2.back(), "section_mm2", section_mm2,
            "1.5 to 35 mm2");
    require(length_m >= 0 && length_m <= 1000, "length_m", length_m, "0 to 1000 m");
    require(temp_c >= -40 && temp_c <= 120, "temp_c", temp_c, "-40 to 120 degC");
    std::size_t i = 1;
    while (section_mm2 > kSectionMm2[i]) ++i;
    // Ohm mm2 per km hardly changes with the section, so that is what is read between two of them.
    const double x = (section_mm2 - kSectionMm2[i - 1]) / (kSectionMm2[i] - kSectionMm2[i - 1]);
    const double low = kSectionMm2[i - 1] * kOhmPerKm[i - 1], high = kSectionMm2[i] * kOhmPerKm[i];
    const double ohm_mm2_per_km = (1 - x) * low + x * high;  // exact at the standard's sections
    return ohm_mm2_per_km / section_mm2 * length_m * 0.001 * (1 + kCopperPerK * (temp_c - 20));
}

}  // namespace ridethrough::circuit
