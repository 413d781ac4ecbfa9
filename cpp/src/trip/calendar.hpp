// The clock and the skies of a trip as tables. Internal to the layer.
#pragma once

#include "places.hpp"
#include "tables.hpp"

namespace ridethrough::trip {

// The plan's steps and days, on the clock.
void set_clock(const ClockSteps& steps, Tables& tables);
// When it gets light and dark on the days of the clock, each with its noon's offset. `skies`: of the places.
void add_dusk_and_dawn(const std::vector<sun::SkyDay>& skies, int first_day, const ClockSteps& steps, Tables& tables);
// Shares of each hour before 10 h and after 14 h solar time.
void add_parts_of_day(const std::vector<sun::SkyDay>& skies, Tables& tables);
// Each day's climate and each hour's shade.
void set_places(const std::vector<Place>& places, const std::vector<PlaceParameters>& parameters, int days,
                Tables& tables);
// Weather or record, and the arrays' planes, in both number types.
void make_sky_tables(const std::vector<Place>& places, const std::vector<sun::SkyDay>& skies,
                     const config::Configuration& van, const config::Configuration& trip, const ClockSteps& steps,
                     Tables& tables);
// Where a replayed trip may start in the record. InputError where there is none.
std::vector<std::int32_t> starts_in_series(const std::vector<Place>& places, const config::Configuration& trip,
                                           int first_day, int sky_days, double utc_offset_h, int& over_a_splice);

}  // namespace ridethrough::trip
