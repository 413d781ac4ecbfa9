// Fields, values and configurations as a reader of messages and Python sees them.
#include <array>
#include <charconv>
#include <cmath>

#include "value.hpp"

namespace ridethrough::config {

namespace {

template <class Items, class Write>
std::string joined(const Items& items, Write write, const std::string& between = ", ") {
    std::string out;
    for (std::size_t i = 0; i < std::size(items); ++i) out += (i ? between : "") + write(items[i]);
    return out;
}

template <class... F>
struct Overloaded : F... {
    using F::operator()...;
};
template <class... F>
Overloaded(F...) -> Overloaded<F...>;  // for Clang before 17

std::string either(const std::vector<std::string>& names, bool quote) {
    return joined(names, [&](const std::string& n) { return quote ? quoted(n) : n; }, " or ");
}

std::string range_text(const Field& f) {
    if (std::isinf(f.low) && std::isinf(f.high)) return "any finite number";
    if (std::isinf(f.low)) return "at most " + number_text(f.high);
    if (std::isinf(f.high)) return "at least " + number_text(f.low);
    return number_text(f.low) + " to " + number_text(f.high);
}

std::string type_text(const Field& f) {
    const std::string unit = f.unit.empty() ? "" : " " + f.unit;
    switch (f.type) {
        case FieldType::number:
            return range_text(f) + unit;
        case FieldType::integer:
            return "whole number, " + range_text(f) + unit;
        case FieldType::numbers:
            return (f.size ? std::to_string(f.size) + " " : "") + "numbers, " + range_text(f) + unit;
        case FieldType::bearings:
            return "[bearing, number] pairs, compass bearing 0 to 360 deg, number " + range_text(f) + unit +
                   ", or a table by N, NE, E, SE, S, SW, W, NW";
        case FieldType::flag:
            return "True or False";
        case FieldType::choice:
            return either(f.choices, true);
        case FieldType::text:
            return "a string";
        case FieldType::days:
            return "numbers counted from 1, dates such as '2026-09-25', or weekdays such as 'Friday'";
        case FieldType::part:
            return f.choices.empty() ? "a configuration" : either(f.choices, false);
        case FieldType::parts:
            return "a list of " + (f.high > 0 ? range_text(f) + " " : "") +
                   (f.choices.empty() ? "configurations" : either(f.choices, false));
        case FieldType::series:
            break;
    }
    return "a measured series";
}

bool is_number(const std::string& text) {
    double x;
    const auto end = std::from_chars(text.data(), text.data() + text.size(), x);
    return end.ec != std::errc::invalid_argument && end.ptr == text.data() + text.size();
}

}  // namespace

std::string_view name_of(Provenance provenance) {
    static constexpr std::array<std::string_view, 4> names{"published", "practice", "unverified", "assumption"};
    return names[static_cast<std::size_t>(provenance)];
}

std::string Source::text() const {
    if (provenance == Provenance::published) return note;
    static constexpr std::array<const char*, 4> words{"", "common practice, no source", "from memory", "own choice"};
    return words[static_cast<std::size_t>(provenance)] + std::string(is_weak ? ", weak" : "") +
           (note.empty() ? "" : ": " + note);
}

std::string Origin::text() const {
    return type == by_default ? "default" : type == given ? "given" : "measured on " + date;
}

std::string allowed_text(const Field& field) { return type_text(field) + (field.optional ? ", or None" : ""); }

void throw_out_of_range(std::string_view owner, const Field& field, const std::string& shown, std::string hint) {
    if (hint.empty()) hint = text_hint(field, shown);
    throw InputError({.path = std::string(owner) + "." + field.name,
                      .value = shown,
                      .unit = is_number(shown) ? field.unit : "",
                      .allowed = allowed_text(field),
                      .hint = std::move(hint)});
}

std::string Spread::text() const {
    static constexpr std::array<const char*, 5> names{"uniform", "triangular", "pert", "normal", "discrete"};
    std::string arguments = joined(numbers_, number_text);
    if (shape_ == Shape::discrete) arguments = "[" + arguments + "], [" + joined(weights_, number_text) + "]";
    if (per_) arguments += ", per='" + std::string(name_of(*per_)) + "'";
    return std::string(names[static_cast<std::size_t>(shape_)]) + "(" + arguments + ")";
}

std::string value_text(const Value& value) {
    return std::visit(
        Overloaded{
            [](std::monostate) -> std::string { return "None"; },
            [](bool x) -> std::string { return x ? "True" : "False"; },
            [](double x) { return number_text(x); },
            [](const std::string& x) { return quoted(x); },
            [](const std::vector<double>& x) { return "[" + joined(x, number_text) + "]"; },
            [](const Spread& x) { return x.text(); },
            [](const ConfigurationPtr& x) { return x->repr(); },
            [](const std::vector<ConfigurationPtr>& x) {
                return "[" + joined(x, [](const ConfigurationPtr& r) { return r->repr(); }) + "]";
            },
            [](const SeriesPtr& x) { return x->text(); },
            [](const std::vector<Day>& x) {
                return "[" +
                       joined(x,
                              [](const Day& d) { return d.type == Day::Type::number ? d.text() : quoted(d.text()); }) +
                       "]";
            },
        },
        value);
}

std::string value_text(const Field& field, const Value& value) {
    if (field.type != FieldType::bearings) return value_text(value);
    const auto& xs = std::get<std::vector<double>>(value);
    std::string out;
    for (std::size_t i = 0; i < xs.size(); i += 2)
        out += (i ? ", [" : "[") + number_text(xs[i]) + ", " + number_text(xs[i + 1]) + "]";
    return "[" + out + "]";
}

std::string Configuration::repr() const {
    std::string out;
    for (const Field& f : schema_->fields) {
        if (same(at(f.name), f.default_value)) continue;
        const Field* one = schema_->singular_of(f.name);
        const auto* members = std::get_if<std::vector<ConfigurationPtr>>(&at(f.name));
        if (one && members->size() < 2)
            out += (out.empty() ? "" : ", ") + one->name + "=" +
                   (members->empty() ? "None" : value_text(members->front()));
        else
            out += (out.empty() ? "" : ", ") + f.name + "=" + value_text(f, at(f.name));
    }
    return schema_->name + "(" + out + ")";
}

}  // namespace ridethrough::config
