// Van and trip, validated and reduced to the plan that the kernel reads. Immutable once made.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/random/parameter_table.hpp"
#include "ridethrough/trip/clock.hpp"
#include "ridethrough/trip/interval.hpp"
#include "ridethrough/trip/plan.hpp"
#include "ridethrough/trip/sky_view.hpp"

namespace ridethrough::trip {

// What stands behind a Plan.
struct Tables;

class CompiledTrip {
  public:
    // InputError where something is missing or does not fit. Without a clock: clock_without_zones.
    CompiledTrip(config::ConfigurationPtr van, config::ConfigurationPtr trip);
    CompiledTrip(config::ConfigurationPtr van, config::ConfigurationPtr trip, Clock clock);
    ~CompiledTrip();
    CompiledTrip(const CompiledTrip&) = delete;
    CompiledTrip& operator=(const CompiledTrip&) = delete;

    const Plan& plan() const;
    const std::vector<Interval>& schedule() const;  // in the order of time
    template <class T>
    SkyView<T> skies() const;
    const std::vector<random::Parameter>& parameters() const { return table_.parameters(); }
    const random::ParameterTable& table() const { return table_; }
    int days() const { return days_; }  // of the clock that the trip touches
    // Draws cover one day more, so that the last evening's temperature does not depend on the trip's length.
    int drawn_days() const { return sky_days_ + 1; }
    int hours() const { return hours_; }
    const Clock& clock() const { return clock_; }
    double utc_offset_h() const { return clock_.utc_offset_h; }  // at the start
    // Of the clock whose midnights part the days of the sky: the start's, but for a part of an hour where measured
    // hours are full on another.
    double sky_utc_offset_h() const { return sky_utc_offset_h_; }
    int first_day() const { return first_day_; }
    double start_hour() const { return start_hour_; }
    const std::vector<std::string>& load_names() const { return load_names_; }
    const std::vector<std::string>& warnings() const { return warnings_; }
    const std::vector<std::int32_t>& replay_starts() const { return replay_starts_; }
    bool replay() const { return !replay_starts_.empty(); }
    // Which of the columns that need Van.water or a heater are filled.
    bool has_water() const { return has_water_; }
    bool has_heater() const { return has_heater_; }
    // Starts whose trip crosses a joint between months of different years in the record.
    int starts_over_a_splice() const { return starts_over_a_splice_; }

  private:
    class Compiler;
    random::ParameterTable table_{0};
    int days_ = 0, sky_days_ = 0, hours_ = 0, first_day_ = 0, starts_over_a_splice_ = 0;
    Clock clock_;
    double sky_utc_offset_h_ = 0, start_hour_ = 0;
    bool has_water_ = false, has_heater_ = false;
    std::vector<std::string> load_names_, warnings_;
    std::vector<std::int32_t> replay_starts_;
    std::unique_ptr<const Tables> tables_;
};

}  // namespace ridethrough::trip
