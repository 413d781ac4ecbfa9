#include <algorithm>
#include <cmath>
#include <numeric>

#include "places.hpp"
#include "plausible.hpp"
#include "ridethrough/weather/climate.hpp"

namespace ridethrough::trip {
using config::Configuration;
using config::ConfigurationPtr;

namespace {

constexpr double kWarmestMonthC = 42;  // the hottest inhabited places have about 40 degC, from memory
constexpr double kTropicDeg = 23;
constexpr double kClockApartH = 3.5;  // the largest that is in use: 3.45 h, Alaska's west in summer

void warn_air(const Configuration& climate, Warnings& out) {
    const auto& air = climate.numbers("air_temp_c");
    const auto hottest = std::max_element(air.begin(), air.end());
    if (*hottest > kWarmestMonthC) {
        config::Field usual = climate.schema().field("air_temp_c");
        usual.high = kWarmestMonthC;
        const std::string guess = config::unit_guess(usual, *hottest, air);
        out.push_back("Climate.air_temp_c" + config::place_text(static_cast<std::size_t>(hottest - air.begin()), 12) +
                      " = " + base::number_text(*hottest) + " C: hotter than a month is on average anywhere; " +
                      (guess.empty() ? "is the number right?" : guess));
    }
    const double latitude = climate.number("latitude");
    const double may_to_october = std::accumulate(air.begin() + 4, air.begin() + 10, 0.0) / 6;
    const double rest = (std::accumulate(air.begin(), air.end(), 0.0) - 6 * may_to_october) / 6;
    if (std::abs(latitude) < kTropicDeg || !((may_to_october - rest) * (latitude < 0 ? -1 : 1) < -1)) return;
    out.push_back("Climate.air_temp_c: the warm half of the year is the cold one at latitude " +
                  base::number_text(latitude) +
                  " deg; is the sign of the latitude right? north is positive, and January comes first");
}

}  // namespace

Warnings clock_warnings(double utc_offset_h, double longitude_deg, const std::string& clock) {
    const auto apart = [&](double longitude) {  // round the globe, where the date changes
        return std::abs(std::remainder(utc_offset_h - longitude / 15, 24));
    };
    if (!(apart(longitude_deg) > kClockApartH)) return {};
    return {"Site.longitude = " + base::number_text(longitude_deg) + " deg beside " + clock + ": clock and Sun are " +
            rounded(apart(longitude_deg), 1) + " h apart; " +
            (!(apart(-longitude_deg) > kClockApartH) ? "is the sign of the longitude right? east is positive"
                                                     : "are both right?")};
}

Warnings zone_warnings(const Clock& clock, const Configuration& site) {
    if (clock.source != "Site.time_zone") return {};
    return clock_warnings(clock.utc_offset_h, site.number("longitude"), "time_zone = \"" + clock.zone + "\"");
}

Warnings site_warnings(const Configuration& site) {
    Warnings out;
    if (site.has("utc_offset_h")) {
        const double offset = site.number("utc_offset_h");
        out = clock_warnings(offset, site.number("longitude"), "utc_offset_h = " + base::number_text(offset) + " h");
    }
    if (!site.has("climate")) return out;
    const ConfigurationPtr climate = climate_of(site);
    if (!(*climate == *site.part("climate")))  // which says nothing while its place is not known
        for (auto& warning : climate->warnings()) out.push_back(std::move(warning));
    if (weather::follows_other_hemisphere(*climate))
        out.push_back(
            "Climate.ghi_kwh_m2_day: the twelve rise and fall with the Sun of the other hemisphere, not with "
            "that of latitude " +
            base::number_text(climate->number("latitude")) +
            " deg; is the sign of the latitude right? north is positive, and January comes first");
    warn_air(*climate, out);
    return out;
}

}  // namespace ridethrough::trip
