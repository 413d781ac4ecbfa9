#include "bindings.hpp"

using ridethrough::base::InputError;
using ridethrough::config::Series;

namespace {

// A value that was written as Python writes it; the text itself where that can't be read back.
py::object read_value(const std::string& text) {
    if (text.empty()) return py::none();
    try {
        return py::module_::import("ast").attr("literal_eval")(text);
    } catch (const py::error_already_set&) {
        return py::str(text);
    }
}

// The Python exception with the facts as attributes.
void set_input_error(const InputError& error) {
    const ridethrough::base::Fault& facts = error.facts();
    const py::object type = py::module_::import("ridethrough._core").attr("InputError");
    const py::object made = type(error.what());
    made.attr("path") = facts.path.substr(0, facts.path.find(" ("));  // without the month's name
    made.attr("value") = read_value(facts.value);
    made.attr("allowed") = facts.allowed.empty() ? facts.choices : facts.allowed;
    made.attr("hint") = facts.hint;
    const py::object meant = read_value(facts.suggestion);  // a name stands there with or without quotes
    made.attr("suggestion") = py::isinstance<py::str>(meant) ? meant : py::object(py::str(facts.suggestion));
    PyErr_SetObject(type.ptr(), made.ptr());
}

}  // namespace

void bind_base(py::module_& m) {
    m.attr("VERSION") = RIDETHROUGH_VERSION;  // of the package: its metadata take long to read
    auto error = py::register_exception<InputError>(m, "InputError", PyExc_ValueError);
    error.attr("__module__") = "ridethrough";
    for (const char* fact : {"path", "allowed", "suggestion", "hint"}) error.attr(fact) = "";
    error.attr("value") = py::none();
    py::register_exception_translator([](std::exception_ptr raised) {  // before the one just registered
        try {
            if (raised) std::rethrow_exception(raised);
        } catch (const InputError& wrong) {
            set_input_error(wrong);
        }
    });

    py::class_<Series, std::shared_ptr<Series>>(m, "WeatherSeries", "Hourly weather, kept by reference.")
        .def_property_readonly("digest", &Series::digest, "64-bit fingerprint of all values.")
        .def(
            "__eq__", [](const Series& a, const Series& b) { return a.digest() == b.digest(); }, py::is_operator())
        .def("__hash__", &Series::digest)
        .def("__repr__", &Series::text);

    ridethrough::bindings::bind_spread(m);
    ridethrough::bindings::bind_schema(m);
    ridethrough::bindings::bind_configuration(m);
}
