#include "calendar.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/weather/climate.hpp"

namespace ridethrough::trip {
using base::InputError;
using config::Configuration;

void set_clock(const ClockSteps& steps, Tables& tables) {
    Plan& p = tables.plan;
    p.step_h = steps.step_min() / 60.0;
    p.per_day = 24 * 60 / steps.step_min();
    p.days = steps.days();
    p.first_step = steps.first_step();
    p.steps = steps.steps();
    p.sky_lead = steps.sky_lead();
    tables.runs = steps.runs();
    tables.counted = steps.counted();
    if (!steps.one_clock()) tables.sky_hours = steps.sky_hours();
}

void add_dusk_and_dawn(const std::vector<sun::SkyDay>& skies, int first_day, const ClockSteps& steps, Tables& tables) {
    for (int d = 0; d < steps.days(); ++d) {
        sun::SkyDay day = skies[std::min(static_cast<std::size_t>(d), skies.size() - 1)];
        const double offset_h = steps.noon_offset_h(d);
        if (day.day_number != first_day + d || day.utc_offset_h != offset_h)
            day = weather::sky_days(first_day + d, 1, day.latitude_deg, day.longitude_deg, offset_h).front();
        tables.dawn_h.push_back(day.sunrise_h);
        tables.dusk_h.push_back(day.sunset_h < day.sunrise_h ? 24 : day.sunset_h);
    }
}

void add_parts_of_day(const std::vector<sun::SkyDay>& skies, Tables& tables) {
    for (const sun::SkyDay& day : skies)
        for (int h = 0; h < 24; ++h) {
            const double clock = h + day.solar_minus_clock_h;
            const double begin = clock - 24 * std::floor(clock / 24);
            tables.morning.push_back(std::clamp(10 - begin, 0.0, 1.0));
            tables.afternoon.push_back(std::clamp(begin + 1 - 14, 0.0, 1.0));
        }
}

void set_places(const std::vector<Place>& places, const std::vector<PlaceParameters>& parameters, int days,
                Tables& tables) {
    for (std::size_t i = 0; i < places.size(); ++i)
        for (int d = 0; d < places[i].days; ++d) {
            tables.stop_lag.push_back(parameters[i].lag);
            tables.stop_scale.push_back(parameters[i].scale);
            tables.stop_air_lag1.push_back(places[i].climate->number("air_temp_lag1"));
            tables.stop_air_offset.push_back(parameters[i].air_offset);
        }
    for (const std::size_t place : places_by_hour(places, days)) {
        tables.stop_shade.push_back(parameters[place].shade_beam);
        tables.stop_shade.push_back(parameters[place].shade_sky);
    }
}

void make_sky_tables(const std::vector<Place>& places, const std::vector<sun::SkyDay>& skies, const Configuration& van,
                     const Configuration& trip, const ClockSteps& steps, Tables& tables) {
    const solar::Horizon horizon{trip.numbers("horizon_deg")};
    std::vector<solar::PlaneNumbers> planes;
    if (tables.plan.replay) {
        const Configuration& site = *places.front().site;
        const auto record = weather::weather_series_of(*places.front().climate);
        std::vector<double> ahead_h;
        ahead_h.reserve(static_cast<std::size_t>(steps.parts()));
        for (int part = 0; part < steps.parts(); ++part)
            ahead_h.push_back(steps.utc_offset_h() - record->data().utc_offset_h + steps.ahead_h(part));
        const auto factors = solar::series_planes(*record, van, site.number("latitude"), site.number("albedo"), horizon,
                                                  ahead_h, planes);
        tables.in_double.replay.emplace(*record, factors);
        tables.in_single.replay.emplace(*record, factors);
    } else {
        const auto factors = place_planes(places, skies, van, horizon, steps, planes);
        tables.in_double.weather.emplace(climates_of(places), skies, factors);
        tables.in_single.weather.emplace(*tables.in_double.weather);
    }
    for (std::size_t i = 0; i < planes.size(); ++i)
        if (tables.arrays[i].portable)
            tables.arrays[i].part_numbers = static_cast<int>(planes[i].size()) / steps.parts();
    for (const solar::PlaneNumbers& p : planes) {
        tables.in_double.planes.emplace_back(p.begin(), p.end());
        tables.in_single.planes.emplace_back(p.begin(), p.end());
    }
}

std::vector<std::int32_t> starts_in_series(const std::vector<Place>& places, const Configuration& trip, int first_day,
                                           int sky_days, double utc_offset_h, int& over_a_splice) {
    if (places.size() > 1)
        throw InputError({.path = "Trip.weather",
                          .value = "\"replayed\"",
                          .allowed = "for a trip to one place, as one record has one place"});
    const auto record = weather::weather_series_of(*places.front().climate);
    if (!record)
        throw InputError({.path = "Trip.weather",
                          .value = "\"replayed\"",
                          .reason = "the climate has no record; make it with Climate.from_hourly"});
    auto starts = weather::replay_starts(*record, first_day, sky_days, utc_offset_h,
                                         static_cast<int>(trip.number("replay_window_d")));
    for (auto start : starts) over_a_splice += weather::splices_crossed(*record, start, 24 * sky_days) > 0;
    return starts;
}

}  // namespace ridethrough::trip
