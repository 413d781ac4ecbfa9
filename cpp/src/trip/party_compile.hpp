// Trip.party and Van.water in the plan. Internal to compile.cpp.
#pragma once

#include <string>
#include <vector>

#include "lent.hpp"
#include "ridethrough/trip/compile.hpp"
#include "tables.hpp"

namespace ridethrough::trip {

// What the builder lends: slots are made only for what is asked for, so that nothing else moves.
struct PartyHost {
    SlotAt slot_at;
    WordsOf words;
    std::vector<SlotDraw>& slots;
    std::vector<std::string>& warnings;
};

// After the loads and the surroundings.
void compile_party(const config::Record& trip, int first_day, const PartyHost& host, Draft& draft);
void compile_water(const config::Record& van, const config::Record& trip, int days, const PartyHost& host, Draft& draft);

}  // namespace ridethrough::trip
