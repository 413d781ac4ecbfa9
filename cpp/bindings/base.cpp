#include "bindings.hpp"

using ridethrough::base::InputError;
using ridethrough::config::Series;

void bind_base(py::module_& m) {
    py::register_exception<InputError>(m, "InputError", PyExc_ValueError).attr("__module__") = "ridethrough";

    py::class_<Series, std::shared_ptr<Series>>(m, "WeatherSeries", "Hourly weather, kept by reference.")
        .def_property_readonly("digest", &Series::digest, "64-bit fingerprint of all values.")
        .def(
            "__eq__", [](const Series& a, const Series& b) { return a.digest() == b.digest(); }, py::is_operator())
        .def("__hash__", &Series::digest)
        .def("__repr__", &Series::text);

    ridethrough::bindings::bind_spread(m);
    ridethrough::bindings::bind_schema(m);
    ridethrough::bindings::bind_record(m);
}
