// A trip's clock, and the one place that puts steps on it. Habits follow the clock; Sun, weather and measured hours
// follow the time that passes, which is counted on the start's clock: as a clock that never changes would show it.
#pragma once

#include <string>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/trip/clock_runs.hpp"

namespace ridethrough::trip {

// As resolved by whoever knows the time zones.
struct Clock {
    struct Change {
        double at_h;          // hours since the start
        double utc_offset_h;  // from then on
        bool operator==(const Change&) const = default;
    };
    double utc_offset_h = 0;  // clock time ahead of UTC at the start
    std::vector<Change> changes = {};
    // For whoever reads the result; nothing is computed from them.
    std::string zone = {}, source = {}, zone_data = {};
    std::vector<std::string> warnings = {};

    bool operator==(const Clock&) const = default;
    double offset_at(double since_start_h) const;
    // Hours that the clock shows to have elapsed since the start, and the first time at which it shows so many.
    double clock_elapsed_h(double since_start_h) const;
    double since_start_h(double clock_elapsed_h) const;
};

// Without time zones: Site.utc_offset_h of the first place, else longitude / 15, rounded. InputError where the site
// names a time zone.
Clock clock_without_zones(const config::Configuration& trip);

class ClockSteps {
  public:
    // A trip of `hours` hours from the hour `start_hour` of day 0. InputError where the clock is no clock, or goes back
    // to the day before the start. What steps of this length cannot follow is rounded to them and warned of.
    ClockSteps(const Clock& clock, int first_day, int start_hour, int hours, int step_min);
    // Measured hours: `utc_offset_h` of the record's clock, on which they are full.
    void follow_series(double utc_offset_h);

    int step_min() const { return step_min_; }
    int first_step() const { return first_step_; }  // of day 0
    int steps() const { return steps_; }
    int days() const { return runs_.back().day + 1; }      // of the clock that the trip touches
    int sky_days() const;                                  // days of the Sun and the weather that it needs
    double utc_offset_h() const { return utc_offset_h_; }  // at the start
    double sky_utc_offset_h() const { return sky_utc_offset_h_; }
    int sky_lead() const { return sky_lead_; }  // steps from the beginning of a sky's hour to that of the start's hour
    double end_h() const;                       // on the clock, from midnight of day 0
    bool one_clock() const;                     // the clock's hours are the sky's

    // A time of the clock, from midnight of day 0, on the start's clock: the first where it comes twice, the change's
    // where it is skipped.
    double on_start_clock(double clock_h) const;
    // Time that passes over `length_h` hours of the clock.
    double elapsed_h(double from_h, double length_h) const;
    double noon_offset_h(int day) const;  // of the clock as the steps follow it
    int day_of(int step) const;           // of the clock

    int parts() const { return static_cast<int>(parts_.size()); }
    double ahead_h(int part) const { return parts_[static_cast<std::size_t>(part)].ahead * step_h_; }
    const std::vector<ClockRun>& runs() const { return runs_; }
    std::vector<unsigned char> counted() const;  // of each bin of the clock's days, and of a day more
    std::vector<int> sky_hours() const;          // of each hour of the clock's days
    const std::vector<std::string>& warnings() const { return warnings_; }

  private:
    struct Part {
        int begin, ahead;  // steps: since the start; of the clock on that of the start
    };
    int step_of(int bin) const;  // since the start; below 0 before it
    void add(const Clock::Change& change, const Clock& clock);
    void build_runs();
    void warn_of_step(const Clock::Change& change, const Clock& clock, double by_h);

    int first_day_, step_min_, per_hour_, per_day_, first_step_, steps_;
    double step_h_, utc_offset_h_, sky_utc_offset_h_;
    int sky_lead_ = 0;
    std::vector<Part> parts_;
    std::vector<ClockRun> runs_;
    std::vector<std::string> warnings_;
};

}  // namespace ridethrough::trip
