#include "ridethrough/weather/climate.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/base/math.hpp"
#include "ridethrough/config/declare.hpp"
#include "ridethrough/sun/position.hpp"
#include "ridethrough/sun/sky.hpp"
#include "ridethrough/weather/clear_sky.hpp"
#include "ridethrough/weather/clearness.hpp"

namespace ridethrough::weather {
using namespace config;

namespace {

constexpr double least_mean_clearness = 0.01;

[[noreturn]] void throw_month(std::size_t month, double value, double low, double high, const std::string& why) {
    const auto rounded = [](double x) { return number_text(std::floor(x * 1000) / 1000); };
    throw InputError({.path = "Climate.ghi_kwh_m2_day" + place_text(month, 12),
                      .value = number_text(value),
                      .unit = "kWh/m2",
                      .allowed = rounded(low) + " to " + rounded(high) + " kWh/m2 (" + why + ")"});
}

double correlation(const std::vector<double>& a, const std::array<double, 12>& b) {
    double mean_a = 0, mean_b = 0, ab = 0, aa = 0, bb = 0;
    for (std::size_t m = 0; m < 12; ++m) mean_a += a[m] / 12, mean_b += b[m] / 12;
    for (std::size_t m = 0; m < 12; ++m) {
        ab += (a[m] - mean_a) * (b[m] - mean_b);
        aa += (a[m] - mean_a) * (a[m] - mean_a);
        bb += (b[m] - mean_b) * (b[m] - mean_b);
    }
    return aa > 0 && bb > 0 ? ab / std::sqrt(aa * bb) : 0;
}

// How much the twelve follow the seasons: 1 where July is warm, -1 where January is, between where the year's swing is
// small. Whole from an annual range of 8 K on: own choice, the stations of which the seasons are learned have more.
double warm_in_july(const std::vector<double>& air_temp_c) {
    constexpr double kWholeSwingK = 4;
    double swing_k = 0;
    for (std::size_t m = 0; m < 12; ++m)
        swing_k += air_temp_c[m] * base::cos(sun::pi * (static_cast<double>(m) - 6.5) / 6) / 6;
    return std::clamp(swing_k / kWholeSwingK, -1.0, 1.0);
}

bool has_place(const Configuration& climate) { return climate.has("latitude") && climate.has("longitude"); }

// What is measured or said of a place is checked where the place is known: here, or by the site it is given to.
void check(const Configuration& climate) {
    if (climate.has("latitude") != climate.has("longitude"))
        throw InputError({.path = std::string("Climate.") + (climate.has("latitude") ? "longitude" : "latitude"),
                          .reason = "must be given beside the other coordinate",
                          .allowed = "both, or neither for those of the site"});
    const auto record = weather_series_of(climate);
    if (climate.has("weather_series") && !record)
        throw InputError({.path = "Climate.weather_series", .reason = "must be an HourlySeries"});
    if (climate.text("clearness_days") == "record" && !record)
        throw InputError(
            {.path = "Climate.clearness_days", .value = "\"record\"", .reason = "the climate has no record"});
    if (!has_place(climate)) return;
    const auto h0 = sun::monthly_h0_wh_m2(climate.number("latitude"));
    const auto clearest = clearest_days(climate.number("latitude"), altitude_m(climate));
    const auto& ghi = climate.numbers("ghi_kwh_m2_day");
    for (std::size_t m = 0; m < 12; ++m) {
        if (h0[m] < sun::dark_day_wh_m2) {
            if (!(ghi[m] * 1000 < sun::dark_day_wh_m2))
                throw_month(m, ghi[m], 0, sun::dark_day_wh_m2 / 1000, "the Sun hardly rises there in that month");
            continue;
        }
        const double most_k = std::max(highest_mean_clearness, clearest[m]);
        const double most = most_k * h0[m] / 1000, least = least_mean_clearness * h0[m] / 1000;
        if (!(ghi[m] <= most && ghi[m] >= least))
            throw_month(m, ghi[m], least, most,
                        "0.01 to " + number_text(std::floor(most_k * 100) / 100) +
                            " of what reaches the top of the atmosphere there" +
                            std::string(follows_other_hemisphere(climate)
                                            ? "; the twelve follow the Sun of the other hemisphere: is the sign of "
                                              "the latitude right? north is positive"
                                            : ""));
    }
    if (!record) return;
    double east = std::abs(record->data().longitude_deg - climate.number("longitude"));
    if (east > 180) east = 360 - east;
    if (!(std::abs(record->data().latitude_deg - climate.number("latitude")) <= 1 && east <= 1))
        throw InputError({.path = "Climate.weather_series",
                          .reason = "measured at " + number_text(record->data().latitude_deg) + ", " +
                                    number_text(record->data().longitude_deg) + " deg",
                          .allowed = "within 1 deg of the climate's place"});
}

std::vector<std::string> warn(const Configuration& climate) {
    std::vector<std::string> out;
    if (!has_place(climate)) return out;
    const auto k = mean_clearness(climate);
    for (std::size_t m = 0; m < 12; ++m)
        if (k[m] > 0 && k[m] < lowest_published_clearness)
            out.push_back("Climate.ghi_kwh_m2_day" + place_text(m, 12) + ": mean clearness " +
                          number_text(std::round(k[m] * 1000) / 1000) +
                          " is below 0.10, where the published distribution of days ends");
    return out;
}

Field weather_series_field() {
    Field f;
    f.name = "weather_series";
    f.former_name = "record";
    f.type = FieldType::series;
    f.default_value = std::monostate{};
    f.optional = true;
    f.source = own_choice("none");
    f.doc = "measured hours, for replay";
    return f;
}

Field coordinate(const char* name, double high, const char* doc) {
    return derived(name, "deg", Variation::fixed, {-high, high}, own_choice("of the site that has the climate"),
                   std::string(doc) + "; given only where the normals are those of a place nearby");
}

Field by_month(const char* name, const char* unit, Range range, const char* doc) {
    Field f = numbers(name, unit, range, 12, std::monostate{},
                      own_choice("fitted to measured days by tests/long/fit_clearness.py"), doc);
    f.optional = true;
    return f;
}

}  // namespace

const Schema& climate_schema() {
    static const Schema schema{
        "Climate",
        "Climate of a place: monthly normals and how the days vary about them.",
        {
            coordinate("latitude", 90, "north positive"),
            coordinate("longitude", 180, "east positive"),
            derived("altitude_m", "m", Variation::fixed, {-430, 6000}, own_choice("of the site that has the climate"),
                    "height above the sea of the place of the normals: thin air lets more sun through; 0 where neither "
                    "says it"),
            numbers("ghi_kwh_m2_day", "kWh/m2", {0, 12}, 12, std::monostate{}, {},
                    "by month: mean daily global horizontal irradiation"),
            numbers("air_temp_c", "C", {-60, 50}, 12, std::monostate{}, {}, "by month: mean air temperature"),
            number("clearness_lag1", "", Variation::trial, {0, 0.9}, 0.29,
                   from_memory("of Graham, Hollands & Huget 1988"),
                   "lag-1 correlation of the normal scores of daily clearness: how much a dull day brings another"),
            choice("clearness_days", {"learned", "bendt", "record"}, "learned", own_choice(),
                   "how a month's days lie about its mean clearness: learned from stations, as published by Bendt et "
                   "al. 1981, or as in the record's own days"),
            by_month("air_temp_sd_c", "C", {0, 20},
                     "by month: standard deviation of daily mean temperature about the normal; not given: 1.1 K + "
                     "0.125 times the year's range of the normals - 0.11 times the month's excess over the year's "
                     "mean"),
            number("air_temp_lag1", "", Variation::fixed, {0, 0.95}, 0.65, from_memory(".65 to .7"),
                   "lag-1 correlation of daily mean temperature about the normal"),
            by_month(
                "clearness_temp_corr", "", {-0.9, 0.9},
                "by month: same-day correlation of the normal scores of clearness and daily mean temperature; "
                "not given: -0.2 in the three winter months, 0.1 in spring, 0.3 in summer, 0 in autumn, and less in "
                "proportion where the normals range by less than 8 K over the year"),
            number("ghi_scale", "", Variation::trial, {0.5, 1.5}, 1.0, own_choice(),
                   "factor on the irradiation of generated days: the normals' own error, as a spread; stops whose "
                   "climates have the same source and spreads share it"),
            number("air_temp_offset_k", "K", Variation::trial, {-10, 10}, 0.0, own_choice(),
                   "added to the air temperature of generated days: the normals' own error, as a spread; shared like "
                   "ghi_scale"),
            weather_series_field(),
            text("name", std::string(), "name of the place"),
            text("source", std::string(), "where the normals come from"),
        },
        check,
        warn,
        Owner::model};
    return schema;
}

ConfigurationPtr climate_at(const ConfigurationPtr& climate, double latitude, double longitude,
                            std::optional<double> altitude_m) {
    config::Values here;
    if (!has_place(*climate)) here = {{"latitude", latitude}, {"longitude", longitude}};
    if (altitude_m && !climate->has("altitude_m")) here["altitude_m"] = *altitude_m;
    return here.empty() ? climate : climate->replace(here);
}

double altitude_m(const Configuration& climate) { return climate.has("altitude_m") ? climate.number("altitude_m") : 0; }

std::array<double, 12> mean_clearness(const Configuration& climate) {
    const auto h0 = sun::monthly_h0_wh_m2(climate.number("latitude"));
    const auto& ghi = climate.numbers("ghi_kwh_m2_day");
    std::array<double, 12> k{};
    for (std::size_t m = 0; m < 12; ++m) k[m] = h0[m] < sun::dark_day_wh_m2 ? 0 : ghi[m] * 1000 / h0[m];
    return k;
}

bool follows_other_hemisphere(const Configuration& climate) {
    const double latitude = climate.number("latitude");
    const auto& ghi = climate.numbers("ghi_kwh_m2_day");
    if (std::abs(latitude) < 23) return false;
    const double own = correlation(ghi, sun::monthly_h0_wh_m2(latitude));
    const double other = correlation(ghi, sun::monthly_h0_wh_m2(-latitude));
    return other > 0.5 && other > own;
}

std::array<double, 12> clearness_temp_corr(const Configuration& climate) {
    std::array<double, 12> corr{};
    const double northern_share = warm_in_july(climate.numbers("air_temp_c"));
    for (std::size_t m = 0; m < 12; ++m) {
        if (climate.has("clearness_temp_corr")) {
            corr[m] = climate.numbers("clearness_temp_corr")[m];
            continue;
        }
        constexpr double by_season[] = {-0.2, 0.1, 0.3, 0};  // from December on in the north
        const std::size_t turned = northern_share < 0 ? (m + 6) % 12 : m;
        corr[m] = std::abs(northern_share) * by_season[(turned + 1) % 12 / 3];
    }
    return corr;
}

std::array<double, 12> clearness_spread(const Configuration& climate) {
    // Of two long series in the middle of North America, from January; tests/long/spring_study.py has what they and
    // eleven other stations make of it. None within 18 K between the coldest and the warmest month, whole from 25 K.
    constexpr double inland[] = {1, 1.03, 1.10, 1.12, 1.07, 1.05, 1.05, 1.05, 1.08, 1.07, 1.03, 1};
    constexpr double kNoneK = 18, kWholeK = 25;
    const auto& air = climate.numbers("air_temp_c");
    const auto [coldest, hottest] = std::minmax_element(air.begin(), air.end());
    const double share = std::clamp((*hottest - *coldest - kNoneK) / (kWholeK - kNoneK), 0.0, 1.0);
    std::array<double, 12> spread{};
    for (std::size_t m = 0; m < 12; ++m) spread[m] = 1 + share * (inland[warm_in_july(air) < 0 ? (m + 6) % 12 : m] - 1);
    return spread;
}

std::array<double, 12> air_temp_sd_c(const Configuration& climate) {
    std::array<double, 12> sd{};
    const auto& air = climate.numbers("air_temp_c");
    const auto [coldest, hottest] = std::minmax_element(air.begin(), air.end());
    double mean = 0;
    for (const double t : air) mean += t / 12;
    for (std::size_t m = 0; m < 12; ++m)
        sd[m] = climate.has("air_temp_sd_c")
                    ? climate.numbers("air_temp_sd_c")[m]
                    : std::max(1.08 + 0.125 * (*hottest - *coldest) - 0.109 * (air[m] - mean), 0.8);
    return sd;
}

std::shared_ptr<const WeatherSeries> weather_series_of(const Configuration& climate) {
    const auto* series = std::get_if<SeriesPtr>(&climate.at("weather_series"));
    return series ? std::dynamic_pointer_cast<const WeatherSeries>(*series) : nullptr;
}

Model compile(const config::Configuration& climate, random::ParameterTable& table) {
    Model m;
    m.clearness = table.draws("weather.clearness", 1);
    m.temperature = table.draws("weather.temperature", 1);
    m.cloud = table.draws("weather.cloud", 24);
    m.ghi_scale = table.add(climate, "ghi_scale", "climate.");
    m.clearness_lag1 = table.add(climate, "clearness_lag1", "climate.");
    m.air_temp_offset_k = table.add(climate, "air_temp_offset_k", "climate.");
    m.air_temp_lag1 = climate.number("air_temp_lag1");
    return m;
}

}  // namespace ridethrough::weather
