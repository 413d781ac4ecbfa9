// The tables of what a trial reports: results, causes of a cut-out, hourly time series, as declared in results.def.
#pragma once

#include <array>
#include <limits>
#include <optional>
#include <string_view>

#include "ridethrough/engine/columns.hpp"

namespace ridethrough::engine {

enum class Stored { float32, uint8, uint16 };  // counts stop at the greatest number

// What sort of quantity a result is: whether a mean over trials says something, and what a trial's value is kept in.
struct ResultType {
    const char* name;
    bool averaged;
    Stored stored;
};

// What a van or trip must have for a result to be filled. Without one of the first group it is 0, of the second absent.
enum class Condition {
    always,
    people_aboard,
    lead_acid,
    lithium,
    disconnect,
    water_tanks,
    heater,
    inverter,
    medicine,
    freezer_box,
    ice
};

constexpr const char* text_of(Condition condition) {
    constexpr const char* texts[] = {"always",
                                     "people aboard",
                                     "a lead-acid battery",
                                     "a lithium battery",
                                     "a system disconnect",
                                     "water tanks",
                                     "a heater",
                                     "something on an inverter",
                                     "medicine in the fridge",
                                     "a freezer box",
                                     "ice in the fridge"};
    return texts[static_cast<int>(condition)];
}
constexpr bool absent_without(Condition condition) { return condition >= Condition::water_tanks; }

struct Result {
    const char *name, *unit;
    ResultType type;
    Condition condition;
    std::optional<double> never;  // stands for "did not happen"
    const char* label;            // a few words; of a flag and a night those that end "the chance that ..."
    const char* doc;
};

struct CutoutCause {
    const char* name;
    Condition condition;
    const char* doc;
};

struct TimeSeriesInfo {
    const char *name, *unit, *type, *doc;  // type: what of the hour it is
};

namespace result_type {
inline constexpr ResultType amount{"amount", true, Stored::float32};  // energy or charge of the trip
inline constexpr ResultType hours{"hours", true, Stored::float32};    // how long
inline constexpr ResultType level{"level", true, Stored::float32};    // an extreme of a state
inline constexpr ResultType time{"time", false, Stored::float32};     // when, since the start
inline constexpr ResultType days{"days", true, Stored::uint16};       // how many days
inline constexpr ResultType count{"count", true, Stored::uint8};      // how often
inline constexpr ResultType flag{"flag", true, Stored::uint8};        // 1 where it happens; its mean is a share
inline constexpr ResultType night{"night", false, Stored::uint16};    // before which night
inline constexpr ResultType code{"code", false, Stored::uint8};       // index into another table
inline constexpr const char* end_of_hour = "at the end of the hour";
inline constexpr const char* mean_of_hour = "mean over the hour";
inline constexpr const char* lowest_of_hour = "lowest of the hour";
}  // namespace result_type

namespace declared {
inline constexpr std::nullopt_t none = std::nullopt;
inline constexpr double kInfinity = std::numeric_limits<double>::infinity();

inline constexpr std::array<Result, kColumns> results{{
#define RT_RESULT(id, name, unit, what, needs, never, label, doc) \
    {name, unit, result_type::what, Condition::needs, never, label, doc},
#include "ridethrough/engine/results.def"
}};

inline constexpr std::array<CutoutCause, kCauses> causes{{
#define RT_CAUSE(id, name, needs, doc) {name, Condition::needs, doc},
#include "ridethrough/engine/results.def"
}};

inline constexpr std::array<TimeSeriesInfo, kSeriesCount> series{{
#define RT_SERIES(id, name, unit, what, doc) {name, unit, result_type::what, doc},
#include "ridethrough/engine/results.def"
}};

template <class Table>
constexpr bool well_formed(const Table& table) {
    for (std::size_t i = 0; i < table.size(); ++i) {
        if (std::string_view(table[i].name).empty() || std::string_view(table[i].doc).empty()) return false;
        for (std::size_t k = 0; k < i; ++k)
            if (std::string_view(table[i].name) == table[k].name) return false;
    }
    return true;
}
static_assert(well_formed(results) && well_formed(causes) && well_formed(series), "a name missing or there twice");
}  // namespace declared

inline constexpr const auto& kResults = declared::results;      // by Column
inline constexpr const auto& kCutoutCauses = declared::causes;  // by Cause
inline constexpr const auto& kTimeSeries = declared::series;    // by Series

// Results and time series that were renamed, for whoever still asks for them by their former names.
struct FormerName {
    const char *before, *now;
};
inline constexpr FormerName kFormerNames[]{
    {"lowest_charge", "min_soc"}, {"device", "cutout_cause"}, {"charge", "soc"}, {"posts_v", "terminal_v"}};
inline constexpr const char* name_now(std::string_view before) {
    for (const FormerName& name : kFormerNames)
        if (before == name.before) return name.now;
    return "";
}

}  // namespace ridethrough::engine
