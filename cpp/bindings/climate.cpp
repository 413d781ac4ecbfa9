// Measured hourly weather.
#include "climate.hpp"

#include "ridethrough/weather/series.hpp"

namespace ridethrough::bindings {

using namespace weather;

namespace {

WeatherSeries make_series(double latitude, double longitude, double utc_offset_h, std::int64_t first_hour,
                          const Numbers& ghi, const Numbers& temperature, const std::optional<Numbers>& dhi, bool wraps,
                          std::vector<std::int32_t> splices) {
    SeriesHours hours{latitude,
                      longitude,
                      utc_offset_h,
                      first_hour,
                      to_vector(ghi),
                      dhi ? to_vector(*dhi) : std::vector<double>{},
                      to_vector(temperature),
                      wraps,
                      std::move(splices)};
    const py::gil_scoped_release released;
    return WeatherSeries(std::move(hours));
}

}  // namespace

void bind_hourly_series(py::module_& m) {
    py::class_<WeatherSeries, config::Series, std::shared_ptr<WeatherSeries>>(
        m, "HourlySeries",
        "Measured hours in order, without gaps. first_hour counts clock hours (at utc_offset_h) from 1970-01-01 0:00 "
        "to the start of the first hour; without dhi_w_m2 the diffuse part is split off (Erbs, Klein & Duffie 1982).")
        .def(py::init(&make_series), py::kw_only(), py::arg("latitude"), py::arg("longitude"), py::arg("utc_offset_h"),
             py::arg("first_hour"), py::arg("ghi_w_m2"), py::arg("air_temp_c"), py::arg("dhi_w_m2") = py::none(),
             py::arg("wraps") = false, py::arg("splices") = std::vector<std::int32_t>{})
        .def_property_readonly("latitude", [](const WeatherSeries& r) { return r.data().latitude_deg; })
        .def_property_readonly("longitude", [](const WeatherSeries& r) { return r.data().longitude_deg; })
        .def_property_readonly("utc_offset_h", [](const WeatherSeries& r) { return r.data().utc_offset_h; })
        .def_property_readonly("first_hour", [](const WeatherSeries& r) { return r.data().first_hour; })
        .def_property_readonly("hours", &WeatherSeries::hours)
        .def_property_readonly("wraps", [](const WeatherSeries& r) { return r.data().wraps; })
        .def_property_readonly("splices", [](const WeatherSeries& r) { return r.data().splices; })
        .def_property_readonly("ghi_w_m2", [](const WeatherSeries& r) { return to_array(r.data().ghi_w_m2); })
        .def_property_readonly("dhi_w_m2", [](const WeatherSeries& r) { return to_array(r.data().dhi_w_m2); })
        .def_property_readonly("air_temp_c", [](const WeatherSeries& r) { return to_array(r.data().air_temp_c); })
        .def_property_readonly(
            "i0_wh_m2", [](const WeatherSeries& r) { return to_array(r.i0_wh_m2()); },
            "Extraterrestrial irradiation of each hour on the horizontal.")
        .def("starts", &replay_starts, py::arg("first_day"), py::arg("days"), py::arg("utc_offset_h"),
             py::arg("window_d"), "Hours at which a trip of calendar days may begin; days count from 1970-01-01.")
        .def("splices_crossed", &splices_crossed, py::arg("start"), py::arg("hours"))
        .def(py::pickle(
            [](const WeatherSeries& r) {
                const SeriesHours& d = r.data();
                return py::make_tuple(d.latitude_deg, d.longitude_deg, d.utc_offset_h, d.first_hour,
                                      to_array(d.ghi_w_m2), to_array(d.air_temp_c), to_array(d.dhi_w_m2), d.wraps,
                                      d.splices);
            },
            [](const py::tuple& t) {
                return std::make_shared<WeatherSeries>(
                    make_series(t[0].cast<double>(), t[1].cast<double>(), t[2].cast<double>(),
                                t[3].cast<std::int64_t>(), t[4].cast<Numbers>(), t[5].cast<Numbers>(),
                                t[6].cast<Numbers>(), t[7].cast<bool>(), t[8].cast<std::vector<std::int32_t>>()));
            }));
}

}  // namespace ridethrough::bindings

void bind_climate(py::module_& m) {
    namespace rb = ridethrough::bindings;
    rb::bind_sun(m);
    rb::bind_hourly_series(m);
}
