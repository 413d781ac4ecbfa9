// The one error of bad input with its facts, and how numbers and names are written in it.
#pragma once

#include <concepts>
#include <cstddef>
#include <span>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>

namespace ridethrough::base {

// What is wrong with an input; all but the path may be empty.
struct Fault {
    std::string path;             // of the input, such as "AgmBattery.capacity_ah"
    std::string value = {};       // as Python writes it
    std::string unit = {};        // of the value
    std::string reason = {};      // why it is refused
    std::string allowed = {};     // what is allowed
    std::string choices = {};     // the same where the text has no room for it: all names that there are
    std::string hint = {};        // what may have been meant, as a sentence
    std::string suggestion = {};  // the name that was probably meant
    std::string more = {};        // what else there is to know

    std::string text() const;  // "path = value unit: reason; allowed ...; hint; did you mean ...? more"
};

// Raised for every bad input; the message names the field, the value and the allowed range, and so do the facts.
class InputError : public std::invalid_argument {
  public:
    explicit InputError(Fault facts) : std::invalid_argument(facts.text()), facts_(std::move(facts)) {}
    template <std::convertible_to<std::string> Text>  // no facts but the text
    explicit InputError(const Text& text) : std::invalid_argument(text), facts_{} {}

    const Fault& facts() const { return facts_; }

  private:
    Fault facts_;
};

// Shortest text that reads back as the same double.
std::string number_text(double x);
// Which of some numbers, counted from 1: ".6 (June)" of twelve, which are those of the months, else ".6".
std::string place_text(std::size_t i, std::size_t size);
std::string quoted(std::string_view text);  // as a Python string
// The closest of `names` to `wrong`, or "" where none is near.
std::string nearest_name(std::string_view wrong, std::span<const std::string> names);

}  // namespace ridethrough::base
