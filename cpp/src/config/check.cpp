// Whether a field allows a value.
#include <array>
#include <cmath>

#include "value.hpp"

namespace ridethrough::config {

namespace {

// The fault of a field's value, of which the rest is still to be said.
base::Fault fault(const Schema& owner, const Field& field, const std::string& shown) {
    return {.path = owner.name + "." + field.name, .value = shown};
}

[[noreturn]] void refuse(const Schema& owner, const Field& field, const std::string& shown, const std::string& reason,
                         const std::string& allowed) {
    base::Fault wrong = fault(owner, field, shown);
    wrong.reason = reason, wrong.allowed = allowed;
    throw InputError(std::move(wrong));
}

// Written so that NaN fails; infinity is refused where the range is open.
bool in_range(const Field& f, double x) { return x >= f.low && x <= f.high && std::isfinite(x); }

void check_spread(const Schema& owner, const Field& field, const Spread& spread) {
    const std::string shown = spread.text();
    if (field.variation == Variation::fixed) refuse(owner, field, shown, "fixed for the whole plan", "one number");
    if (spread.per().value_or(field.variation) > field.variation) {
        std::string allowed;
        for (const Variation v : {Variation::trial, Variation::day, Variation::hour})
            if (v <= field.variation) allowed += (allowed.empty() ? "'" : " or '") + std::string(name_of(v)) + "'";
        refuse(owner, field, shown, "", "per=" + allowed);
    }
    const bool unbounded = spread.shape() == Spread::Shape::normal;
    const double low = unbounded ? spread.mean() : spread.lowest();
    const double high = unbounded ? spread.mean() : spread.highest();
    for (const double end : {low, high})
        if (!in_range(field, end))
            throw_out_of_range(owner.name, field, shown, unit_guess(field, end, std::array{low, high}));
}

void check_choice(const Schema& owner, const Field& field, const std::string& option) {
    for (const std::string& choice : field.choices)
        if (option == choice) return;
    base::Fault wrong = fault(owner, field, quoted(option));
    wrong.allowed = allowed_text(field);
    const std::string near = nearest_name(option, field.choices);
    if (!near.empty()) wrong.suggestion = quoted(near);
    throw InputError(std::move(wrong));
}

void check_numbers(const Schema& owner, const Field& field, const std::vector<double>& xs) {
    if (field.size && xs.size() != field.size)
        refuse(owner, field, std::to_string(xs.size()) + " numbers", "", allowed_text(field));
    for (std::size_t i = 0; i < xs.size(); ++i)
        if (!in_range(field, xs[i])) {
            Field element = field;
            element.name += place_text(i, xs.size());
            element.type = FieldType::number;
            element.optional = false;
            throw_out_of_range(owner.name, element, number_text(xs[i]), unit_guess(element, xs[i], xs));
        }
}

// In order of the compass; north is 0.
std::vector<double> by_bearing(const Schema& owner, const Field& field, const std::vector<double>& xs) {
    if (xs.size() % 2) refuse(owner, field, std::to_string(xs.size()) + " numbers", "", allowed_text(field));
    std::map<double, double> sorted;
    for (std::size_t i = 0; i < xs.size(); i += 2) {
        const std::string pair = "[" + number_text(xs[i]) + ", " + number_text(xs[i + 1]) + "]";
        if (!(xs[i] >= 0 && xs[i] <= 360) || !in_range(field, xs[i + 1]))
            refuse(owner, field, pair, "", allowed_text(field));
        if (!sorted.emplace(xs[i] < 360 ? xs[i] + 0.0 : 0.0, xs[i + 1] + 0.0).second)
            refuse(owner, field, pair, "the bearing " + number_text(xs[i]) + " deg is given twice (360 deg is 0)", "");
    }
    std::vector<double> out;
    for (const auto& [bearing, number] : sorted) out.insert(out.end(), {bearing, number});
    return out;
}

// Numbers as days, or a text as one of them.
Value to_days(const Schema& owner, const Field& field, Value value) {
    std::vector<Day> out;
    if (const auto* numbers = std::get_if<std::vector<double>>(&value)) {
        for (const double x : *numbers) {
            const auto day = numbered_day(x);
            if (!day) throw_out_of_range(owner.name, field, number_text(x));
            out.push_back(*day);
        }
        return out;
    }
    if (const auto* text = std::get_if<std::string>(&value)) {
        const auto day = named_day(*text);
        if (!day) throw_out_of_range(owner.name, field, quoted(*text));
        return std::vector<Day>{*day};
    }
    if (const auto* number = std::get_if<double>(&value)) return to_days(owner, field, std::vector<double>{*number});
    return value;
}

void check_part(const Schema& owner, const Field& field, const ConfigurationPtr& configuration) {
    if (!configuration) throw_out_of_range(owner.name, field, "None");
    for (const std::string& choice : field.choices)
        if (configuration->schema().name == choice) return;
    if (!field.choices.empty()) throw_out_of_range(owner.name, field, configuration->repr());
}

// Paths name a member of a list ("loads.lights.current_a"), so a name stands once and has no dot.
// Where the members may go by their places, names are no numbers, and the one of the class is no name of their own.
void check_names(const Schema& owner, const Field& field, const std::vector<ConfigurationPtr>& configurations) {
    const bool by_place = owner.singular_of(field.name);
    std::map<std::string, int> count;
    for (const ConfigurationPtr& r : configurations)
        for (const Field& f : r->schema().fields)
            if (f.name == "name" && f.type == FieldType::text && r->has("name")) {
                const std::string& name = r->text("name");
                const bool is_number = name.find_first_not_of("0123456789") == std::string::npos;
                if (name.empty() || name.find('.') != std::string::npos || (by_place && is_number))
                    throw InputError({.path = owner.name + "." + field.name + ".name",
                                      .value = quoted(name),
                                      .allowed = std::string("a string without a dot, not empty") +
                                                 (by_place ? ", no number" : "")});
                if (by_place && same(r->at("name"), f.default_value)) continue;
                if (++count[name] > 1)
                    throw InputError({.path = owner.name + "." + field.name,
                                      .reason = "the name " + quoted(name) + " is used twice"});
            }
}

bool right_type(const Field& field, const Value& value) {
    switch (field.type) {
        case FieldType::number:
            return std::holds_alternative<double>(value) || std::holds_alternative<Spread>(value);
        case FieldType::integer:
            return std::holds_alternative<double>(value);
        case FieldType::flag:
            return std::holds_alternative<bool>(value);
        case FieldType::choice:
        case FieldType::text:
            return std::holds_alternative<std::string>(value);
        case FieldType::numbers:
        case FieldType::bearings:
            return std::holds_alternative<std::vector<double>>(value);
        case FieldType::part:
            return std::holds_alternative<ConfigurationPtr>(value) && std::get<ConfigurationPtr>(value);
        case FieldType::parts:
            return std::holds_alternative<std::vector<ConfigurationPtr>>(value);
        case FieldType::days:
            return std::holds_alternative<std::vector<Day>>(value);
        case FieldType::series:
            break;
    }
    return std::holds_alternative<SeriesPtr>(value) && std::get<SeriesPtr>(value);
}

}  // namespace

Value validated(const Schema& owner, const Field& field, Value value) {
    if (std::holds_alternative<std::monostate>(value) && field.optional) return value;
    if (field.type == FieldType::days) {
        value = to_days(owner, field, std::move(value));
        const auto* days = std::get_if<std::vector<Day>>(&value);
        const bool must_be_given = std::holds_alternative<std::monostate>(field.default_value) && !field.optional;
        if (days && days->empty() && must_be_given) refuse(owner, field, "[]", "no day is named", allowed_text(field));
    }
    if (!right_type(field, value)) {
        const auto* configuration = std::get_if<ConfigurationPtr>(&value);
        throw_out_of_range(owner.name, field, configuration && !*configuration ? "None" : value_text(value));
    }
    if (auto* x = std::get_if<double>(&value)) {
        const bool whole = field.type != FieldType::integer || *x == std::floor(*x);
        if (!in_range(field, *x) || !whole)
            throw_out_of_range(owner.name, field, number_text(*x), unit_guess(field, *x));
        *x += 0.0;  // -0 becomes 0: equal configurations have equal bits
    } else if (const auto* spread = std::get_if<Spread>(&value)) {
        check_spread(owner, field, *spread);
    } else if (field.type == FieldType::choice) {
        check_choice(owner, field, std::get<std::string>(value));
    } else if (field.type == FieldType::bearings) {
        value = by_bearing(owner, field, std::get<std::vector<double>>(value));
    } else if (auto* xs = std::get_if<std::vector<double>>(&value)) {
        check_numbers(owner, field, *xs);
        for (double& number : *xs) number += 0.0;
    } else if (const auto* configuration = std::get_if<ConfigurationPtr>(&value)) {
        check_part(owner, field, *configuration);
    } else if (const auto* configurations = std::get_if<std::vector<ConfigurationPtr>>(&value)) {
        for (const ConfigurationPtr& r : *configurations) check_part(owner, field, r);
        if (field.high > 0 && !in_range(field, static_cast<double>(configurations->size())))
            refuse(owner, field, "a list of " + std::to_string(configurations->size()), "", allowed_text(field));
        check_names(owner, field, *configurations);
    }
    return value;
}

}  // namespace ridethrough::config
