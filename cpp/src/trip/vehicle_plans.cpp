#include "vehicle_plans.hpp"

#include <algorithm>
#include <cmath>

#include "ridethrough/base/math.hpp"
#include "ridethrough/charging/schemas.hpp"
#include "ridethrough/battery/ageing.hpp"
#include "ridethrough/circuit/wiring.hpp"

namespace ridethrough::trip {
using config::Record;
using config::RecordPtr;

void charge_stages(const Record& van, engine::Plan<double>& plan) {
    const char* source[engine::kSources] = {"solar", "dc_dc", "mains"};
    for (int k = 0; k < engine::kSources; ++k) {
        RecordPtr device = van.record(source[k]);
        if (k == engine::kSolar && !device && !van.records("more_solar").empty()) device = van.records("more_solar")[0];
        const bool plain = !device || device->schema().name == "AlternatorLink";
        const RecordPtr given = plain ? nullptr : device->record("profile");
        const auto s = given ? charging::profile_stages(*given) : charging::own_stages(plan.battery.lithium);
        plan.stages[k] = {s.absorption_v, s.float_v, s.absorption_limit_h, s.tail_c_rate};
    }
}

double supply_mohm(const Record& charger, bool towed) {
    if (charger.has("supply_length_m"))
        return 1000 * circuit::conductor_resistance_ohm(charger.number("supply_section_mm2"),
                                                      2 * charger.number("supply_length_m"));
    if (charger.schema().name == "AlternatorLink") return towed ? 100 : 40;
    return towed ? 60 : 15;
}

double cabin_share_of(const std::string& location) { return location == "living_space" ? 1 : 0; }

std::vector<double> engine_bay_rise_k(const engine::Plan<double>& plan, const std::vector<double>& drive,
                                      const std::vector<double>& idle, double full_rise_k) {
    const double warms = 1 - base::exp(-plan.step_h / 0.5), cools = 1 - base::exp(-plan.step_h / 2);
    std::vector<double> rise;
    double now = 0;
    for (std::size_t s = 0; s < static_cast<std::size_t>(plan.steps); ++s) {
        const auto hours = [s](const std::vector<double>& spans) {
            return spans.empty() ? 0 : std::max(spans[2 * s + 1] - spans[2 * s], 0.0);
        };
        const double share = std::min((hours(drive) + hours(idle)) / plan.step_h, 1.0);
        const double target = full_rise_k * share;
        now += (target - now) * (target > now ? warms : cools);
        rise.push_back(now);
    }
    return rise;
}

void add_battery_state(const Record& b, engine::VehiclePlan<double>& plan, const SlotMaker& slots) {
    const bool lithium = b.schema().name == "LfpBattery";
    const std::string at = "battery.";
    if (b.has("age_years")) {
        const double years = b.number("age_years");
        const auto as_declared = [&](const char* f) { return b.at(f) == b.schema().field(f).standard; };
        if (as_declared("state_of_health"))
            slots.draw(engine::kStateOfHealth, at + "state_of_health", battery::aged_health(lithium, years), 0.2, 1.1);
        if (as_declared("resistance_mohm_100ah"))
            slots.draw(engine::kResistance, at + "resistance_mohm_100ah", battery::aged_resistance_mohm(lithium, years), 0.5,
                       100);
    }
    if (b.has("measured_capacity_ah")) {
        plan.measured_slot = slots.add();
        slots.bind(plan.measured_slot, b, "measured_capacity_ah", at);
        slots.set(engine::kStateOfHealth, 1);  // not drawn: it has no part in the capacity any more
    }
    if (const RecordPtr s = b.record("second")) {
        const std::string in = at + "second.";
        const double years = s->has("age_years") ? s->number("age_years") : 0;
        plan.second_slot = slots.add();
        const int health = slots.add(), resistance = slots.add();
        slots.bind(plan.second_slot, *s, "capacity_ah", in);
        if (s->has("state_of_health"))
            slots.bind(health, *s, "state_of_health", in);
        else
            slots.draw(health, in + "state_of_health", battery::aged_health(lithium, years), 0.2, 1.1);
        if (s->has("resistance_mohm_100ah"))
            slots.bind(resistance, *s, "resistance_mohm_100ah", in);
        else
            slots.draw(resistance, in + "resistance_mohm_100ah", battery::aged_resistance_mohm(lithium, years), 0.5, 100);
    }
    if (lithium) {
        plan.heater_w = b.number("cell_heater_w");
        plan.heated_to_c = b.number("heated_to_c");
        plan.cells_wh_per_k_ah = b.number("heat_capacity_kj_per_k_100ah") / 360;
    }
}

void add_alternator(const Record& van, const Record& trip, engine::VehiclePlan<double>& plan, const SlotMaker& slots) {
    const RecordPtr d = van.record("dc_dc");
    const std::string at = "dc_dc.";
    slots.set(engine::kDcDcEfficiency, 1);
    slots.set(engine::kAlternatorV, 14);
    if (!d) return;
    plan.link = d->schema().name == "AlternatorLink";
    if (d->flag("line_closed")) slots.bind(engine::kDcDcA, *d, "current_a", at);
    slots.bind(engine::kAlternatorV, *d, "alternator_v", at);
    if (d->has("supply_mohm"))
        slots.bind(engine::kSupplyMohm, *d, "supply_mohm", at);
    else
        slots.set(engine::kSupplyMohm, supply_mohm(*d, van.flag("towed")));
    if (!trip.numbers("idle_days").empty()) {
        plan.idle_slot = slots.add();
        slots.bind(plan.idle_slot, *d, "idle_current_a", at);
    }
    if (plan.link) return;
    slots.bind(engine::kDcDcEfficiency, *d, "efficiency", at);
    slots.bind(engine::kLockoutV, *d, "lockout_v", at);
    plan.cycling_share = d->number("cycling_share");
    if (d->text("input_priority") == "solar_first") plan.priority = engine::kSolarFirst;
    if (d->text("input_priority") == "alternator_first") plan.priority = engine::kAlternatorFirst;
    if (!d->has("restart_v")) return;
    plan.restart_slot = slots.add();
    slots.bind(plan.restart_slot, *d, "restart_v", at);
}

void add_vehicle_hours(const Record& van, const Record& trip, Draft& draft, const SlotMaker& slots,
                       std::vector<std::string>& warnings) {
    const auto day = [](const char* field, double d) {
        return std::string("Trip.") + field + " = " + base::number_text(d) + " (0 is the day of the start)";
    };
    const std::vector<double> none(2 * static_cast<std::size_t>(draft.plan.steps), 0);
    if (!van.flag("towed"))  // a towed camper stays behind
        for (double d : trip.numbers("day_trip_days"))
            slots.mark(draft.drive, 24 * d + trip.number("day_trip_start_h"), trip.number("day_trip_hours"),
                       day("day_trip_days", d));

    const auto& idle = trip.numbers("idle_days");
    if (!idle.empty() && !van.has("dc_dc"))
        warnings.push_back("Trip.idle_days is given, but the van has no dc_dc charger: idling charges nothing");
    if (!idle.empty() && van.has("dc_dc")) {
        draft.idle = none;
        for (double d : idle)
            slots.mark(draft.idle, 24 * d + trip.number("idle_start_h"), trip.number("idle_hours"),
                       day("idle_days", d));
    }

    const auto& runs = trip.numbers("generator_days");
    if (!runs.empty()) {
        if (!van.has("generator") || !van.has("mains"))
            throw base::InputError(
                "Trip.generator_days is given, but Van.generator or Van.mains is None: give the van both");
        draft.plan.vehicle.generator_a =
            van.record("generator")->number("rated_w") * van.record("mains")->number("efficiency") / 14.4;
        draft.generator = none;
        const double start = trip.number("generator_start_h");
        const double from = std::max(start, trip.number("generator_allowed_from_h"));
        const double to = std::min(start + trip.number("generator_hours"), trip.number("generator_allowed_to_h"));
        if (!(to > from))
            warnings.push_back("Trip.generator_start_h lies outside the allowed hours: the generator never runs");
        for (double d : runs)
            if (to > from) slots.mark(draft.generator, 24 * d + from, to - from, day("generator_days", d));
    }

    const Record& b = *van.record("battery");
    if (b.text("location") == "engine_bay")
        draft.battery_rise_k = engine_bay_rise_k(draft.plan, draft.drive, draft.idle, b.number("engine_bay_rise_k"));
}

}  // namespace ridethrough::trip
