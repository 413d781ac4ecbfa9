#include <algorithm>

#include "bindings.hpp"
#include "ridethrough/trip/registry.hpp"

namespace ridethrough::bindings {

using namespace config;

namespace {

py::dict values_of(const ConfigurationObject& c) {
    py::dict out;
    for (const Field& f : c.get().schema().fields) out[py::str(f.name)] = to_python(f, c.get().at(f.name));
    return out;
}

// As a pickle keeps it: "default", "given", or the date of the measurement.
py::dict origins_of(const ConfigurationObject& c) {
    py::dict out;
    for (const Field& f : c.get().schema().fields) {
        const Origin& origin = c.get().origin(f.name);
        out[py::str(f.name)] = origin.type == Origin::measured ? origin.date : origin.text();
    }
    return out;
}

Origins to_origins(const py::dict& kept) {
    Origins out;
    for (const auto& [key, value] : kept) {
        const auto text = py::cast<std::string>(value);
        out[py::cast<std::string>(key)] = text == "default" ? Origin{}
                                          : text == "given" ? Origin{Origin::given}
                                                            : Origin{Origin::measured, text};
    }
    return out;
}

py::object attribute(const ConfigurationObject& c, const std::string& name) {
    const Schema& schema = c.get().schema();
    if (std::ranges::find(schema.singulars, name, &Field::name) != schema.singulars.end())
        return to_python(c.get().part(name));  // several are an InputError: the first would pass for the whole
    try {
        return to_python(schema.field(name), c.get().at(name));
    } catch (const InputError& error) {
        throw py::attribute_error(error.what());
    }
}

void bind_origin(py::module_& m) {
    py::class_<Origin>(m, "Origin", "Whether a value is the default, was given, or was given as measured.")
        .def_property_readonly(
            "type",
            [](const Origin& o) {
                return o.type == Origin::by_default ? "default" : o.type == Origin::given ? "given" : "measured";
            },
            "'default', 'given' or 'measured'.")
        .def_readonly("date", &Origin::date, "Of the measurement, '2026-05-01'; else ''.")
        .def(
            "__eq__", [](const Origin& a, const Origin& b) { return a == b; }, py::is_operator())
        .def("__hash__", [](const Origin& o) { return std::hash<std::string>()(o.text()); })
        .def("__str__", &Origin::text)
        .def("__repr__", [](const Origin& o) { return "<Origin " + o.text() + ">"; });
}

}  // namespace

void bind_configuration(py::module_& m) {
    bind_origin(m);
    py::class_<ConfigurationObject> configuration(m, "Configuration", "One frozen value of a configuration class.");
    configuration.attr("_classes") = py::dict();  // name of a schema -> its Python class
    configuration.attr("_parts") = py::reinterpret_borrow<py::object>(reinterpret_cast<PyObject*>(&PyTuple_Type));
    configuration
        .def(py::init([](const Schema& schema, const py::dict& values) {
                 return ConfigurationObject{Configuration::make(schema, to_values(schema, values))};
             }),
             py::arg("schema"), py::arg("values"))
        .def(py::init<const ConfigurationObject&>(), py::arg("configuration"))
        .def_property_readonly(
            "schema", [](const ConfigurationObject& c) { return &c.get().schema(); },
            py::return_value_policy::reference, "Its declaration.")
        .def_property_readonly(
            "digest", [](const ConfigurationObject& c) { return c.get().digest(); },
            "64-bit fingerprint of all values.")
        .def("values", values_of, "All fields by name.")
        .def(
            "paths_of", [](const ConfigurationObject& c, const std::string& list) { return c.get().paths_of(list); },
            py::arg("list"),
            "Path of each member of a list: by its name, or by its place counted from 1 where it has none of its own.")
        .def(
            "replace",
            [](const ConfigurationObject& c, const py::kwargs& changes) {
                return c.get().replace(to_values(c.get().schema(), changes));
            },
            "A copy with some fields changed.")
        .def(
            "origin", [](const ConfigurationObject& c, const std::string& field) { return c.get().origin(field); },
            py::arg("field"), "Whether a field's value is the default, was given, or was given as measured.")
        .def(
            "with_measured",
            [](const ConfigurationObject& c, const py::dict& values, const std::string& date) {
                return c.get().with_measured(to_values(c.get().schema(), values), date);
            },
            py::arg("values"), py::arg("date"), "A copy with numbers that were measured on a day, '2026-05-01'.")
        .def(
            "warnings", [](const ConfigurationObject& c) { return c.get().warnings(); },
            "What is allowed but probably not meant, here and in the parts inside.")
        .def("__getattr__", attribute)
        .def("__setattr__",
             [](const ConfigurationObject& c, const std::string& name, const py::object&) {
                 throw py::attribute_error(c.get().schema().name + " is read-only; use replace(" + name + "=...)");
             })
        .def("__delattr__",
             [](const ConfigurationObject& c, const std::string&) {
                 throw py::attribute_error(c.get().schema().name + " is read-only");
             })
        .def("__dir__",
             [](const py::object& self) {
                 py::list out = py::module_::import("builtins").attr("object").attr("__dir__")(self);
                 const Schema& schema = py::cast<const ConfigurationObject&>(self).get().schema();
                 for (const auto* fields : {&schema.fields, &schema.singulars})
                     for (const Field& f : *fields) out.append(f.name);
                 return out;
             })
        .def(
            "__eq__", [](const ConfigurationObject& a, const ConfigurationObject& b) { return a.get() == b.get(); },
            py::is_operator())
        .def("__hash__", [](const ConfigurationObject& c) { return c.get().digest(); })
        .def("__repr__", [](const ConfigurationObject& c) { return c.get().repr(); })
        .def("__copy__", [](const py::object& self) { return self; })
        .def(
            "__deepcopy__", [](const py::object& self, const py::dict&) { return self; }, py::arg("memo"))
        .def(py::pickle(
            [](const ConfigurationObject& c) {
                return py::make_tuple(c.get().schema().name, values_of(c), origins_of(c));
            },
            [](const py::tuple& state) {
                const Schema& schema = trip::schema_named(py::cast<std::string>(state[0]));
                return ConfigurationObject{
                    Configuration::make(schema, to_values(schema, state[1]), to_origins(state[2]))};
            }));
}

}  // namespace ridethrough::bindings
