#include "compiled_warnings.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/battery/chemistry.hpp"
#include "ridethrough/sun/calendar.hpp"

namespace ridethrough::trip {
using config::Configuration;

namespace {
constexpr double kEmptyStart = 0.02, kNearlyEmptyStart = 0.10;
// An afternoon over the mean of its month, a lived-in cabin over the air, and what AGM stands; from memory.
constexpr double kAfternoonK = 6, kLivedInK = 5, kHottestAgmC = 45;

void warn_of_dry_tanks(const Tables& tables, Warnings& out) {
    const auto& events = tables.loads.events;
    if (tables.plan.water.given &&
        std::none_of(events.begin(), events.end(), [](const auto& e) { return e.litres_per_h > 0; }))
        out.push_back("Van.water is given, but the van has no WaterPump: nothing is drawn from the tank");
}

void warn_of_strong_chargers(const Plan& p, const Configuration& van, Warnings& out) {
    const auto given = [&](const double* spans) {
        bool any = false;
        for (int step = 0; spans && step < p.steps; ++step) any = any || spans[2 * step + 1] > spans[2 * step];
        return any;
    };
    const bool drives = given(p.drive) || given(p.idle), powered = given(p.powered) || given(p.generator);
    for (auto& warning : charger_warnings(van, drives, powered)) out.push_back(std::move(warning));
}

// By the middles of all spreads.
void warn_of_empty_start(const Plan& p, const random::ParameterTable& table, Warnings& out) {
    using One = simd::Pack<double, 1>;
    std::vector<One> middle;
    for (const random::Parameter& x : table.parameters())
        middle.emplace_back(x.spread ? x.spread->quantile(0.5, x.low, x.high) : x.constant);
    const random::Parameters<One> x(middle.data());
    One charge = x[p.battery.initial_soc], standby_a(0.0);
    for (int i = 0; i < p.standbys; ++i) standby_a += x[p.standby[i].current_a];
    if (p.storage.any())
        charge = charge_after_storage(p.storage, x, p.battery.initial_soc, p.weather.ghi_scale, p.solar, standby_a,
                                      battery::of_trials(p.battery, x).q_max_ah);
    if (charge.lane(0) > kNearlyEmptyStart) return;
    const std::string is = std::string(": the battery is ") + (charge.lane(0) > kEmptyStart ? "nearly " : "");
    out.push_back(p.storage.any()
                      ? "Trip.storage.weeks = " + base::number_text(std::round(x[p.storage.weeks].lane(0))) + " weeks" +
                            is +
                            "empty before the trip begins, in the middle of all spreads, so "
                            "that the risk says little of the trip itself. Charge it before you leave (a trip "
                            "without storage), switch it off at the isolator, or let the sun reach the roof"
                      : "Van.battery.initial_soc = " + base::number_text(charge.lane(0)) + is +
                            "empty before the trip begins; give what it has then");
}

// Normal of the warmest month at any place of the trip.
double warmest_month_c(const std::vector<Place>& places, int first_day) {
    double warmest_c = -100;
    for (const Place& place : places)
        for (int d = 0; d < place.days; ++d) {
            const int month = sun::date_of(first_day + place.first_day + d).month;
            warmest_c = std::max(warmest_c, place.climate->numbers("air_temp_c")[static_cast<std::size_t>(month - 1)]);
        }
    return warmest_c;
}

// Lead-acid in the afternoon of the trip's warmest month; beside the engine it is warned of in any weather.
void warn_of_hot_battery(const Configuration& van, double month_c, Warnings& out) {
    const Configuration& b = battery::in_common(van);
    if (!battery::chemistry_of(b).vents_gas || b.text("location") == "engine_bay") return;
    const double around_c = month_c + kAfternoonK + (b.text("location") == "living_space" ? kLivedInK : 0);
    if (!(around_c > kHottestAgmC)) return;
    out.push_back("Van.battery.location = " + b.text("location") + " at " + base::number_text(std::round(month_c)) +
                  " degC mean outdoor air: the AGM stands in about " + base::number_text(std::round(around_c)) +
                  " degC; above 45 degC it dries out at 14.4 V and may overheat. Find it a cooler place, or use a "
                  "charge_profile with compensation_mv_per_k");
}
}  // namespace

Warnings compiled_warnings(const Tables& tables, const random::ParameterTable& table, const Configuration& van,
                           const std::vector<Place>& places, int first_day) {
    Warnings out;
    warn_of_dry_tanks(tables, out);
    warn_of_strong_chargers(tables.plan, van, out);
    for (auto& warning : step_warnings(van, tables.plan.step_h)) out.push_back(std::move(warning));
    warn_of_empty_start(tables.plan, table, out);
    warn_of_hot_battery(van, warmest_month_c(places, first_day), out);
    return out;
}

}  // namespace ridethrough::trip
