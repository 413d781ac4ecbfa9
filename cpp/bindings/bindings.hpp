// What the binders of all layers share. A function bound to Python takes and returns config::ConfigurationPtr as it
// stands: in Python it is an instance of the class named by its schema. A WeatherSeries is held by shared_ptr.
#pragma once

#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include <cstring>
#include <new>

#include "ridethrough/config/configuration.hpp"

namespace py = pybind11;

void bind_base(py::module_& m);
void bind_cautions(py::module_& m);
void bind_forecast(py::module_& m);
void bind_clock(py::module_& m);
void bind_random(py::module_& m);
void bind_results(py::module_& m);
void bind_climate(py::module_& m);
void bind_estimate(py::module_& m);
void bind_trip(py::module_& m);

namespace ridethrough::bindings {

// The Python object behind every configuration class.
struct ConfigurationObject {
    config::ConfigurationPtr configuration;

    // Python can hold an object whose construction failed (a traceback that prints `self`). pybind11 then allocates
    // without constructing: zeroed memory is a null pointer, which is refused here.
    static void* operator new(std::size_t size) { return std::memset(::operator new(size), 0, size); }
    static void* operator new(std::size_t, void* place) { return place; }
    static void operator delete(void* p) { ::operator delete(p); }

    const config::Configuration& get() const {
        if (!configuration) throw py::type_error("this configuration was never constructed");
        return *configuration;
    }
};

void bind_spread(py::module_& m);  // parts of bind_base
void bind_schema(py::module_& m);
void bind_configuration(py::module_& m);

bool load_configuration(py::handle source,
                        config::ConfigurationPtr& out);               // false where `source` is not a Configuration
py::object to_python(const config::ConfigurationPtr& configuration);  // None for a null pointer
py::object to_python(const config::Field& field, const config::Value& value);
// Values of the schema's fields; an InputError names the field that a Python object does not fit.
config::Values to_values(const config::Schema& schema, const py::dict& given);

}  // namespace ridethrough::bindings

namespace pybind11::detail {
template <>
struct type_caster<ridethrough::config::ConfigurationPtr> {
    PYBIND11_TYPE_CASTER(ridethrough::config::ConfigurationPtr, const_name("Configuration"));
    bool load(handle source, bool) { return ridethrough::bindings::load_configuration(source, value); }
    static handle cast(const ridethrough::config::ConfigurationPtr& configuration, return_value_policy, handle) {
        return ridethrough::bindings::to_python(configuration).release();
    }
};
}  // namespace pybind11::detail
