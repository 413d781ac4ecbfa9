// What the parts of the configuration layer share: how one value is validated, compared and written.
#pragma once

#include <string>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::config {

// The value as the configuration keeps it, or an InputError where the field does not allow it.
Value validated(const Schema& owner, const Field& field, Value value);
bool same(const Value& a, const Value& b);
std::string name_of_member(const ConfigurationPtr& member);  // of a list; "" where it has none
std::string value_text(const Value& value);                  // as Python writes it
// What a text was probably meant as where a number is wanted, or "".
std::string text_hint(const Field& field, const std::string& shown);
// A field that is not declared: what was probably meant, or what there is in its place.
base::Fault no_such_field(const Schema& schema, std::string_view wrong);

}  // namespace ridethrough::config
