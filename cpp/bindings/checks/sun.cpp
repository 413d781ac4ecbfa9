// Plane geometry, the diffuse split and the months' extraterrestrial light.
#include "checks.hpp"
#include "ridethrough/solar/plane.hpp"
#include "ridethrough/solar/schemas.hpp"
#include "ridethrough/sun/split.hpp"
#include "ridethrough/weather/tables.hpp"

namespace ridethrough::bindings {

namespace {

py::dict plane(int first_day, int days, double latitude, double longitude, double utc_offset_h, double tilt_deg,
               double azimuth_deg, double albedo, bool modifier) {
    const solar::Plane face{tilt_deg, azimuth_deg};
    const auto skies = weather::sky_days(first_day, days, latitude, longitude, utc_offset_h);
    Numbers beam({static_cast<py::ssize_t>(days), py::ssize_t{24}});
    double* at = beam.mutable_data();
    for (const auto& day : skies) {
        const auto factor = solar::beam_factor(day, face, modifier);
        at = std::copy(factor.begin(), factor.end(), at);
    }
    py::dict out;
    out["beam"] = beam;
    out["sky"] = solar::sky_factor(face, modifier);
    out["ground"] = solar::ground_factor(face, modifier) * albedo;
    return out;
}

}  // namespace

}  // namespace ridethrough::bindings

void bind_planes(py::module_& m) {
    using namespace ridethrough;
    using namespace ridethrough::bindings;
    m.def("plane_factors", &plane, py::arg("first_day"), py::arg("days"), py::arg("latitude"), py::arg("longitude"),
          py::arg("utc_offset_h"), py::arg("tilt_deg") = 0.0, py::arg("azimuth_deg") = 180.0, py::arg("albedo") = 0.2,
          py::arg("modifier") = true, "What a plane receives of the beam, the diffuse and the global light.");
    m.def("mounting_rise_k_per_w_m2", &solar::mounting_rise_k_per_w_m2, py::arg("mounting"),
          "Rise of the cells over the air per W/m2: Ross 1981 with figures of Skoplaki & Palyvos 2009.");
    m.def(
        "diffuse_share",
        [](const Numbers& kt) { return map(kt, [](double k) { return sun::diffuse_share_hourly(k); }); },
        py::arg("hourly_clearness"), "Diffuse share of an hour's light: Erbs, Klein & Duffie 1982.");
    m.def(
        "monthly_h0_wh_m2", [](double latitude) { return to_array(sun::monthly_h0_wh_m2(latitude)); },
        py::arg("latitude"), "Mean daily extraterrestrial irradiation of each month.");
}
