#include "extras.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/sun/calendar.hpp"

namespace ridethrough::trip {

using config::Record;
using config::RecordPtr;

fridge::FridgeOptions<double> fridge_options(const Record& fridge, const SlotAt& slot_at) {
    const auto slot = [&](const Record& r, const char* field, const std::string& path) {
        return slot_at(r, field, path, 0);
    };
    fridge::FridgeOptions<double> o;
    if (fridge.has("start_inside_c")) o.start_c = slot(fridge, "start_inside_c", "fridge.");
    if (const RecordPtr c = fridge.record("cover")) o.cover_factor = slot(*c, "heat_leak_factor", "fridge.cover.");
    if (const RecordPtr f = fridge.record("vent_fan")) {
        o.fan_a = slot(*f, "current_a", "fridge.vent_fan.");
        o.vent_factor = slot(*f, "vent_rise_factor", "fridge.vent_fan.");
    }
    if (const RecordPtr b = fridge.record("freezer_box")) {
        const std::string at = "fridge.freezer_box.";
        o.freezer_capacity = slot_at(*b, "heat_capacity_kj_per_k", at, b->number("volume_l"));
        o.freezer_coupling = slot(*b, "coupling_w_per_k", at);
        o.freezer_leak = slot(*b, "heat_leak_share", at);
        o.freezer_cooling = slot(*b, "cooling_share", at);
        o.evaporator_c = b->number("evaporator_c");
    }
    if (const RecordPtr n = fridge.record("night_set_back")) {
        o.set_back_k = n->number("rise_k");
        o.set_back_from_h = n->integer("from_h");
        o.set_back_to_h = n->integer("to_h");
    }
    if (const RecordPtr m = fridge.record("medicine")) {
        o.coldest_k = slot(*m, "coldest_place_k", "fridge.medicine.");
        o.warmest_k = slot(*m, "warmest_place_k", "fridge.medicine.");
    }
    return o;
}

engine::StoragePlan<double> storage_plan(const Record& storage, const Record& climate, int first_day, bool lithium,
                                 const SlotAt& slot_at) {
    const std::string at = "trip.storage.";
    engine::StoragePlan<double> p;
    p.weeks = slot_at(storage, "weeks", at, 0);
    p.isolator_on = storage.text("isolator") == "on";
    p.bypass_share = slot_at(storage, "bypass_share", at, 0);
    p.self_discharge = slot_at(storage, "self_discharge_per_month", at, lithium ? 0.025 : 0.03);
    p.sun_share = slot_at(storage, "sun_share", at, 0);
    if (storage.text("solar") != "connected") return p;

    const config::Value& weeks = storage.at("weeks");
    const auto* spread = std::get_if<config::Spread>(&weeks);
    const double mean_weeks = spread ? spread->mean() : storage.number("weeks");
    const int days = std::max(1, static_cast<int>(std::round(7 * mean_weeks)));
    const auto& by_month = climate.numbers("ghi_kwh_m2_day");
    for (int d = first_day - days; d < first_day; ++d)
        p.sun_h_per_day += by_month[static_cast<std::size_t>(sun::date_of(d).month - 1)] / days;
    return p;
}

void require_above(const SlotDraw& restart, const SlotDraw& cutout) {
    // A normal has no end: nearly all of it counts.
    const auto end = [](const SlotDraw& d, double bound, double share) {
        return !d.spread ? d.constant : std::isfinite(bound) ? bound : d.spread->quantile(share, d.low, d.high);
    };
    const double lowest = end(restart, restart.spread ? restart.spread->lowest() : 0, 1e-9);
    const double highest = end(cutout, cutout.spread ? cutout.spread->highest() : 0, 1 - 1e-9);
    if (!(lowest > highest))
        throw base::InputError(restart.path + " = " + base::number_text(lowest) + " V: must be above " + cutout.path +
                               " = " + base::number_text(highest) + " V");
}

}  // namespace ridethrough::trip
