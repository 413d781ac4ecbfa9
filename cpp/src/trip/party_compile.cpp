#include "party_compile.hpp"

#include <cmath>

#include "ridethrough/random/purpose.hpp"

namespace ridethrough::trip {
using base::InputError;
using config::Record;

namespace {

bool is_zero(const Record& r, const char* field) {
    const auto* x = std::get_if<double>(&r.at(field));
    return x && *x == 0;
}

int trait_slot(std::vector<SlotDraw>& slots) {
    SlotDraw& draw = slots.emplace_back();
    draw.path = "trip.trait";
    draw.spread = config::Spread::normal(0, 1);
    draw.low = -5;
    draw.high = 5;
    draw.purpose = random::purpose("trip.trait");
    return static_cast<int>(slots.size()) - 1;
}

}  // namespace

void compile_party(const Record& trip, int first_day, const PartyHost& host, Draft& draft) {
    engine::Plan<double>& p = draft.plan;
    engine::PartyPlan<double>& out = p.party;
    out.first_weekday = ((first_day + 3) % 7 + 7) % 7;  // day 0, 1970-01-01, was a Thursday
    out.shade_daily = host.slots[engine::kShadeBeam].daily;
    const config::RecordPtr party = trip.record("party");
    if (!party) return;
    const auto step_of = [&](double hour) { return static_cast<int>(std::floor(hour / p.step_h + 1e-9)); };
    out.given = true;
    out.persons = party->integer("persons");
    out.rain_slot = host.slot_at(*party, "rain_below_clearness", "trip.party.", 0);
    out.door_heat_per_k = party->number("door_heat_per_k");
    if (!is_zero(*party, "drinks_l_per_person")) {
        out.drinks_slot = host.slot_at(*party, "drinks_l_per_person", "trip.party.", 0);
        out.drinks_step = step_of(party->number("drinks_h"));
    }
    if (!is_zero(*party, "shopping_share")) {
        out.shopping_slot = host.slot_at(*party, "shopping_share", "trip.party.", 0);
        out.shopping_word = host.words("trip.shopping", 1);
        out.shopping_step = step_of(trip.number("warm_food_h"));
    }
    out.trait_strength = party->number("carelessness");
    if (out.trait_strength > 0) out.trait_slot = trait_slot(host.slots);
    if (out.persons > 0) return;
    SlotDraw& lived_in = host.slots[engine::kLivedInRise];  // nobody warms a parked van
    lived_in.spread.reset();
    lived_in.constant = 0;
    draft.loads.heater.load = -1;  // nor heats it
}

void compile_water(const Record& van, const Record& trip, int days, const PartyHost& host, Draft& draft) {
    draft.water_days.assign(static_cast<std::size_t>(days), 0);
    for (double d : trip.numbers("water_days"))
        if (d < days) draft.water_days[static_cast<std::size_t>(d)] = 1;
    const config::RecordPtr tanks = van.record("water");
    if (!tanks) {
        if (trip.numbers("water_days").empty()) return;
        throw InputError("Trip.water_days is given, but Van.water is None: give the van WaterTanks");
    }
    engine::WaterPlan<double>& out = draft.plan.water;
    out.given = true;
    out.fresh_l = tanks->number("fresh_l");
    out.grey_l = tanks->number("grey_l");
    out.start_slot = host.slot_at(*tanks, "start_share", "water.", 0);
    out.grey_start_slot = host.slot_at(*tanks, "grey_start_share", "water.", 0);
    out.grey_share_slot = host.slot_at(*tanks, "grey_share", "water.", 0);
    for (const auto& e : draft.loads.events)
        if (e.litres_per_h > 0) return;
    host.warnings.push_back("Van.water is given, but the van has no WaterPump: nothing is drawn from the tank");
}

}  // namespace ridethrough::trip
