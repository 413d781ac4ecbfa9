// A measured hourly weather record, in order and without gaps.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::weather {

struct SeriesHours {
    double latitude_deg = 0, longitude_deg = 0;
    double utc_offset_h = 0;       // of the record's own clock
    std::int64_t first_hour = 0;   // clock hours from 1970-01-01 0:00 to the start of the first hour
    std::vector<double> ghi_w_m2;  // mean over the hour that begins at first_hour + i
    std::vector<double> dhi_w_m2;  // empty: split by Erbs, Klein & Duffie 1982
    std::vector<double> air_temp_c;
    bool wraps = false;                 // a typical year: 8760 h, put on one 365-day cycle that closes on itself
    std::vector<std::int32_t> splices;  // hours that don't follow their predecessor in time (0: the year's end)
};

class WeatherSeries : public config::Series {
  public:
    explicit WeatherSeries(SeriesHours hours);  // InputError where something does not fit

    const SeriesHours& data() const { return data_; }
    int hours() const { return static_cast<int>(data_.ghi_w_m2.size()); }
    const std::vector<double>& i0_wh_m2() const { return i0_; }

    std::uint64_t digest() const override { return digest_; }
    std::string text() const override;

  private:
    SeriesHours data_;
    std::vector<double> i0_;
    std::uint64_t digest_;
};

// Hours of the record at which a trip of `days` calendar days may begin: midnights of the trip's clock within
// `window_d` days of its calendar date, in every year, with the whole trip inside the record or the record closing on
// itself. InputError where there is none, or where the clocks differ by a part of an hour.
std::vector<std::int32_t> replay_starts(const WeatherSeries& record, int first_day, int days, double utc_offset_h,
                                        int window_d);
// Clearness of the record's whole days in a month (1 to 12), rising; days too dark to tell are left out.
std::vector<double> sorted_clearness(const WeatherSeries& record, int month);
// How many splices lie strictly inside `hours` hours from `start`.
int splices_crossed(const WeatherSeries& record, std::int32_t start, int hours);

}  // namespace ridethrough::weather
