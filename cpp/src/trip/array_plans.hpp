// From the van's solar records to what the kernel reads. Internal to the layer.
#pragma once

#include <vector>

#include "lent.hpp"
#include "ridethrough/config/configuration.hpp"
#include "ridethrough/weather/series.hpp"
#include "ridethrough/solar/plane_hours.hpp"
#include "ridethrough/trip/compile.hpp"

namespace ridethrough::trip {

// What the builder collects, in double.
struct SolarDraft {
    solar::SolarPlan<double> plan;
    std::vector<solar::ArrayPlan<double>> arrays;
    // Of each array; empty: the weather's own plane. Of one that is aimed by the clock, one after the other for each
    // of the clock's offsets.
    std::vector<solar::PlaneNumbers> planes;
    int parts = 1;  // offsets that the clock has
    std::vector<double> morning, afternoon, stationary;
};

// All arrays in order: Van.solar, whose first four numbers have named slots, then Van.more_solar.
std::vector<config::RecordPtr> all_arrays(const config::Record& van);
SolarDraft solar_draft(const config::Record& van, const config::Record& trip, const SlotAt& slot, const WordsOf& words);

// The kind of place in place of the two shades that were given.
void set_surroundings(const config::Record& trip, SlotDraw& beam, SlotDraw& sky);
// Without an azimuth it faces the equator. Flat where there is none.
solar::Plane plane_of(const config::RecordPtr& array, double latitude_deg);
// Appends to the tables of the arrays that don't lie on the weather's own plane `days` with one albedo. `hours_ahead`:
// of the trip's clock on that of the days. `aimed_only`: of arrays that are aimed by the clock.
void append_plane_tables(std::vector<solar::PlaneNumbers>& tables, const config::Record& van,
                         std::span<const sun::SkyDay> days, double albedo, const solar::Horizon& horizon,
                         double hours_ahead, bool aimed_only = false);
// Tables of the clock's next offset behind those that there are.
void add_part(std::vector<solar::PlaneNumbers>& tables, const std::vector<solar::PlaneNumbers>& more);
// Factors of the weather's own plane, and tables for the others, for a record's hours.
weather::PlaneFactors record_planes(const weather::HourlyRecord& record, const config::Record& van,
                                    const config::Record& trip, const config::Record& site, const ClockSteps& steps,
                                    SolarDraft& draft);
// Parts of each day before 10 h and after 14 h solar time, and days without a drive (spans of the steps: engine::Plan::drive).
void mark_days(SolarDraft& draft, std::span<const sun::SkyDay> days, const std::vector<double>& drive,
               const ClockSteps& steps);

// The arrays of one number type behind a solar::SolarPlan<T>.
template <class T>
struct SolarTables {
    solar::SolarPlan<T> plan;
    std::vector<solar::ArrayPlan<T>> arrays;
    std::vector<std::vector<T>> planes;
    std::vector<T> morning, afternoon, stationary;

    explicit SolarTables(const SolarDraft& draft);
    solar::SolarPlan<T> view();
};

void check_arrays(const config::Record& van);
void check_shade(const config::Record& trip);

}  // namespace ridethrough::trip
