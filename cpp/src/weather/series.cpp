#include "ridethrough/weather/series.hpp"

#include <algorithm>
#include <bit>
#include <cmath>

#include "ridethrough/sun/calendar.hpp"
#include "ridethrough/sun/sky.hpp"
#include "ridethrough/weather/generator.hpp"

namespace ridethrough::weather {
using base::InputError;
using base::number_text;

namespace {

constexpr int cycle_hours = 8760;

void check_range(const char* name, double value, double low, double high, const char* unit) {
    if (!(value >= low && value <= high))
        throw InputError("HourlySeries." + std::string(name) + " = " + number_text(value) + " " + unit + ": allowed " +
                         number_text(low) + " to " + number_text(high) + " " + unit);
}

void check_values(const char* name, const std::vector<double>& values, double low, double high, const char* unit) {
    for (std::size_t i = 0; i < values.size(); ++i)
        if (!(values[i] >= low && values[i] <= high))
            check_range((std::string(name) + "[" + std::to_string(i) + "]").c_str(), values[i], low, high, unit);
}

void check(const SeriesHours& r) {
    check_range("latitude", r.latitude_deg, -90, 90, "deg");
    check_range("longitude", r.longitude_deg, -180, 180, "deg");
    check_range("utc_offset_h", r.utc_offset_h, -12, 14, "h");
    check_range("first_hour", static_cast<double>(r.first_hour), -24.0 * 7305, 24.0 * 29585, "h");  // 1950 to 2050
    if (r.ghi_w_m2.size() < 24)
        throw InputError("HourlySeries: " + std::to_string(r.ghi_w_m2.size()) + " hours; at least 24 are needed");
    if (r.ghi_w_m2.size() > 24u * 36525) throw InputError("HourlySeries: more than 100 years of hours");
    if (r.air_temp_c.size() != r.ghi_w_m2.size() || (!r.dhi_w_m2.empty() && r.dhi_w_m2.size() != r.ghi_w_m2.size()))
        throw InputError("HourlySeries: ghi_w_m2, air_temp_c and dhi_w_m2 must have the same length");
    check_values("ghi_w_m2", r.ghi_w_m2, -20, 2000, "W/m2");
    check_values("dhi_w_m2", r.dhi_w_m2, -20, 2000, "W/m2");
    check_values("air_temp_c", r.air_temp_c, -90, 70, "C");
    if (r.wraps && r.ghi_w_m2.size() != cycle_hours)
        throw InputError("HourlySeries: a record that wraps must have 8760 hours, not " +
                         std::to_string(r.ghi_w_m2.size()));
    const auto last = static_cast<double>(r.ghi_w_m2.size() - 1);
    for (const std::int32_t s : r.splices) check_range("splices", s, 0, last, "h");
}

int whole_day(std::int64_t hour) { return static_cast<int>(hour >= 0 ? hour / 24 : -((23 - hour) / 24)); }

class Fnv {
  public:
    void add(std::uint64_t word) {
        for (int i = 0; i < 8; ++i) hash_ = (hash_ ^ ((word >> (8 * i)) & 0xff)) * 1099511628211u;
    }
    void add(double x) { add(std::bit_cast<std::uint64_t>(x)); }
    void add(const std::vector<double>& xs) {
        add(std::uint64_t{xs.size()});
        for (double x : xs) add(x);
    }
    std::uint64_t value() const { return hash_; }

  private:
    std::uint64_t hash_ = 14695981039346656037u;
};

std::uint64_t digest_of(const SeriesHours& r) {
    Fnv f;
    for (double x : {r.latitude_deg, r.longitude_deg, r.utc_offset_h}) f.add(x);
    f.add(static_cast<std::uint64_t>(r.first_hour));
    f.add(r.ghi_w_m2);
    f.add(r.dhi_w_m2);
    f.add(r.air_temp_c);
    f.add(std::uint64_t{r.wraps});
    for (const std::int32_t s : r.splices) f.add(static_cast<std::uint64_t>(s));
    return f.value();
}

}  // namespace

WeatherSeries::WeatherSeries(SeriesHours hours) : data_(std::move(hours)) {
    check(data_);
    const bool split = data_.dhi_w_m2.empty();
    const std::size_t n = data_.ghi_w_m2.size();
    if (split) data_.dhi_w_m2.resize(n);
    i0_.resize(n);
    sun::SkyDay sky;
    int known_day = -1000000;
    for (std::size_t i = 0; i < n; ++i) {
        const std::int64_t hour = data_.first_hour + static_cast<std::int64_t>(i);
        const int day = whole_day(hour);
        if (day != known_day) sky = sun::sky_day(day, data_.latitude_deg, data_.longitude_deg, data_.utc_offset_h);
        known_day = day;
        const double i0 = sky.i0_wh_m2[static_cast<std::size_t>(hour - std::int64_t{day} * 24)];
        i0_[i] = i0;
        double& ghi = data_.ghi_w_m2[i];
        double& dhi = data_.dhi_w_m2[i];
        ghi = std::max(ghi, 0.0);  // instruments read a little below zero at night
        if (split) dhi = i0 > 0 ? ghi * sun::diffuse_share_hourly(std::min(ghi / i0, 1.0)) : ghi;
        dhi = std::clamp(dhi, std::max(ghi - highest_beam_share * i0, 0.0), ghi);
    }
    digest_ = digest_of(data_);
}

std::string WeatherSeries::text() const {
    const int last = whole_day(data_.first_hour + hours() - 1);
    const std::string span =
        data_.wraps ? "a typical year" : sun::date_text(whole_day(data_.first_hour)) + " to " + sun::date_text(last);
    return "<HourlySeries " + number_text(data_.latitude_deg) + ", " + number_text(data_.longitude_deg) + ": " +
           std::to_string(hours()) + " h, " + span + ">";
}

std::vector<std::int32_t> replay_starts(const WeatherSeries& record, int first_day, int days, double utc_offset_h,
                                        int window_d) {
    const SeriesHours& r = record.data();
    const double apart = r.utc_offset_h - utc_offset_h;
    if (apart != std::floor(apart))
        throw InputError("utc_offset_h = " + number_text(utc_offset_h) + " h: must differ from the weather record's " +
                         number_text(r.utc_offset_h) + " h by whole hours");
    if (!(window_d >= 0 && window_d <= 182))
        throw InputError("replay window = " + std::to_string(window_d) + " d: allowed 0 to 182 d");
    const sun::Date date = sun::date_of(first_day);
    const std::int64_t length = std::int64_t{days} * 24, n = record.hours();
    const auto hour_in = [&](int year, int offset) {
        const int day = sun::day_number({year, date.month, std::min(date.day, sun::days_in_month(year, date.month))});
        return (std::int64_t{day} + offset) * 24 + static_cast<std::int64_t>(apart) - r.first_hour;
    };
    std::vector<std::int32_t> starts;
    const int first_year = sun::date_of(whole_day(r.first_hour)).year;
    const int last_year = sun::date_of(whole_day(r.first_hour + n)).year;
    for (int year = r.wraps ? first_year : first_year - 1; year <= (r.wraps ? first_year : last_year + 1); ++year)
        for (int offset = -window_d; offset <= window_d; ++offset) {
            const std::int64_t start = hour_in(year, offset);
            if (r.wraps)
                starts.push_back(static_cast<std::int32_t>(((start % n) + n) % n));
            else if (start >= 0 && start + length <= n)
                starts.push_back(static_cast<std::int32_t>(start));
        }
    std::sort(starts.begin(), starts.end());
    starts.erase(std::unique(starts.begin(), starts.end()), starts.end());
    if (starts.empty())
        throw InputError("start " + sun::date_text(first_day) + ", " + std::to_string(days) +
                         " days: outside the weather record, " + record.text());
    return starts;
}

std::vector<double> sorted_clearness(const WeatherSeries& record, int month) {
    const SeriesHours& r = record.data();
    std::vector<double> days;
    const auto lead = static_cast<std::size_t>(((-r.first_hour % 24) + 24) % 24);
    for (std::size_t i = lead; i + 24 <= r.ghi_w_m2.size(); i += 24) {
        if (sun::date_of(whole_day(r.first_hour + static_cast<std::int64_t>(i))).month != month) continue;
        double ghi = 0, i0 = 0;
        for (std::size_t h = i; h < i + 24; ++h) {
            ghi += r.ghi_w_m2[h];
            i0 += record.i0_wh_m2()[h];
        }
        if (i0 >= sun::dark_day_wh_m2) days.push_back(std::min(ghi / i0, 1.0));
    }
    std::sort(days.begin(), days.end());
    return days;
}

int splices_crossed(const WeatherSeries& record, std::int32_t start, int hours) {
    int crossed = 0;
    for (const std::int32_t s : record.data().splices)
        for (std::int64_t at = s; at < std::int64_t{start} + hours; at += record.hours()) crossed += at > start ? 1 : 0;
    return crossed;
}

}  // namespace ridethrough::weather
