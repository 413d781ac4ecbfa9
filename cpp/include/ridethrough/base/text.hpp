// The one error of bad input, and how numbers and names are written in it.
#pragma once

#include <cstddef>
#include <span>
#include <stdexcept>
#include <string>
#include <string_view>

namespace ridethrough::base {

// Raised for every bad input; the message names the field, the value and the allowed range.
class InputError : public std::invalid_argument {
  public:
    using std::invalid_argument::invalid_argument;
};

// Shortest text that reads back as the same double.
std::string number_text(double x);
// Which of some numbers: "[5] (June)" of twelve, which are those of the months, else "[5]".
std::string place_text(std::size_t i, std::size_t size);
std::string quoted(std::string_view text);  // as a Python string
// The closest of `names` to `wrong`, or "" where none is near.
std::string nearest_name(std::string_view wrong, std::span<const std::string> names);

}  // namespace ridethrough::base
