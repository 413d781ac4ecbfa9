// What the builder of a trip lends to those who compile its parts. Internal to the layer.
#pragma once

#include <functional>
#include <string>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::trip {

// Gives a field its slot in the trial's parameters, under a path that ends in a dot; where the field is None the slot
// has a constant.
using SlotAt =
    std::function<int(const config::Record& record, const char* field, const std::string& path, double otherwise)>;
// First of the words that a purpose of its own takes each day.
using WordsOf = std::function<int(const std::string& purpose, int words_a_day)>;

}  // namespace ridethrough::trip
