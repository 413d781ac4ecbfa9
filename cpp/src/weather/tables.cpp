#include "ridethrough/weather/tables.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "ridethrough/base/math.hpp"
#include "ridethrough/base/memo.hpp"
#include "ridethrough/sun/calendar.hpp"
#include "ridethrough/sun/position.hpp"
#include "ridethrough/weather/clear_sky.hpp"
#include "ridethrough/weather/clearness.hpp"
#include "ridethrough/weather/climate.hpp"

namespace ridethrough::weather {

namespace {

constexpr double mid_month_day[12] = {16.5, 46, 75.5, 106, 136.5, 167, 197.5, 228.5, 259, 289.5, 320, 350.5};
constexpr double year_days = 365;
constexpr double kClearestHour = 0.88;  // clearness, at sea level

// Clear-sky limit of hourly clearness at the hour's end in solar time: Aguiar & Collares-Pereira 1992, at sea level.
double clear_limit(double solar_hour_end) {
    const double from_noon = solar_hour_end - 24 * std::floor(solar_hour_end / 24) - 12.5;
    return kClearestHour * base::cos(sun::pi * from_noon / 30);
}

template <class T>
std::vector<T> as(const std::vector<double>& values) {
    std::vector<T> out(values.size());
    std::transform(values.begin(), values.end(), out.begin(), [](double x) { return static_cast<T>(x); });
    return out;
}

std::vector<double> published_table(double mean_k) {
    static base::Memo<double, std::vector<double>> memo(1024);
    return memo.get(mean_k, [&] { return bendt_table(mean_k); });
}
std::vector<double> learned_table(double mean_k, double air_c, double clearest, double spread) {
    static base::Memo<std::array<double, 4>, std::vector<double>> memo(1024);
    return memo.get({mean_k, air_c, clearest, spread},
                    [&] { return spread_days(clearness_table(mean_k, air_c, clearest), spread, clearest); });
}

// Daily clearness by normal score in a month with light, as the climate says its days lie.
std::vector<double> days_of_month(const config::Configuration& climate, std::size_t month, double mean_k) {
    const std::string& days = climate.text("clearness_days");
    if (days == "bendt") return published_table(mean_k);
    if (days == "record")
        return empirical_clearness_table(sorted_clearness(*weather_series_of(climate), static_cast<int>(month) + 1));
    const double clearest = clearest_days(climate.number("latitude"), altitude_m(climate))[month];
    return learned_table(mean_k, climate.numbers("air_temp_c")[month], clearest, clearness_spread(climate)[month]);
}

void check_factors(const PlaneFactors& f, std::size_t hours) {
    if (f.beam.size() != hours || f.sky.size() != hours || f.ground.size() != hours)
        throw base::InputError(
            {.path = "plane factors",
             .reason = std::to_string(f.beam.size()) + " hours given, " + std::to_string(hours) + " needed"});
}

}  // namespace

std::vector<sun::SkyDay> sky_days(int first_day, int days, double latitude_deg, double longitude_deg,
                                  double utc_offset_h) {
    static base::Memo<std::array<double, 4>, sun::SkyDay> memo(4096);
    std::vector<sun::SkyDay> skies(static_cast<std::size_t>(days));
    for (int d = 0; d < days; ++d)
        skies[static_cast<std::size_t>(d)] =
            memo.get({static_cast<double>(first_day + d), latitude_deg, longitude_deg, utc_offset_h},
                     [&] { return sun::sky_day(first_day + d, latitude_deg, longitude_deg, utc_offset_h); });
    return skies;
}

double along_year(const std::vector<double>& nodes, int day_of_year) {
    const double at = std::min<double>(day_of_year, year_days);
    std::size_t next = 0;
    while (next < 12 && mid_month_day[next] <= at) ++next;
    const std::size_t a = (next + 11) % 12, b = next % 12;
    double width = mid_month_day[b] - mid_month_day[a], from = at - mid_month_day[a];
    if (width <= 0) width += year_days;
    if (from < 0) from += year_days;
    return nodes[a] + (nodes[b] - nodes[a]) * from / width;
}

namespace {

// Found by steps, as the lines between the nodes are those of along_year.
std::vector<double> nodes_with_means(const std::vector<double>& monthly_means) {
    std::vector<double> nodes = monthly_means;
    for (int pass = 0; pass < 40; ++pass) {  // converges by a factor of about 4 a pass
        std::vector<double> miss(12);
        int day = 1;
        for (std::size_t m = 0; m < 12; ++m) {
            const int days = sun::days_in_month(2001, static_cast<int>(m) + 1);
            double sum = 0;
            for (int d = 0; d < days; ++d) sum += along_year(nodes, day++);
            miss[m] = monthly_means[m] - sum / days;
        }
        for (std::size_t m = 0; m < 12; ++m) nodes[m] += miss[m];
    }
    return nodes;
}

}  // namespace

std::vector<double> mid_month_nodes(const std::vector<double>& monthly_means) {
    static base::Memo<std::vector<double>, std::vector<double>> memo(1024);
    return memo.get(monthly_means, [&] { return nodes_with_means(monthly_means); });
}

double air_shape(double solar_hour) {
    const double tau = 2 * sun::pi * (solar_hour - 1) / 24;
    return 0.4632 * base::cos(tau - 3.805) + 0.0984 * base::cos(2 * tau - 0.360) + 0.0168 * base::cos(3 * tau - 0.822) +
           0.0138 * base::cos(4 * tau - 3.513);
}

template <class T>
WeatherPlan<T>::WeatherPlan(const config::Configuration& climate, std::span<const sun::SkyDay> skies,
                            const PlaneFactors& factors)
    : beam_(as<T>(factors.beam)), sky_(as<T>(factors.sky)), ground_(as<T>(factors.ground)) {
    check_factors(factors, skies.size() * 24);
    append(climate, skies);
}

template <class T>
WeatherPlan<T>::WeatherPlan(std::span<const ClimateDays> climates, std::span<const sun::SkyDay> skies,
                            const PlaneFactors& factors)
    : beam_(as<T>(factors.beam)), sky_(as<T>(factors.sky)), ground_(as<T>(factors.ground)) {
    check_factors(factors, skies.size() * 24);
    std::size_t first = 0;
    for (const ClimateDays& c : climates) {
        append(*c.climate, skies.subspan(first, static_cast<std::size_t>(c.days)));
        first += static_cast<std::size_t>(c.days);
    }
    if (first != skies.size())
        throw base::InputError(
            {.path = "climates",
             .reason = "of " + std::to_string(first) + " days given, " + std::to_string(skies.size()) + " needed"});
}

template <class T>
template <class U>
WeatherPlan<T>::WeatherPlan(const WeatherPlan<U>& other)
    : clearness_(as<T>(other.clearness_)),
      h0_(as<T>(other.h0_)),
      air_normal_c_(as<T>(other.air_normal_c_)),
      air_sd_c_(as<T>(other.air_sd_c_)),
      same_day_corr_(as<T>(other.same_day_corr_)),
      highest_(as<T>(other.highest_)),
      i0_(as<T>(other.i0_)),
      profile_(as<T>(other.profile_)),
      sin_altitude_(as<T>(other.sin_altitude_)),
      clear_limit_(as<T>(other.clear_limit_)),
      air_shape_(as<T>(other.air_shape_)),
      beam_(as<T>(other.beam_)),
      sky_(as<T>(other.sky_)),
      ground_(as<T>(other.ground_)),
      table_at_(other.table_at_) {}
template WeatherPlan<float>::WeatherPlan(const WeatherPlan<double>&);

template <class T>
void WeatherPlan<T>::append(const config::Configuration& climate, std::span<const sun::SkyDay> skies) {
    const auto mean_k = mean_clearness(climate);
    const auto corr = clearness_temp_corr(climate);
    const auto air_sd = air_temp_sd_c(climate);
    const auto nodes = mid_month_nodes(climate.numbers("air_temp_c"));
    const double thin_air = over_sea_level(altitude_m(climate));
    std::array<int, 12> made;
    made.fill(-1);
    for (const sun::SkyDay& sky : skies) {
        const auto month = static_cast<std::size_t>(sun::date_of(sky.day_number).month - 1);
        if (made[month] < 0) {
            made[month] = static_cast<int>(clearness_.size());
            const auto table =
                mean_k[month] > 0 ? days_of_month(climate, month, mean_k[month]) : std::vector<double>(score_nodes);
            for (const double k : table) clearness_.push_back(static_cast<T>(k));
        }
        const bool dark = sky.h0_wh_m2 < sun::dark_day_wh_m2;
        table_at_.push_back(made[month]);
        h0_.push_back(dark ? T(0) : static_cast<T>(sky.h0_wh_m2));
        air_normal_c_.push_back(static_cast<T>(along_year(nodes, sun::day_of_year(sky.day_number))));
        air_sd_c_.push_back(static_cast<T>(air_sd[month]));
        same_day_corr_.push_back(static_cast<T>(corr[month]));
        highest_.push_back(static_cast<T>(kClearestHour * thin_air));
        for (std::size_t h = 0; h < 24; ++h) {
            const double solar = static_cast<double>(h) + sky.solar_minus_clock_h;
            i0_.push_back(dark ? T(0) : static_cast<T>(sky.i0_wh_m2[h]));
            profile_.push_back(static_cast<T>(sky.profile[h]));
            sin_altitude_.push_back(static_cast<T>(sky.mean_sin_altitude[h]));
            clear_limit_.push_back(static_cast<T>(thin_air * clear_limit(solar + 1)));
            air_shape_.push_back(static_cast<T>(air_shape(solar + 0.5)));
        }
    }
}

template <class T>
WeatherView<T> WeatherPlan<T>::view() const {
    WeatherView<T> w;
    w.days = days();
    w.nodes = score_nodes;
    w.nodes_per_score = static_cast<T>(nodes_per_score);
    w.clearness = clearness_.data();
    w.table_at = table_at_.data();
    w.h0 = h0_.data();
    w.air_normal_c = air_normal_c_.data();
    w.air_sd_c = air_sd_c_.data();
    w.same_day_corr = same_day_corr_.data();
    w.highest = highest_.data();
    w.i0 = i0_.data();
    w.profile = profile_.data();
    w.sin_altitude = sin_altitude_.data();
    w.clear_limit = clear_limit_.data();
    w.air_shape = air_shape_.data();
    w.beam = beam_.data();
    w.sky = sky_.data();
    w.ground = ground_.data();
    return w;
}

SeriesSkies series_skies(const WeatherSeries& record) {
    const SeriesHours& r = record.data();
    const auto first_day = static_cast<int>(std::floor(static_cast<double>(r.first_hour) / 24));
    const int within = static_cast<int>(r.first_hour - std::int64_t{first_day} * 24);
    const int days = (within + record.hours() + 23) / 24;
    return {sky_days(first_day, days, r.latitude_deg, r.longitude_deg, r.utc_offset_h), within};
}

PlaneFactors of_series_hours(const WeatherSeries& record, const PlaneFactors& whole_days) {
    const std::int64_t first = record.data().first_hour;
    const auto from = static_cast<std::ptrdiff_t>(((first % 24) + 24) % 24);
    const auto cut = [&](const std::vector<double>& x) {
        return std::vector<double>(x.begin() + from, x.begin() + from + record.hours());
    };
    return {cut(whole_days.beam), cut(whole_days.sky), cut(whole_days.ground)};
}

template <class T>
ReplayPlan<T>::ReplayPlan(const WeatherSeries& record, const PlaneFactors& factors)
    : ghi_(as<T>(record.data().ghi_w_m2)), air_(as<T>(record.data().air_temp_c)), i0_(as<T>(record.i0_wh_m2())) {
    check_factors(factors, ghi_.size());
    const SeriesHours& r = record.data();
    for (std::size_t i = 0; i < ghi_.size(); ++i) {
        const double dhi = r.dhi_w_m2[i], ghi = r.ghi_w_m2[i];
        direct_.push_back(static_cast<T>(ghi - dhi));
        beam_.push_back(static_cast<T>((ghi - dhi) * factors.beam[i]));
        sky_.push_back(static_cast<T>(dhi * factors.sky[i] + ghi * factors.ground[i]));
    }
}

template <class T>
ReplayView<T> ReplayPlan<T>::view() const {
    return {
        static_cast<int>(ghi_.size()), ghi_.data(), direct_.data(), beam_.data(), sky_.data(), air_.data(), i0_.data()};
}

template class WeatherPlan<float>;
template class WeatherPlan<double>;
template class ReplayPlan<float>;
template class ReplayPlan<double>;

}  // namespace ridethrough::weather
