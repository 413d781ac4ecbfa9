// Weather drawn by the simulation's own lane template, for looking at and for checks.
#include "checks.hpp"
#include "ridethrough/random/purpose.hpp"
#include "ridethrough/random/stream.hpp"
#include "ridethrough/solar/plane.hpp"
#include "ridethrough/weather/climate.hpp"
#include "ridethrough/weather/tables.hpp"

namespace ridethrough::bindings {

namespace {

using V = simd::Pack<double, 8>;
using Draws = std::vector<std::uint64_t>;

struct Arrays {
    double *clearness, *air_mean, *ghi, *beam, *sky, *air;
};

double centre(const config::Configuration& climate, const char* field) {
    const auto* spread = std::get_if<config::Spread>(&climate.at(field));
    return spread ? spread->mean() : climate.number(field);
}

// Draws of V::width trials from `first`, interleaved by lane.
void fill(Draws& draws, std::size_t count, const random::SeedSequence& key, std::uint64_t first) {
    draws.resize(count * V::width);
    for (std::size_t lane = 0; lane < V::width; ++lane) {
        random::Stream stream(key, first + lane);
        for (std::size_t i = 0; i < count; ++i) draws[i * V::width + lane] = stream.next();
    }
}

void store_hours(const weather::HourlyWeather<V>& hours, int lane, std::size_t day, const Arrays& out) {
    for (std::size_t h = 0; h < 24; ++h) {
        out.ghi[day * 24 + h] = hours.ghi[h].lane(lane);
        out.beam[day * 24 + h] = hours.beam[h].lane(lane);
        out.sky[day * 24 + h] = hours.sky[h].lane(lane);
        out.air[day * 24 + h] = hours.air[h].lane(lane);
    }
}

void generate(const weather::WeatherView<double>& w, const weather::WeatherInputs<V>& in, int trials,
              std::uint64_t seed, const Arrays& out) {
    const random::SeedSequence clearness_key(seed, random::purpose("weather.clearness"));
    const random::SeedSequence temperature_key(seed, random::purpose("weather.temperature"));
    const random::SeedSequence cloud_key(seed, random::purpose("weather.cloud"));
    const auto days = static_cast<std::size_t>(w.days);
    Draws clear, warm, cloud;
    std::vector<V> k(days), mean(days);
    weather::HourlyWeather<V> hours;
    for (int first = 0; first < trials; first += V::width) {
        fill(clear, days, clearness_key, static_cast<std::uint64_t>(first));
        fill(warm, days, temperature_key, static_cast<std::uint64_t>(first));
        fill(cloud, days * 24, cloud_key, static_cast<std::uint64_t>(first));
        weather::daily_weather(w, in, clear.data(), warm.data(), k.data(), mean.data());
        for (std::size_t d = 0; d < days; ++d) {
            const std::size_t before = d > 0 ? d - 1 : d, after = d + 1 < days ? d + 1 : d;
            weather::hourly_weather(w, static_cast<int>(d), k[d], mean[before], mean[d], mean[after],
                                    cloud.data() + d * 24 * V::width, hours);
            for (int lane = 0; lane < V::width && first + lane < trials; ++lane) {
                const std::size_t day = static_cast<std::size_t>(first + lane) * days + d;
                out.clearness[day] = k[d].lane(lane);
                out.air_mean[day] = mean[d].lane(lane);
                store_hours(hours, lane, day, out);
            }
        }
    }
}

py::dict generate_weather(const config::ConfigurationPtr& climate, int first_day, int days, int trials,
                          std::uint64_t seed, double utc_offset_h, double tilt_deg, double azimuth_deg, double albedo) {
    if (!(days >= 1 && days <= 3660)) throw base::InputError("days = " + std::to_string(days) + ": allowed 1 to 3660");
    if (!(trials >= 1 && trials <= 10000000))
        throw base::InputError("trials = " + std::to_string(trials) + ": allowed 1 to 10000000");
    const auto skies =
        weather::sky_days(first_day, days, climate->number("latitude"), climate->number("longitude"), utc_offset_h);
    const weather::WeatherPlan<double> plan(*climate, skies,
                                            solar::plane_factors(skies, {tilt_deg, azimuth_deg}, albedo));
    const weather::WeatherInputs<V> in{V(centre(*climate, "clearness_lag1")), V(climate->number("air_temp_lag1")),
                                       V(centre(*climate, "ghi_scale")), V(centre(*climate, "air_temp_offset_k"))};
    const std::vector<py::ssize_t> daily = {trials, days}, hourly = {trials, days, 24};
    Numbers clearness(daily), air_mean(daily), ghi(hourly), beam(hourly), sky(hourly), air(hourly);
    const Arrays arrays{clearness.mutable_data(), air_mean.mutable_data(), ghi.mutable_data(),
                        beam.mutable_data(),      sky.mutable_data(),      air.mutable_data()};
    {
        py::gil_scoped_release release;  // nothing below touches Python; the plan is a copy
        generate(plan.view(), in, trials, seed, arrays);
    }
    py::dict out;
    out["clearness"] = clearness;
    out["air_mean_c"] = air_mean;
    out["ghi_w_m2"] = ghi;
    out["beam_w_m2"] = beam;
    out["sky_w_m2"] = sky;
    out["air_temp_c"] = air;
    return out;
}

}  // namespace

}  // namespace ridethrough::bindings

void bind_weather(py::module_& m) {
    using namespace ridethrough;
    using namespace ridethrough::bindings;
    m.def("generate_weather", &generate_weather, py::arg("climate"), py::arg("first_day"), py::arg("days"),
          py::arg("trials"), py::arg("seed") = 1, py::kw_only(), py::arg("utc_offset_h"), py::arg("tilt_deg") = 0.0,
          py::arg("azimuth_deg") = 180.0, py::arg("albedo") = 0.2,
          "Weather as the simulation draws it: daily arrays (trials, days), hourly ones (trials, days, 24); spreads "
          "are taken at their mean. Days count from 1970-01-01.");
    m.def(
        "mean_clearness", [](const config::ConfigurationPtr& c) { return to_array(weather::mean_clearness(*c)); },
        py::arg("climate"), "Mean clearness of each month; 0 where it is dark.");
    m.def(
        "clearness_spread", [](const config::ConfigurationPtr& c) { return to_array(weather::clearness_spread(*c)); },
        py::arg("climate"), "By month, how many times as far as learned the days lie from their mean.");
    m.def(
        "clearness_temp_corr",
        [](const config::ConfigurationPtr& c) { return to_array(weather::clearness_temp_corr(*c)); },
        py::arg("climate"));
    m.def(
        "air_temp_sd_c", [](const config::ConfigurationPtr& c) { return to_array(weather::air_temp_sd_c(*c)); },
        py::arg("climate"));
}
