#include "bindings.hpp"
#include "ridethrough/trip/registry.hpp"

namespace ridethrough::bindings {

using namespace config;

void bind_schema(py::module_& m) {
    static constexpr const char* types[] = {"number",   "integer", "flag",  "choice", "text", "numbers",
                                            "bearings", "part",    "parts", "series", "days"};
    py::class_<Field>(m, "Field", "Declaration of one parameter.")
        .def_readonly("name", &Field::name)
        .def_readonly("unit", &Field::unit, "'' for a pure number.")
        .def_property_readonly("type", [](const Field& f) { return types[static_cast<std::size_t>(f.type)]; })
        .def_property_readonly(
            "variation", [](const Field& f) { return name_of(f.variation); },
            "How often it may vary: 'fixed', 'trial', 'day' or 'hour'.")
        .def_readonly("low", &Field::low)
        .def_readonly("high", &Field::high)
        .def_property_readonly(
            "default_value", [](const Field& f) { return to_python(f, f.default_value); },
            "The default; None also where there is none.")
        .def_property_readonly(
            "required",
            [](const Field& f) { return std::holds_alternative<std::monostate>(f.default_value) && !f.optional; })
        .def_readonly("optional", &Field::optional, "May be None.")
        .def_property_readonly(
            "source", [](const Field& f) { return f.source ? f.source->text() : ""; },
            "Where the default comes from, in words; '' where there is none.")
        .def_property_readonly(
            "provenance", [](const Field& f) { return f.source ? name_of(f.source->provenance) : ""; },
            "Of the default: 'published', 'practice' (common practice, no source), 'unverified' (from memory) or "
            "'assumption' (own choice); '' where there is none.")
        .def_property_readonly(
            "weak", [](const Field& f) { return f.source && f.source->is_weak; },
            "Whether the default is weak even for its provenance.")
        .def_readonly("doc", &Field::doc)
        .def_property_readonly("allowed", allowed_text, "Its range with the unit, or what else it may be, in words.")
        .def_property_readonly(
            "choices", [](const Field& f) { return py::tuple(py::cast(f.choices)); },
            "Options of a choice; names of the classes that a part may have.")
        .def_readonly("size", &Field::size, "Count of numbers, 0 for any.")
        .def_readonly("only_of", &Field::only_of, "The list whose only member it is, '' for a field of its own.")
        .def_property_readonly(
            "draw_name", [](const Field& f) { return f.draw_name.empty() ? f.name : f.draw_name; },
            "The last part of the name under which it is drawn; that of its first version.")
        .def_readonly("former_name", &Field::former_name, "'' where it was never renamed.")
        .def("__repr__", [](const Field& f) { return "<Field " + f.name + ">"; });

    py::class_<Schema>(m, "Schema", "Declaration of one configuration class.")
        .def_readonly("name", &Schema::name)
        .def_readonly("doc", &Schema::doc)
        .def_readonly("former_name", &Schema::former_name, "'' where it was never renamed.")
        .def_property_readonly("fields",
                               [](const Schema& s) {
                                   py::list out;
                                   for (const Field& f : s.fields)
                                       out.append(py::cast(f, py::return_value_policy::reference));
                                   return py::tuple(out);
                               })
        .def_property_readonly(
            "singulars",
            [](const Schema& s) {
                py::list out;
                for (const Field& f : s.singulars) out.append(py::cast(f, py::return_value_policy::reference));
                return py::tuple(out);
            },
            "Second names of lists, for their only member: `solar` of `arrays`.")
        .def("field", &Schema::field, py::arg("name"), py::return_value_policy::reference)
        .def_property_readonly(
            "moved",
            [](const Schema& s) {
                py::dict out;
                for (const Moved& one : s.moved) out[py::str(one.name)] = py::make_tuple(one.now, one.file_example);
                return out;
            },
            "Fields that are no more, by name: what says it now, and an example for a scenario file.")
        .def("__repr__", [](const Schema& s) { return "<Schema " + s.name + ">"; });

    m.def(
        "schemas",
        [] {
            py::list out;
            for (const Schema* s : trip::all_schemas()) out.append(py::cast(s, py::return_value_policy::reference));
            return py::tuple(out);
        },
        "All declarations, one for each configuration class.");
    m.def(
        "nearest_name",
        [](const std::string& wrong, const std::vector<std::string>& names) { return nearest_name(wrong, names); },
        py::arg("wrong"), py::arg("names"), "The closest of names, '' where none is near.");
}

}  // namespace ridethrough::bindings
