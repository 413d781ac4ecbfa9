// Distributions of daily clearness.
#include "ridethrough/weather/clearness.hpp"

#include "checks.hpp"
#include "ridethrough/weather/clear_sky.hpp"

void bind_clearness(py::module_& m) {
    using namespace ridethrough::weather;
    namespace rb = ridethrough::bindings;
    m.def("bendt_gamma", &bendt_gamma, py::arg("mean"),
          "Exponent of the distribution of daily clearness that has this mean (Bendt et al. 1981, Huget 1985).");
    m.def(
        "bendt_cdf",
        [](double mean, const rb::Numbers& k) {
            const auto range = clearness_range(mean);
            const double gamma = bendt_gamma(mean);
            return rb::map(k, [&](double x) { return bendt_cdf(x, gamma, range); });
        },
        py::arg("mean"), py::arg("clearness"));
    m.def(
        "bendt_quantile",
        [](double mean, const rb::Numbers& u) {
            const auto range = clearness_range(mean);
            const double gamma = bendt_gamma(mean);
            return rb::map(u, [&](double x) { return bendt_quantile(x, gamma, range); });
        },
        py::arg("mean"), py::arg("u"));
    m.def(
        "bendt_table", [](double mean) { return rb::to_array(bendt_table(mean)); }, py::arg("mean"),
        "Daily clearness at 1001 normal scores from -6.25 to 6.25, after Bendt et al.");
    m.def(
        "haurwitz_w_m2", [](const rb::Numbers& sin_altitude) { return rb::map(sin_altitude, haurwitz_w_m2); },
        py::arg("sin_altitude"), "Global horizontal irradiance of a clear sky.");
    m.def(
        "clearest_days",
        [](double latitude, double altitude_m) { return rb::to_array(clearest_days(latitude, altitude_m)); },
        py::arg("latitude"), py::arg("altitude_m"), "Daily clearness of the months' clearest days.");
    m.def(
        "spread_days",
        [](const std::vector<double>& table, double factor, double clearest) {
            return rb::to_array(spread_days(table, factor, clearest));
        },
        py::arg("table"), py::arg("factor"), py::arg("clearest"),
        "Days at 1001 normal scores, `factor` times as far from their mean.");
    m.def(
        "clearness_table",
        [](double mean, double air_temp_c, double clearest, const py::kwargs& coefficients) {
            LearnedClearness l;
            const std::pair<const char*, double*> all[] = {
                {"dull", &l.dull},       {"clear", &l.clear},
                {"dull_nu", &l.dull_nu}, {"clear_nu", &l.clear_nu},
                {"high", &l.high},       {"high_per_mean", &l.high_per_mean},
                {"low", &l.low},         {"draw_together", &l.draw_together}};
            for (const auto& [name, to] : all)
                if (coefficients.contains(name)) *to = coefficients[name].cast<double>();
            return rb::to_array(clearness_table(mean, air_temp_c, clearest, l));
        },
        py::arg("mean"), py::arg("air_temp_c"), py::arg("clearest") = 1.0,
        "Daily clearness at 1001 normal scores from -6.25 to 6.25: learned, coefficients of their own for the fit.");
}
