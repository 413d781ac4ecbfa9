// Light on tilted planes and the module's curve, for checks against other libraries.
#include "checks.hpp"
#include "ridethrough/solar/module.hpp"
#include "ridethrough/solar/plane_hours.hpp"
#include "ridethrough/weather/tables.hpp"

namespace ridethrough::bindings {

namespace {

using One = simd::Pack<double, 1>;

solar::SkyModel sky_model(const std::string& option) {
    if (option == "isotropic") return solar::SkyModel::isotropic;
    if (option == "hdkr") return solar::SkyModel::hdkr;
    if (option == "perez") return solar::SkyModel::perez;
    throw base::InputError("sky_model = '" + option + "': allowed 'isotropic', 'hdkr' or 'perez'");
}

double plane_light(const std::string& model, double tilt_deg, double cos_incidence, double cos_zenith, double direct,
                   double diffuse, double i0, double albedo) {
    if (!(cos_zenith > 0))
        throw base::InputError("cos_zenith = " + base::number_text(cos_zenith) + ": allowed above 0");
    const auto n = solar::plane_numbers({std::max(cos_incidence, 0.0), cos_zenith, i0}, tilt_deg, albedo, 1, false);
    const solar::PlaneHour<One> hour{n[0], n[1], n[2], n[3], n[4], n[5], n[6], n[7], n[8], n[9]};
    const auto light = solar::light_on_plane(sky_model(model), hour, One(direct), One(diffuse));
    return light.beam.v + light.sky.v;
}

solar::ModuleState<One> module(double irradiance, double cell_c, double dark_share, double loss_per_k) {
    const One equivalent = solar::equivalent_cell_c(One(cell_c), One(loss_per_k));
    return solar::module_at(One(irradiance), equivalent, One(dark_share));
}

double module_current(double volts, double irradiance, double cell_c, double dark_share, double loss_per_k) {
    return solar::module_current_a(module(irradiance, cell_c, dark_share, loss_per_k), One(volts)).v;
}
double module_most(double irradiance, double cell_c, double dark_share, double loss_per_k) {
    return solar::module_peak(module(irradiance, cell_c, dark_share, loss_per_k)).watts.v;
}
double module_open(double irradiance, double cell_c, double dark_share, double loss_per_k) {
    return solar::module_open_v(module(irradiance, cell_c, dark_share, loss_per_k)).v;
}

std::vector<std::pair<double, double>> aimed(int day_number, double latitude, double longitude, double utc_offset_h,
                                             double set_up_h, double pack_up_h, int aims) {
    const auto day = weather::sky_days(day_number, 1, latitude, longitude, utc_offset_h).front();
    std::vector<std::pair<double, double>> out;
    for (const solar::Plane& p : solar::aimed_planes(day, {set_up_h, pack_up_h, aims, {}}))
        out.emplace_back(p.tilt_deg, p.azimuth_deg);
    return out;
}

}  // namespace

}  // namespace ridethrough::bindings

void bind_arrays(py::module_& m) {
    using namespace ridethrough::bindings;
    m.def("plane_light", &plane_light, py::arg("sky_model"), py::kw_only(), py::arg("tilt_deg"),
          py::arg("cos_incidence"), py::arg("cos_zenith"), py::arg("direct"), py::arg("diffuse"), py::arg("i0"),
          py::arg("albedo") = 0.2,
          "Light on a plane [W/m2] from the horizontal beam and diffuse, without incidence losses. i0: horizontal "
          "extraterrestrial.");
    const auto dark = py::arg("dark_shunt_share") = 0.0,
               loss = py::arg("power_loss_per_k") = ridethrough::solar::kModuleLossPerK;
    m.def("module_current_a", &module_current, py::arg("volts"), py::arg("irradiance_w_m2"), py::arg("cell_c"), dark,
          loss, "Current of the reference module of 36 cells and 100 W at a voltage: De Soto, Klein & Beckman 2006.");
    m.def("module_most_w", &module_most, py::arg("irradiance_w_m2"), py::arg("cell_c"), dark, loss,
          "Its power at the maximum-power point.");
    m.def("module_open_v", &module_open, py::arg("irradiance_w_m2"), py::arg("cell_c"), dark, loss,
          "Its open-circuit voltage.");
    m.def("aimed_planes", &aimed, py::arg("day_number"), py::arg("latitude"), py::arg("longitude"),
          py::arg("utc_offset_h"), py::arg("set_up_h"), py::arg("pack_up_h"), py::arg("aims"),
          "Tilt and azimuth [deg] of a panel that is turned to the Sun some times a day, for each clock hour.");
}
