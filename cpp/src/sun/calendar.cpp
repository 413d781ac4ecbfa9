#include "ridethrough/sun/calendar.hpp"

#include <cmath>
#include <cstdio>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::sun {

namespace {

bool is_leap(int year) { return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0; }

// Years that begin in March (Zeller 1882), months by (153 m + 2) / 5 and the epoch below: as in days_from_civil of
// Hinnant, chrono-Compatible Low-Level Date Algorithms, from memory.
// Days before 1 March of `year`, counted from 1 March of year 0: the leap day is then the last of its year.
int days_to_march(int year) {
    const int century = year >= 0 ? year / 100 : (year - 99) / 100;
    const int leap = year >= 0 ? year / 4 : (year - 3) / 4;
    const int four_centuries = century >= 0 ? century / 4 : (century - 3) / 4;
    return 365 * year + leap - century + four_centuries;
}

// Reads `count` digits at `at`; -1 where something else stands there.
int digits(std::string_view text, std::size_t at, std::size_t count) {
    if (text.size() < at + count) return -1;
    int n = 0;
    for (std::size_t i = at; i < at + count; ++i) {
        if (text[i] < '0' || text[i] > '9') return -1;
        n = 10 * n + (text[i] - '0');
    }
    return n;
}

}  // namespace

int days_in_month(int year, int month) {
    static constexpr int days[12] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return days[month - 1] + (month == 2 && is_leap(year) ? 1 : 0);
}

int day_number(const Date& date) {
    const int from_march = (date.month + 9) % 12;
    const int year = date.year - (date.month <= 2 ? 1 : 0);
    constexpr int epoch = 719468;  // 1970-01-01 counted from 1 March of year 0
    return days_to_march(year) + (153 * from_march + 2) / 5 + date.day - 1 - epoch;
}

Date date_of(int day) {
    int year = 1970 + static_cast<int>(std::floor(day / 365.2425));
    while (day_number({year + 1, 1, 1}) <= day) ++year;
    while (day_number({year, 1, 1}) > day) --year;
    int left = day - day_number({year, 1, 1}), month = 1;
    while (left >= days_in_month(year, month)) left -= days_in_month(year, month++);
    return {year, month, left + 1};
}

int day_of_year(int day) { return day - day_number({date_of(day).year, 1, 1}) + 1; }

int weekday(int day) { return ((day + 3) % 7 + 7) % 7; }  // day 0, 1970-01-01, was a Thursday

std::string date_text(int day) {
    const Date d = date_of(day);
    char text[48];
    std::snprintf(text, sizeof text, "%04d-%02d-%02d", d.year, d.month, d.day);
    return text;
}

std::string date_text(const ClockTime& t) {
    const int minutes = static_cast<int>(std::floor(t.hour * 60 + 0.5));
    char text[32];
    std::snprintf(text, sizeof text, " %02d:%02d", (minutes / 60) % 24, minutes % 60);
    return date_text(t.day_number + minutes / 1440) + text;
}

ClockTime parse_clock_time(std::string_view text, std::string_view field) {
    const auto fail = [&](const std::string& why) {
        throw base::InputError({.path = std::string(field),
                                .value = "\"" + std::string(text) + "\"",
                                .reason = why,
                                .hint = "write \"YYYY-MM-DD HH:MM\", years 1950 to 2050"});
    };
    const bool has_clock = text.size() == 16;
    if ((text.size() != 10 && !has_clock) || text[4] != '-' || text[7] != '-' ||
        (has_clock && ((text[10] != ' ' && text[10] != 'T') || text[13] != ':')))
        fail("not a date and time");
    const Date date{digits(text, 0, 4), digits(text, 5, 2), digits(text, 8, 2)};
    const int hour = has_clock ? digits(text, 11, 2) : 0, minute = has_clock ? digits(text, 14, 2) : 0;
    if (date.year < 0 || date.month < 0 || date.day < 0 || hour < 0 || minute < 0) fail("not a date and time");
    if (date.year < 1950 || date.year > 2050) fail("the year is out of range");
    if (date.month < 1 || date.month > 12) fail("there is no such month");
    if (date.day < 1 || date.day > days_in_month(date.year, date.month)) fail("there is no such day in that month");
    if (hour > 23 || minute > 59) fail("there is no such time of day");
    return {day_number(date), hour + minute / 60.0};
}

ClockTime parse_start(std::string_view text, std::string_view field) {
    ClockTime start = parse_clock_time(text, field);
    if (text.size() == 10) start.hour = kUsualStartHour;
    if (start.hour != std::floor(start.hour))
        throw base::InputError({.path = std::string(field),
                                .value = "\"" + std::string(text) + "\"",
                                .reason = "must be a full hour, written \"YYYY-MM-DD HH:00\""});
    return start;
}

}  // namespace ridethrough::sun
