// Trip.party and Van.water in the plan. Internal to compile.cpp.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "ridethrough/trip/compile.hpp"
#include "tables.hpp"

namespace ridethrough::trip {

// What the builder lends: slots are made only for what is asked for, so that nothing else moves.
struct PartyHost {
    std::function<int(const base::Record& record, const char* field, const char* path)> slot;
    std::function<int(const char* purpose, int words_a_day)> words;
    std::vector<SlotDraw>& slots;
    std::vector<std::string>& warnings;
};

// After the loads and the surroundings.
void compile_party(const base::Record& trip, int first_day, const PartyHost& host, Draft& draft);
void compile_water(const base::Record& van, const base::Record& trip, int days, const PartyHost& host, Draft& draft);
// Whether a load needs a voltage to start.
bool has_gated_starts(const Draft& draft);

}  // namespace ridethrough::trip
