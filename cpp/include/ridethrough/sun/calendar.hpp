// Civil dates (Gregorian) as day numbers. Day 0 is 1970-01-01.
#pragma once

#include <string>
#include <string_view>

namespace ridethrough::sun {

struct Date {
    int year = 1970, month = 1, day = 1;
    bool operator==(const Date&) const = default;
};

struct ClockTime {
    int day_number = 0;  // of the calendar day
    double hour = 0;     // clock hour, 0 <= hour < 24
};

int days_in_month(int year, int month);
int day_number(const Date& date);  // a day past the month's end runs on into the next month
Date date_of(int day_number);
int day_of_year(int day_number);            // 1 to 366
int weekday(int day_number);                // 0: Monday
std::string date_text(int day_number);      // "2026-11-06"
std::string date_text(const ClockTime& t);  // "2026-11-06 15:00"

// Reads "YYYY-MM-DD" or "YYYY-MM-DD HH:MM" (a T between the two is allowed); years 1950 to 2050, for which the Sun's
// position holds. InputError names `field`.
ClockTime parse_clock_time(std::string_view text, std::string_view field);
// The same for a start, on the full hour. Without its time it is in the afternoon, when people who have packed in the
// morning are where they stay: own choice.
constexpr int kUsualStartHour = 15;
ClockTime parse_start(std::string_view text, std::string_view field);

}  // namespace ridethrough::sun
