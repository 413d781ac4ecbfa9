// Sun and sky, and the year's temperature.
#include "climate.hpp"
#include "ridethrough/sun/calendar.hpp"
#include "ridethrough/sun/position.hpp"
#include "ridethrough/weather/tables.hpp"

namespace ridethrough::bindings {

namespace {

using Hours = std::array<double, 24>;

Numbers table(std::span<const sun::SkyDay> days, Hours sun::SkyDay::* member) {
    Numbers out({static_cast<py::ssize_t>(days.size()), py::ssize_t{24}});
    double* at = out.mutable_data();
    for (const auto& day : days) at = std::copy((day.*member).begin(), (day.*member).end(), at);
    return out;
}

Numbers column(std::span<const sun::SkyDay> days, double sun::SkyDay::* member) {
    Numbers out(static_cast<py::ssize_t>(days.size()));
    std::transform(days.begin(), days.end(), out.mutable_data(), [&](const auto& day) { return day.*member; });
    return out;
}

py::dict sky(int first_day, int days, double latitude, double longitude, double utc_offset_h) {
    if (!(days >= 0 && days <= 100'000))
        throw base::InputError({.path = "days", .value = std::to_string(days), .allowed = "0 to 100000"});
    if (!(std::abs(latitude) <= 90 && std::abs(longitude) <= 180 && std::abs(utc_offset_h) <= 14))
        throw base::InputError(
            {.path = "place", .reason = "latitude -90 to 90, longitude -180 to 180 and utc_offset_h -14 to 14 only"});
    const auto skies = weather::sky_days(first_day, days, latitude, longitude, utc_offset_h);
    py::dict out;
    out["i0_wh_m2"] = table(skies, &sun::SkyDay::i0_wh_m2);
    out["mean_sin_altitude"] = table(skies, &sun::SkyDay::mean_sin_altitude);
    out["up_fraction"] = table(skies, &sun::SkyDay::up_fraction);
    out["profile"] = table(skies, &sun::SkyDay::profile);
    out["h0_wh_m2"] = column(skies, &sun::SkyDay::h0_wh_m2);
    out["sunrise_h"] = column(skies, &sun::SkyDay::sunrise_h);
    out["sunset_h"] = column(skies, &sun::SkyDay::sunset_h);
    out["solar_minus_clock_h"] = column(skies, &sun::SkyDay::solar_minus_clock_h);
    return out;
}

py::tuple position(const Numbers& utc_hours, double latitude, double longitude) {
    const auto at = [&](double hours) {
        const double day = std::floor(hours / 24);
        return sun::sun_position(static_cast<int>(day), hours - 24 * day, latitude, longitude);
    };
    return py::make_tuple(map(utc_hours, [&](double h) { return at(h).cos_zenith; }),
                          map(utc_hours, [&](double h) { return at(h).azimuth_deg; }),
                          map(utc_hours, [&](double h) { return at(h).distance_factor; }));
}

}  // namespace

void bind_sun(py::module_& m) {
    m.attr("USUAL_START_HOUR") = sun::kUsualStartHour;
    m.def("sky_days", &sky, py::arg("first_day"), py::arg("days"), py::arg("latitude"), py::arg("longitude"),
          py::arg("utc_offset_h"),
          "Hour by clock hour, what the Sun gives without an atmosphere, in arrays of (days, 24); days count from "
          "1970-01-01.");
    m.def("sun_position", &position, py::arg("utc_hours"), py::arg("latitude"), py::arg("longitude"),
          "Cosine of zenith, azimuth [deg from north], distance factor at hours from 1970-01-01 0:00 UTC "
          "(Michalsky 1988).");
    m.def(
        "day_number", [](int year, int month, int day) { return sun::day_number({year, month, day}); }, py::arg("year"),
        py::arg("month"), py::arg("day"), "Days from 1970-01-01.");
    m.def(
        "air_shape",
        [](const Numbers& solar_hours) { return map(solar_hours, [](double t) { return weather::air_shape(t); }); },
        py::arg("solar_hour"), "Shape of a day's temperature, mean 0: Erbs, Klein & Beckman 1983.");
    m.def("mid_month_nodes", &weather::mid_month_nodes, py::arg("monthly_means"),
          "Values at mid-months such that the lines between them keep each month's mean.");
    m.def(
        "along_year",
        [](const std::vector<double>& nodes, const Numbers& day_of_year) {
            return map(day_of_year, [&](double d) { return weather::along_year(nodes, static_cast<int>(d)); });
        },
        py::arg("nodes"), py::arg("day_of_year"));
}

}  // namespace ridethrough::bindings
