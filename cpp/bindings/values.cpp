// Values of the core as Python objects and back.
#include <algorithm>

#include "bindings.hpp"

namespace ridethrough::bindings {

using namespace config;

namespace {

[[noreturn]] void refuse(const Schema& schema, const Field& field, py::handle value) {
    py::str whole = py::repr(value);
    if (py::len(whole) > 80)  // letters, of which each may be several bytes
        whole = py::str(py::object(whole[py::slice(0, 77, 1)])) + py::str("...");
    const auto shown = py::cast<std::string>(whole);
    std::string hint;
    if (field.type == FieldType::text && py::hasattr(value, "strftime"))  // a date without quotes
        hint = "write '" + py::cast<std::string>(py::str(value.attr("strftime")("%Y-%m-%d %H:%M"))) + "', as text";
    throw_out_of_range(schema.name, field, shown, hint);
}

// NumPy's scalars and fractions count as numbers; a bool does not.
bool is_number(py::handle value) {
    if (PyFloat_Check(value.ptr()) || PyLong_CheckExact(value.ptr())) return true;
    return !PyBool_Check(value.ptr()) && py::isinstance(value, py::module_::import("numbers").attr("Real"));
}

// NumPy's bool is no subclass of Python's.
bool is_flag(py::handle value) {
    const auto name = py::cast<std::string>(py::type::of(value).attr("__name__"));
    return PyBool_Check(value.ptr()) || name == "bool" || name == "bool_";
}

double to_number(const Schema& schema, const Field& field, py::handle value) {
    if (!is_number(value)) refuse(schema, field, value);
    const double x = PyFloat_AsDouble(value.ptr());
    if (x == -1 && PyErr_Occurred()) {  // an int too large for a double
        PyErr_Clear();
        refuse(schema, field, value);
    }
    return x;
}

template <class Item, class Read>
std::vector<Item> to_list(const Schema& schema, const Field& field, py::handle value, Read read) {
    if (py::isinstance<py::str>(value) || !py::isinstance<py::sequence>(value)) refuse(schema, field, value);
    std::vector<Item> out;
    for (const py::handle item : value) out.push_back(read(item));
    return out;
}

// Pairs, or a dict of named points of the compass.
std::vector<double> to_bearings(const Schema& schema, const Field& field, py::handle value) {
    static const std::vector<std::string> points{"N", "NE", "E", "SE", "S", "SW", "W", "NW"};
    std::vector<double> out;
    if (py::isinstance<py::dict>(value)) {
        for (const auto& [key, number] : py::cast<py::dict>(value)) {
            const auto name = py::cast<std::string>(py::str(key));
            const auto found = std::find(points.begin(), points.end(), name);
            if (found == points.end())
                throw InputError({.path = schema.name + "." + field.name + "." + name,
                                  .reason = "no such point",
                                  .allowed = "N, NE, E, SE, S, SW, W, NW, or pairs with a bearing"});
            out.push_back(45.0 * static_cast<double>(found - points.begin()));
            out.push_back(to_number(schema, field, number));
        }
        return out;
    }
    const auto items = to_list<py::object>(schema, field, value,
                                           [](py::handle item) { return py::reinterpret_borrow<py::object>(item); });
    if (!items.empty() && std::all_of(items.begin(), items.end(), [](const auto& item) { return is_number(item); })) {
        std::string pairs;
        for (std::size_t i = 0; i < items.size(); ++i) {
            const double bearing = 360.0 * static_cast<double>(i) / static_cast<double>(items.size());
            const std::string number = number_text(to_number(schema, field, items[i]));
            pairs += (i ? ", [" : "[") + number_text(bearing) + ", " + number + "]";
        }
        std::string two_by_two;
        for (std::size_t i = 0; items.size() % 2 == 0 && i + 1 < items.size(); i += 2)
            two_by_two += (i ? ", [" : "[") + number_text(to_number(schema, field, items[i])) + ", " +
                          number_text(to_number(schema, field, items[i + 1])) + "]";
        throw InputError({.path = schema.name + "." + field.name,
                          .reason = std::to_string(items.size()) + " numbers in a row",
                          .allowed = "pairs of bearing and height",
                          .hint = (two_by_two.empty() ? "" : "if these are such pairs, [" + two_by_two + "]; ") +
                                  "if these are heights evenly spaced from north, [" + pairs + "]"});
    }
    for (const py::object& item : items) {
        const auto pair =
            to_list<double>(schema, field, item, [&](py::handle x) { return to_number(schema, field, x); });
        if (pair.size() != 2) refuse(schema, field, item);
        out.insert(out.end(), pair.begin(), pair.end());
    }
    return out;
}

// A number, a text, or a date of Python, NumPy or pandas.
Day to_day(const Schema& schema, const Field& field, py::handle value) {
    std::optional<Day> day;
    if (is_number(value))
        day = numbered_day(to_number(schema, field, value));
    else if (py::isinstance<py::str>(value))
        day = named_day(py::cast<std::string>(value));
    else if (py::hasattr(value, "isoformat"))
        day = named_day(py::cast<std::string>(value.attr("isoformat")()).substr(0, 10));
    else if (py::cast<std::string>(py::type::of(value).attr("__name__")) == "datetime64")
        day = named_day(py::cast<std::string>(py::str(value)).substr(0, 10));
    if (!day) refuse(schema, field, value);
    return *day;
}

std::vector<Day> to_days(const Schema& schema, const Field& field, py::handle value) {
    if (py::isinstance<py::str>(value) || !py::isinstance<py::sequence>(value)) return {to_day(schema, field, value)};
    return to_list<Day>(schema, field, value, [&](py::handle item) { return to_day(schema, field, item); });
}

ConfigurationPtr to_configuration(const Schema& schema, const Field& field, py::handle value) {
    ConfigurationPtr out;
    if (!load_configuration(value, out)) refuse(schema, field, value);
    return out;
}

Value to_value(const Schema& schema, const Field& field, py::handle value) {
    if (value.is_none()) return std::monostate{};
    switch (field.type) {
        case FieldType::number:
            if (py::isinstance<Spread>(value)) return py::cast<Spread>(value);
            return to_number(schema, field, value);
        case FieldType::integer:
            return to_number(schema, field, value);
        case FieldType::flag:
            if (!is_flag(value)) refuse(schema, field, value);
            return py::cast<bool>(value);
        case FieldType::choice:
        case FieldType::text:
            if (!py::isinstance<py::str>(value)) refuse(schema, field, value);
            return py::cast<std::string>(value);
        case FieldType::numbers:
            return to_list<double>(schema, field, value,
                                   [&](py::handle item) { return to_number(schema, field, item); });
        case FieldType::bearings:
            return to_bearings(schema, field, value);
        case FieldType::part:
            return to_configuration(schema, field, value);
        case FieldType::parts:
            return to_list<ConfigurationPtr>(schema, field, value,
                                             [&](py::handle item) { return to_configuration(schema, field, item); });
        case FieldType::days:
            return to_days(schema, field, value);
        case FieldType::series:
            break;
    }
    if (!py::isinstance<Series>(value)) refuse(schema, field, value);
    return SeriesPtr(py::cast<std::shared_ptr<Series>>(value));
}

}  // namespace

bool load_configuration(py::handle source, ConfigurationPtr& out) {
    if (!py::isinstance<ConfigurationObject>(source)) return false;
    const auto& object = py::cast<const ConfigurationObject&>(source);
    object.get();
    out = object.configuration;
    return true;
}

py::object to_python(const ConfigurationPtr& configuration) {
    if (!configuration) return py::none();
    const auto type = py::type::of<ConfigurationObject>();
    py::object plain = py::cast(ConfigurationObject{configuration});
    const py::dict classes = type.attr("_classes");
    const py::str name(configuration->schema().name);
    if (!classes.contains(name)) return plain;
    const py::object cls = classes[name];
    py::object out = cls.attr("__new__")(cls);
    type.attr("__init__")(out, plain);
    return out;
}

py::object to_python(const Field& field, const Value& value) {
    if (std::holds_alternative<std::monostate>(value)) return py::none();
    switch (field.type) {
        case FieldType::number:
            if (const auto* spread = std::get_if<Spread>(&value)) return py::cast(*spread);
            return py::float_(std::get<double>(value));
        case FieldType::integer:
            return py::int_(static_cast<long long>(std::get<double>(value)));
        case FieldType::flag:
            return py::bool_(std::get<bool>(value));
        case FieldType::choice:
        case FieldType::text:
            return py::str(std::get<std::string>(value));
        case FieldType::numbers:
            return py::tuple(py::cast(std::get<std::vector<double>>(value)));
        case FieldType::bearings: {
            const auto& xs = std::get<std::vector<double>>(value);
            py::tuple out(xs.size() / 2);
            for (std::size_t i = 0; i < xs.size(); i += 2) out[i / 2] = py::make_tuple(xs[i], xs[i + 1]);
            return out;
        }
        case FieldType::part:
            return to_python(std::get<ConfigurationPtr>(value));
        case FieldType::parts:
            // A tuple that also finds its members by their names; Python has set the class.
            return py::type::of<ConfigurationObject>().attr("_parts")(
                py::cast(std::get<std::vector<ConfigurationPtr>>(value)));
        case FieldType::days: {
            py::list out;
            for (const Day& day : std::get<std::vector<Day>>(value))
                if (day.type == Day::Type::number)
                    out.append(day.value);
                else
                    out.append(day.text());
            return py::tuple(out);
        }
        case FieldType::series:
            break;
    }
    return py::cast(std::const_pointer_cast<Series>(std::get<SeriesPtr>(value)));
}

Values to_values(const Schema& schema, const py::dict& given) {
    Values out;
    for (const auto& [key, value] : given) {
        if (!py::isinstance<py::str>(key))
            throw InputError({.path = schema.name, .reason = "names of fields are strings"});
        const Field& field = schema.field(py::cast<std::string>(key));
        try {
            out.emplace(field.name, to_value(schema, field, value));
        } catch (const py::cast_error&) {  // a text that has no UTF-8
            refuse(schema, field, value);
        }
    }
    return out;
}

}  // namespace ridethrough::bindings
