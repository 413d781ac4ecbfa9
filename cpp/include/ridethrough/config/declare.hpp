// Short makers for the fields of a Schema, so that a declaration reads as one line of a parameter table.
#pragma once

#include <iterator>
#include <string>
#include <utility>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::config {

struct Range {
    double low, high;
};

// `owner`: where the quantity belongs to somebody else than the others of its schema.
inline Field number(std::string name, std::string unit, Variation variation, Range range, Value default_value,
                    std::optional<Source> source, std::string doc, std::optional<Owner> owner = {}) {
    return {.name = std::move(name),
            .unit = std::move(unit),
            .type = FieldType::number,
            .variation = variation,
            .low = range.low,
            .high = range.high,
            .default_value = std::move(default_value),
            .source = std::move(source),
            .doc = std::move(doc),
            .owner = owner};
}
// A quantity whose draw has another name, such as the one that it had before.
inline Field drawn_as(std::string name, Field field) {
    field.draw_name = std::move(name);
    return field;
}
// A field that was renamed: who gives the former name gets an error with the name of now, and its draw keeps the former
// one.
inline Field formerly(std::string name_before, Field field) {
    if (field.draw_name.empty()) field.draw_name = name_before;
    field.former_name = std::move(name_before);
    return field;
}
inline Schema formerly(std::string name_before, Schema schema) {
    schema.former_name = std::move(name_before);
    return schema;
}
// A number that may be None, in which case the model works it out as its text says.
inline Field derived(std::string name, std::string unit, Variation variation, Range range, std::optional<Source> source,
                     std::string doc, std::optional<Owner> owner = {}) {
    Field f = number(std::move(name), std::move(unit), variation, range, std::monostate{}, std::move(source),
                     std::move(doc), owner);
    f.optional = true;
    return f;
}
inline Field numbers(std::string name, std::string unit, Range range, std::size_t size, Value default_value,
                     std::optional<Source> source, std::string doc) {
    Field f = number(std::move(name), std::move(unit), Variation::fixed, range, std::move(default_value),
                     std::move(source), std::move(doc));
    f.type = FieldType::numbers;
    f.size = size;
    return f;
}
inline Field bearings(std::string name, std::string unit, Range range, std::optional<Source> source, std::string doc) {
    Field f =
        numbers(std::move(name), std::move(unit), range, 0, std::vector<double>{}, std::move(source), std::move(doc));
    f.type = FieldType::bearings;
    return f;
}
// Days or nights of a trip. Without a default they must be given.
inline Field days(std::string name, std::string doc, Value default_value = {}) {
    Field f = numbers(std::move(name), "", {1, 366}, 0, std::move(default_value), {}, std::move(doc));
    if (!std::holds_alternative<std::monostate>(f.default_value)) f.source = own_choice();
    f.type = FieldType::days;
    return f;
}
inline Field integer(std::string name, std::string unit, Range range, Value default_value, std::optional<Source> source,
                     std::string doc) {
    Field f = number(std::move(name), std::move(unit), Variation::fixed, range, std::move(default_value),
                     std::move(source), std::move(doc));
    f.type = FieldType::integer;
    return f;
}
inline Field flag(std::string name, bool default_value, std::optional<Source> source, std::string doc) {
    return {.name = std::move(name),
            .unit = "",
            .type = FieldType::flag,
            .default_value = default_value,
            .source = std::move(source),
            .doc = std::move(doc)};
}
inline Field choice(std::string name, std::vector<std::string> options, std::string default_value,
                    std::optional<Source> source, std::string doc) {
    return {.name = std::move(name),
            .unit = "",
            .type = FieldType::choice,
            .default_value = std::move(default_value),
            .source = std::move(source),
            .doc = std::move(doc),
            .choices = std::move(options)};
}
// A default of the kinds below is our own choice; what has none must be given.
inline std::optional<Source> chosen(const Value& default_value, bool optional = false) {
    if (std::holds_alternative<std::monostate>(default_value) && !optional) return {};
    return own_choice();
}
// Fields that a schema has from another room come after its own.
inline std::vector<Field> joined(std::vector<Field> own, std::vector<Field> more) {
    own.insert(own.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
    return own;
}
inline Field text(std::string name, Value default_value, std::string doc) {
    std::optional<Source> source = chosen(default_value);
    return {.name = std::move(name),
            .unit = "",
            .type = FieldType::text,
            .default_value = std::move(default_value),
            .source = std::move(source),
            .doc = std::move(doc)};
}
inline Field part(std::string name, std::vector<std::string> schemas, Value default_value, bool optional,
                  std::string doc) {
    std::optional<Source> source = chosen(default_value, optional);
    return {.name = std::move(name),
            .unit = "",
            .type = FieldType::part,
            .default_value = std::move(default_value),
            .optional = optional,
            .source = std::move(source),
            .doc = std::move(doc),
            .choices = std::move(schemas)};
}
// `count`: how many there may be; any where it is not given.
inline Field parts(std::string name, std::vector<std::string> schemas, Value default_value, std::string doc,
                   Range count = {0, 0}) {
    std::optional<Source> source = chosen(default_value);
    return {.name = std::move(name),
            .unit = "",
            .type = FieldType::parts,
            .low = count.low,
            .high = count.high,
            .default_value = std::move(default_value),
            .source = std::move(source),
            .doc = std::move(doc),
            .choices = std::move(schemas)};
}
// The second name of a list, for its only member; None where the list may be empty.
inline Field only_member(std::string name, const Field& list, std::string doc) {
    Field f = part(std::move(name), list.choices, std::get<std::vector<ConfigurationPtr>>(list.default_value).front(),
                   !(list.low > 0), std::move(doc));
    f.only_of = list.name;
    return f;
}

}  // namespace ridethrough::config
