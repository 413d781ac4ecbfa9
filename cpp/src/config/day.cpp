#include "ridethrough/config/day.hpp"

#include <array>
#include <charconv>
#include <chrono>
#include <cmath>
#include <cstdio>

#include "ridethrough/base/letters.hpp"
#include "ridethrough/base/text.hpp"

namespace ridethrough::config {

namespace {

const std::array<std::string, 7> kWeekdays{"Monday", "Tuesday",  "Wednesday", "Thursday",
                                           "Friday", "Saturday", "Sunday"};

std::optional<int> date_number(std::string_view text) {
    if (text.size() != 10 || text[4] != '-' || text[7] != '-') return {};
    const auto number = [&](std::size_t from, std::size_t to) {
        int x = 0;
        const auto end = std::from_chars(text.data() + from, text.data() + to, x);
        return end.ptr == text.data() + to ? x : -1;
    };
    const int year = number(0, 4), month = number(5, 7), day = number(8, 10);
    const auto date = std::chrono::year(year) / month / day;
    if (!(year > 0 && month > 0 && day > 0 && date.ok())) return {};
    return static_cast<int>(std::chrono::sys_days(date).time_since_epoch().count());
}

}  // namespace

std::string Day::text() const {
    if (type == Type::number) return std::to_string(value);
    if (type == Type::weekday) return kWeekdays[static_cast<std::size_t>(value)];
    const std::chrono::year_month_day date{std::chrono::sys_days{std::chrono::days{value}}};
    char out[32];
    std::snprintf(out, sizeof out, "%04d-%02u-%02u", static_cast<int>(date.year()), static_cast<unsigned>(date.month()),
                  static_cast<unsigned>(date.day()));
    return out;
}

std::optional<Day> numbered_day(double number) {
    if (!(number >= 1 && number <= 366 && number == std::floor(number))) return {};
    return Day{Day::Type::number, static_cast<int>(number)};
}

std::optional<Day> named_day(std::string_view text) {
    if (const auto date = date_number(text)) return Day{Day::Type::date, *date};
    const std::string name = base::ascii_lower(text);
    for (std::size_t i = 0; i < kWeekdays.size(); ++i)
        if (name.size() >= 3 && base::ascii_lower(kWeekdays[i]).starts_with(name))
            return Day{Day::Type::weekday, static_cast<int>(i)};
    return {};
}

std::string day_hint(std::string_view text) {
    return base::nearest_name(text, std::span<const std::string>(kWeekdays));
}

}  // namespace ridethrough::config
