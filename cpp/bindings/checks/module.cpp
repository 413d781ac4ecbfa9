#include "checks.hpp"

namespace {

// The core's own exception class, also where a compiler keeps the C++ types of two modules apart.
void as_input_error(std::exception_ptr raised) {
    try {
        std::rethrow_exception(raised);
    } catch (const ridethrough::base::InputError& error) {
        py::set_error(py::module_::import("ridethrough._core").attr("InputError"), error.what());
    }
}

}  // namespace

PYBIND11_MODULE(_checks, m, py::mod_gil_not_used()) {
    m.doc() = "What tests look at inside the core; built with RIDETHROUGH_TESTS only.";
    py::module_::import("ridethrough._core");  // the classes that go in and out
    py::register_local_exception_translator(as_input_error);
    bind_arrays(m);
    bind_beta(m);
    bind_clearness(m);
    bind_draws(m);
    bind_packs(m);
    bind_planes(m);
    bind_walks(m);
    bind_weather(m);
    m.attr("BUILD_TREE") = RIDETHROUGH_BUILD_TREE;  // where the C++ library that goes with it can be installed from
}
