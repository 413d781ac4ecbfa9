// The tables behind weather/generator.hpp, made once a trip (or once a record) in double.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/sun/sky.hpp"
#include "ridethrough/weather/generator.hpp"
#include "ridethrough/weather/plane_factors.hpp"
#include "ridethrough/weather/series.hpp"

namespace ridethrough::weather {

// The skies of `days` calendar days in a row.
std::vector<sun::SkyDay> sky_days(int first_day, int days, double latitude_deg, double longitude_deg,
                                  double utc_offset_h);

// A climate that holds for some days in a row.
struct ClimateDays {
    const config::Configuration* climate = nullptr;
    int days = 0;
};

template <class T>
class WeatherPlan {
  public:
    // `skies`: the trip's calendar days at its own place and clock; `factors`: of each of their hours.
    WeatherPlan(const config::Configuration& climate, std::span<const sun::SkyDay> skies, const PlaneFactors& factors);

    // Days at several places: one climate after the other.
    WeatherPlan(std::span<const ClimateDays> climates, std::span<const sun::SkyDay> skies, const PlaneFactors& factors);

    // The same tables in another number type.
    template <class U>
    explicit WeatherPlan(const WeatherPlan<U>& other);

    WeatherView<T> view() const;
    int days() const { return static_cast<int>(h0_.size()); }

  private:
    template <class U>
    friend class WeatherPlan;

    void append(const config::Configuration& climate, std::span<const sun::SkyDay> skies);

    std::vector<T> clearness_, h0_, air_normal_c_, air_sd_c_, same_day_corr_, highest_;
    std::vector<T> i0_, profile_, sin_altitude_, clear_limit_, air_shape_, beam_, sky_, ground_;
    std::vector<int> table_at_;
};

template <class T>
class ReplayPlan {
  public:
    // `factors`: of each hour of the record, in its order (skies: series_skies()).
    ReplayPlan(const WeatherSeries& record, const PlaneFactors& factors);

    ReplayView<T> view() const;

  private:
    std::vector<T> ghi_, direct_, beam_, sky_, air_, i0_;
};

// The skies of the calendar days a record touches, and where its first hour stands in the first of them.
struct SeriesSkies {
    std::vector<sun::SkyDay> days;
    int first_hour_of_day = 0;
};
SeriesSkies series_skies(const WeatherSeries& record);
// Factors of the record's own hours out of those of its whole days.
PlaneFactors of_series_hours(const WeatherSeries& record, const PlaneFactors& whole_days);

// Normals at the middles of the months, such that the lines between them give each month its own mean.
std::vector<double> mid_month_nodes(const std::vector<double>& monthly_means);
// Their line on a day of the year 1 to 366.
double along_year(const std::vector<double>& nodes, int day_of_year);
// Shape of a day's temperature at a solar hour: Erbs, Klein & Beckman 1983; mean 0, range 0.976.
double air_shape(double solar_hour);

extern template class WeatherPlan<float>;
extern template class WeatherPlan<double>;
extern template class ReplayPlan<float>;
extern template class ReplayPlan<double>;

}  // namespace ridethrough::weather
