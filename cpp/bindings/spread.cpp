#include <pybind11/operators.h>

#include "bindings.hpp"

namespace ridethrough::bindings {

using namespace config;

namespace {

constexpr const char* kShapes[] = {"uniform", "triangular", "pert", "normal", "discrete"};

std::optional<Variation> variation_named(const std::optional<std::string>& name) {
    if (!name) return {};
    for (const Variation variation : {Variation::trial, Variation::day, Variation::hour})
        if (*name == name_of(variation)) return variation;
    throw InputError({.path = "per", .value = quoted(*name), .allowed = "'trial', 'day' or 'hour'"});
}

using Per = std::optional<std::string>;

Spread make_spread(const std::string& shape, const py::tuple& n, const Per& per_name) {
    const auto per = variation_named(per_name);
    const auto number = [&](std::size_t i) { return py::cast<double>(n[i]); };
    if (shape == "uniform") return Spread::uniform(number(0), number(1), per);
    if (shape == "triangular") return Spread::triangular(number(0), number(1), number(2), per);
    if (shape == "pert") return Spread::pert(number(0), number(1), number(2), per);
    if (shape == "normal") return Spread::normal(number(0), number(1), per);
    return Spread::discrete(py::cast<std::vector<double>>(n[0]), py::cast<std::vector<double>>(n[1]), per);
}

// What the maker of its shape is called with.
py::tuple arguments_of(const Spread& s) {
    py::tuple numbers = py::tuple(py::cast(std::vector<double>(s.numbers().begin(), s.numbers().end())));
    if (s.shape() != Spread::Shape::discrete) return numbers;
    return py::make_tuple(numbers, py::tuple(py::cast(std::vector<double>(s.weights().begin(), s.weights().end()))));
}

const char* shape_of(const Spread& s) { return kShapes[static_cast<std::size_t>(s.shape())]; }

Per per_of(const Spread& s) { return s.per() ? Per(name_of(*s.per())) : Per(); }

}  // namespace

void bind_spread(py::module_& m) {
    py::class_<Spread> spread(m, "Spread", "What is not known about a number: a distribution in place of a value.");
    spread.attr("__module__") = "ridethrough";
    spread.def_property_readonly("shape", shape_of, "Name of the maker.")
        .def_property_readonly("arguments", arguments_of, "What the maker was called with.")
        .def_property_readonly("per", per_of, "'trial', 'day', 'hour', or None: as often as its field allows.")
        .def("mean", &Spread::mean, "Mean of the shape before any cut.")
        .def("quantile", &Spread::quantile, py::arg("u"), py::arg("low"), py::arg("high"),
             "Value below which a share u (0 < u < 1) lies; a normal is cut to [low, high] first.")
        .def(py::self == py::self)
        .def("__hash__", [](const Spread& s) { return std::hash<std::string>()(s.text()); })
        .def("__repr__", &Spread::text)
        .def(py::pickle([](const Spread& s) { return py::make_tuple(shape_of(s), arguments_of(s), per_of(s)); },
                        [](const py::tuple& state) {
                            return make_spread(py::cast<std::string>(state[0]), state[1], py::cast<Per>(state[2]));
                        }));

    const auto per = py::arg("per") = py::none();
    m.def(
        "uniform", [](double low, double high, const Per& p) { return Spread::uniform(low, high, variation_named(p)); },
        py::arg("low"), py::arg("high"), py::kw_only(), per, "Equally likely from low to high.");
    m.def(
        "triangular",
        [](double low, double mode, double high, const Per& p) {
            return Spread::triangular(low, mode, high, variation_named(p));
        },
        py::arg("low"), py::arg("mode"), py::arg("high"), py::kw_only(), per,
        "Density rising in a straight line from low to mode and falling to high.");
    m.def(
        "pert",
        [](double low, double mode, double high, const Per& p) {
            return Spread::pert(low, mode, high, variation_named(p));
        },
        py::arg("low"), py::arg("mode"), py::arg("high"), py::kw_only(), per,
        "Beta distribution on [low, high] of mean (low + 4 mode + high) / 6; rounder than the triangular.");
    m.def(
        "normal", [](double mean, double sd, const Per& p) { return Spread::normal(mean, sd, variation_named(p)); },
        py::arg("mean"), py::arg("sd"), py::kw_only(), per, "Normal, cut at the range of the field it is given for.");
    m.def(
        "discrete",
        [](std::vector<double> values, std::vector<double> weights, const Per& p) {
            return Spread::discrete(std::move(values), std::move(weights), variation_named(p));
        },
        py::arg("values"), py::arg("weights"), py::kw_only(), per, "One of the values, as often as its weight says.");
}

}  // namespace ridethrough::bindings
