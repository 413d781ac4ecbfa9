// Days and nights of a trip as people say them.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace ridethrough::config {

// Its number, counted from 1, which is the day of the start; a date; or a weekday, which means every such day.
struct Day {
    enum class Type { number, date, weekday };
    Type type = Type::number;
    int value = 1;  // the number; days since 1970-01-01; 0 for Monday to 6 for Sunday

    std::string text() const;  // "2", "2026-09-25", "Friday"
    bool operator==(const Day&) const = default;
};

// A day with this number, which need not be whole in a bad input. Nothing where there is no such day.
std::optional<Day> numbered_day(double number);
// A date, "2026-09-25", or a weekday in English, at least its first three letters.
std::optional<Day> named_day(std::string_view text);
// What was probably meant by a text that is neither, or "".
std::string day_hint(std::string_view text);

}  // namespace ridethrough::config
