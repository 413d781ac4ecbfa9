#include <algorithm>
#include <cmath>

#include "ridethrough/forecast/posterior.hpp"
#include "ridethrough/random/draws.hpp"
#include "ridethrough/random/purpose.hpp"
#include "ridethrough/random/stream.hpp"

namespace ridethrough::forecast {

namespace {

// Day, counted from that of the start, in which an hour from the start falls; `start_hour` is of the clock that counts.
int day_of(double start_hour, double hour) { return static_cast<int>(std::floor((start_hour + hour) / 24)); }

bool of_days(const std::string& purpose) { return purpose == "weather.clearness" || purpose == "weather.temperature"; }

}  // namespace

std::vector<int> split_days(const trip::CompiledTrip& compiled, double now_h) {
    const double ahead = compiled.sky_utc_offset_h() - compiled.utc_offset_h();
    // The sky's first day is that of its clock at the start.
    const double sky_start = compiled.start_hour() + ahead - 24 * std::floor((compiled.start_hour() + ahead) / 24);
    const int after = day_of(compiled.start_hour(), now_h) + 1, sky_after = day_of(sky_start, now_h) + 1;
    std::vector<int> days;
    for (const std::string& name : engine::purposes(compiled))
        days.push_back(of_days(name) ? sky_after + 1 : name.starts_with("weather.") ? sky_after : after);
    return days;
}

base::Table<double> future_scores(const trip::CompiledTrip& compiled, const base::Table<double>& scores, double now_h,
                                  std::uint64_t seed, int futures) {
    const std::vector<engine::Coordinate> where = engine::coordinates(compiled);
    const auto columns = static_cast<std::ptrdiff_t>(where.size());
    const std::vector<int> split = split_days(compiled, now_h);
    const std::vector<std::string> purposes = engine::purposes(compiled);
    const auto place = [&](const std::string& name) {
        return static_cast<std::size_t>(std::find(purposes.begin(), purposes.end(), name) - purposes.begin());
    };
    const int after = day_of(compiled.start_hour(), now_h) + 1;
    std::vector<std::ptrdiff_t> drawn;
    for (std::ptrdiff_t i = 0; i < columns; ++i) {
        const engine::Coordinate& c = where[static_cast<std::size_t>(i)];
        if (c.day && *c.day >= (of_days(c.name) ? split[place(c.name)] : after)) drawn.push_back(i);
    }
    const random::SeedSequence keys(seed, random::purpose("forecast.futures"));
    base::Table<double> out(scores.rows() * futures, columns);
    for (std::ptrdiff_t row = 0; row < out.rows(); ++row) {
        out.row(row) = scores.row(row / futures);
        random::Stream stream(keys, static_cast<std::uint64_t>(row));
        for (const std::ptrdiff_t i : drawn) out(row, i) = base::inverse_normal(random::uniform(stream.next()));
    }
    return out;
}

base::Table<std::int64_t> future_numbers(const base::Table<std::int64_t>& numbers, int futures) {
    const std::int64_t first = numbers.size() ? numbers.maxCoeff() + 1 : 0;
    base::Table<std::int64_t> out(numbers.rows() * futures, numbers.cols());
    for (std::ptrdiff_t row = 0; row < out.rows(); ++row) out.row(row).setConstant(first + row);
    return out;
}

}  // namespace ridethrough::forecast
