// Fields that several loads share. Internal to the layer. Every range that is marked so is from memory.
#pragma once

#include <string>
#include <utility>

#include "ridethrough/config/declare.hpp"

namespace ridethrough::loads {

inline config::Field name_field(const char* default_value) {
    return config::text("name", std::string(default_value), "name of this load in paths and results, unique in a van");
}
inline config::Field given_name_field() {
    return config::text("name", std::monostate{}, "name of this load in paths and results, unique in a van");
}
inline config::Field current(config::Range range, config::Value default_value,
                             config::Source source = config::from_memory()) {
    return config::number("current_a", "A", config::Variation::trial, range, std::move(default_value),
                          std::move(source), "current while it runs");
}
inline config::Field clock(const char* name, double default_value, const char* doc) {
    return config::number(name, "h", config::Variation::fixed, {0, 24}, default_value, config::own_choice(), doc);
}
inline config::Field daily_probability(config::Value default_value, config::Source source = config::from_memory()) {
    return config::formerly("share_of_days", config::number("daily_probability", "", config::Variation::trial, {0, 1},
                                                            std::move(default_value), std::move(source),
                                                            "chance that it is used on a day", config::Owner::person));
}
inline config::Field hours_field(config::Range range, config::Value default_value, const char* doc,
                                 config::Source source = config::from_memory()) {
    return config::formerly("hours",
                            config::number("duration_h", "h", config::Variation::trial, range, std::move(default_value),
                                           std::move(source), doc, config::Owner::person));
}
inline config::Field rain_factor(double default_value, config::Source source = config::from_memory()) {
    return config::number("rain_factor", "", config::Variation::fixed, {0, 5}, default_value, std::move(source),
                          "factor on its hours on a rainy day; needs Trip.party, which says what a rainy day is");
}
inline config::Field rain_probability_factor(double default_value, config::Source source = config::from_memory()) {
    return config::formerly(
        "rain_share_factor",
        config::number("rain_probability_factor", "", config::Variation::fixed, {0, 5}, default_value,
                       std::move(source), "factor on its chance on a rainy day; needs Trip.party"));
}
inline config::Field days_field() {
    return config::choice("days", {"all", "workdays", "weekends"}, "all", config::own_choice(),
                          "days of the week on which it may be used; workdays are Monday to Friday");
}
inline void check_window(const config::Configuration& r) {
    if (r.number("latest_h") >= r.number("earliest_h")) return;
    const std::string& owner = r.schema().name;
    const bool is_default = r.at("latest_h") == r.schema().field("latest_h").default_value;
    throw base::InputError(
        {.path = owner + ".latest_h",
         .value = base::number_text(r.number("latest_h")),
         .unit = is_default ? "h (its default)" : "h",
         .reason = "must not be before earliest_h = " + base::number_text(r.number("earliest_h")) + " h"});
}

}  // namespace ridethrough::loads
