// Weather of the tests: a made-up temperate place, and draws from a plain 64-bit mixer.
#pragma once

#include <cstdint>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/solar/plane.hpp"
#include "ridethrough/sun/calendar.hpp"
#include "ridethrough/weather/climate.hpp"
#include "ridethrough/weather/tables.hpp"

namespace fixture {
using namespace ridethrough;

// Mean clearness `k` in every month.
inline config::ConfigurationPtr climate_at(double latitude, double longitude, double k, config::Values more = {}) {
    std::vector<double> ghi;
    for (const double h0 : sun::monthly_h0_wh_m2(latitude)) ghi.push_back(k * h0 / 1000);
    more.insert({{"latitude", latitude}, {"longitude", longitude}, {"ghi_kwh_m2_day", ghi}});
    if (!more.contains("air_temp_c")) more["air_temp_c"] = std::vector<double>(12, 10.0);
    return config::Configuration::make(weather::climate_schema(), more);
}

// SplitMix64 (Steele, Lea & Flood 2014).
class Draws {
  public:
    explicit Draws(std::uint64_t seed) : state_(seed) {}
    std::vector<std::uint64_t> take(int count) {
        std::vector<std::uint64_t> draws(static_cast<std::size_t>(count));
        for (auto& w : draws) {
            std::uint64_t z = (state_ += 0x9e3779b97f4a7c15u);
            z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
            z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
            w = z ^ (z >> 31);
        }
        return draws;
    }

  private:
    std::uint64_t state_;
};

template <class T>
weather::WeatherPlan<T> plan(const config::Configuration& climate, sun::Date first, int days, double utc_offset_h,
                             const solar::Plane& plane = {}) {
    const auto skies = weather::sky_days(sun::day_number(first), days, climate.number("latitude"),
                                         climate.number("longitude"), utc_offset_h);
    return {climate, skies, solar::plane_factors(skies, plane)};
}

}  // namespace fixture
