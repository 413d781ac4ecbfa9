#include "ridethrough/config/declare.hpp"
#include "ridethrough/trip/schemas.hpp"

namespace ridethrough::trip {
using namespace config;

const Schema& party_schema() {
    static const Schema schema{
        "Party",
        "Who travels, and what they do about rain and heat. Figures of loads are those of a couple: water, the "
        "fridge's "
        "door, lights, phones and drinks follow the number of people; nobody (0) leaves a parked van. On a rainy day "
        "each load follows its own rain_... fields.",
        {
            integer("persons", "", {0, 12}, 2.0, "a couple", "people who sleep in the van; 0: parked and unoccupied"),
            number("rain_below_clearness", "", Level::trial, {0, 1}, 0.25, "from memory, weak",
                   "a day is rainy where its clearness (sun at the ground / above the air) is below this"),
            number("door_heat_per_k", "1/K", Level::fixed, {0, 0.2}, 0.03, "from memory, weak",
                   "the fridge is opened more often by this per K of the day's warmest hour above 25 degC"),
            number("drinks_l_per_person", "l/d", Level::day, {0, 10}, 0.0, "own choice",
                   "drinks put into the fridge at cabin temperature, a person and day"),
            number("drinks_h", "h", Level::fixed, {0, 23}, 16.0, "from memory", "clock hour of it"),
            number("shopping_share", "", Level::trial, {0, 1}, 0.0, "own choice",
                   "chance on each day of a shopping that puts Trip.warm_food_kg into the fridge at warm_food_h, "
                   "besides Trip.warm_food_days"),
            number("carelessness", "", Level::fixed, {0, 2}, 0.0, "own choice: off",
                   "strength of a trait between careful and careless, one normal score a trial that habits share: at "
                   "strength 1 a careless party one standard deviation off starts with 6 points less charge, forgets "
                   "what may be left on 2 times as often, parks in 1.5 times the shade and uses things 1.15 times as "
                   "long (from memory, weak)"),
        },
        {}};
    return schema;
}

}  // namespace ridethrough::trip
