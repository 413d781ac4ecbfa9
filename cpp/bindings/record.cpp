#include "bindings.hpp"
#include "ridethrough/trip/registry.hpp"

namespace ridethrough::bindings {

using namespace config;

namespace {

py::dict values_of(const ConfigurationObject& r) {
    py::dict out;
    for (const Field& f : r.get().schema().fields) out[py::str(f.name)] = to_python(f, r.get().at(f.name));
    return out;
}

py::object attribute(const ConfigurationObject& r, const std::string& name) {
    const Schema& schema = r.get().schema();
    try {
        return to_python(schema.field(name), r.get().at(name));
    } catch (const InputError& error) {
        throw py::attribute_error(error.what());
    }
}

}  // namespace

void bind_record(py::module_& m) {
    py::class_<ConfigurationObject> configuration(m, "Record", "One frozen value of a configuration class.");
    configuration.attr("_classes") = py::dict();  // name of a schema -> its Python class
    configuration
        .def(py::init([](const Schema& schema, const py::dict& values) {
                 return ConfigurationObject{Configuration::make(schema, to_values(schema, values))};
             }),
             py::arg("schema"), py::arg("values"))
        .def(py::init<const ConfigurationObject&>(), py::arg("record"))
        .def_property_readonly(
            "schema", [](const ConfigurationObject& r) { return &r.get().schema(); },
            py::return_value_policy::reference, "Its declaration.")
        .def_property_readonly(
            "digest", [](const ConfigurationObject& r) { return r.get().digest(); },
            "64-bit fingerprint of all values.")
        .def("values", values_of, "All fields by name.")
        .def(
            "replace",
            [](const ConfigurationObject& r, const py::kwargs& changes) {
                return r.get().replace(to_values(r.get().schema(), changes));
            },
            "A copy with some fields changed.")
        .def(
            "warnings", [](const ConfigurationObject& r) { return r.get().warnings(); },
            "What is allowed but probably not meant, here and in the configurations inside.")
        .def("__getattr__", attribute)
        .def("__setattr__",
             [](const ConfigurationObject& r, const std::string& name, const py::object&) {
                 throw py::attribute_error(r.get().schema().name + " is read-only; use replace(" + name + "=...)");
             })
        .def("__delattr__",
             [](const ConfigurationObject& r, const std::string&) {
                 throw py::attribute_error(r.get().schema().name + " is read-only");
             })
        .def("__dir__",
             [](const py::object& self) {
                 py::list out = py::module_::import("builtins").attr("object").attr("__dir__")(self);
                 for (const Field& f : py::cast<const ConfigurationObject&>(self).get().schema().fields)
                     out.append(f.name);
                 return out;
             })
        .def(
            "__eq__", [](const ConfigurationObject& a, const ConfigurationObject& b) { return a.get() == b.get(); },
            py::is_operator())
        .def("__hash__", [](const ConfigurationObject& r) { return r.get().digest(); })
        .def("__repr__", [](const ConfigurationObject& r) { return r.get().repr(); })
        .def("__copy__", [](const py::object& self) { return self; })
        .def(
            "__deepcopy__", [](const py::object& self, const py::dict&) { return self; }, py::arg("memo"))
        .def(
            py::pickle([](const ConfigurationObject& r) { return py::make_tuple(r.get().schema().name, values_of(r)); },
                       [](const py::tuple& state) {
                           const Schema& schema = trip::schema_named(py::cast<std::string>(state[0]));
                           return ConfigurationObject{Configuration::make(schema, to_values(schema, state[1]))};
                       }));
}

}  // namespace ridethrough::bindings
