#include <cmath>

#include "ridethrough/config/declare.hpp"
#include "ridethrough/loads/schemas.hpp"

namespace ridethrough::loads {
using namespace config;

const Schema& party_schema() {
    static const Schema schema{
        "Party",
        "Who travels, and what they do about rain and heat. Figures of loads are those of a couple: water, the "
        "fridge's door, lights, phones and drinks follow the number of people; nobody (0) leaves a parked van. On a "
        "rainy day "
        "each load follows its own rain_... fields.",
        {
            integer("persons", "", {0, 12}, 2.0, own_choice("a couple"),
                    "people who sleep in the van; 0: parked and unoccupied"),
            number("rain_below_clearness", "", Variation::trial, {0, 1}, 0.25, weak(from_memory()),
                   "a day is rainy where its clearness (sun at the ground / above the air) is below this",
                   Owner::model),
            number("door_heat_per_k", "1/K", Variation::fixed, {0, 0.2}, 0.03, weak(from_memory()),
                   "the fridge is opened more often by this per K of the day's warmest hour above 25 degC"),
            formerly("drinks_l_per_person",
                     number("drinks_l_per_person_day", "l/d", Variation::day, {0, 10}, 0.0, own_choice(),
                            "drinks put into the fridge at cabin temperature, a person and day")),
            number("drinks_h", "h", Variation::fixed, {0, 23}, 16.0, from_memory(), "clock hour of it"),
            formerly(
                "shopping_share",
                number("shopping_probability", "", Variation::trial, {0, 1}, 0.0, own_choice(),
                       "chance on each day of a shopping that puts Trip.warm_food_kg into the fridge at warm_food_h, "
                       "besides Trip.warm_food_days")),
            number("carelessness", "", Variation::fixed, {0, 2}, 0.0, own_choice("off"),
                   "strength of a trait between careful and careless, one normal score a trial that habits share: at "
                   "strength 1 a careless party one standard deviation off starts with 6 points less charge, forgets "
                   "what may be left on 2 times as often, parks in 1.5 times the shade and uses things 1.15 times as "
                   "long (from memory, weak)"),
        },
        {},
        {},
        Owner::person};
    return schema;
}

namespace {

bool is_zero(const Configuration& r, const char* field) {
    const auto* x = std::get_if<double>(&r.at(field));
    return x && *x == 0;
}

}  // namespace

double persons_of(const ConfigurationPtr& party) {
    static const ConfigurationPtr usual = Configuration::make(party_schema(), {});
    return (party ? party : usual)->number("persons");
}

PartyModel compile_party(const ConfigurationPtr& party, double step_h, double warm_food_h,
                         random::ParameterTable& table) {
    PartyModel m;
    if (!party) return m;
    const std::string at = "trip.party.";
    const auto step_of = [&](double hour) { return static_cast<int>(std::floor(hour / step_h + 1e-9)); };
    m.given = true;
    m.persons = party->integer("persons");
    m.rain_below_clearness = table.add(*party, "rain_below_clearness", at);
    m.door_heat_per_k = party->number("door_heat_per_k");
    if (!is_zero(*party, "drinks_l_per_person_day")) {
        m.drinks_l = table.add(*party, "drinks_l_per_person_day", at);
        m.drinks_step = step_of(party->number("drinks_h"));
    }
    if (!is_zero(*party, "shopping_probability")) {
        m.shopping_probability = table.add(*party, "shopping_probability", at);
        m.shopping = table.draws("trip.shopping", 1);
        m.shopping_step = step_of(warm_food_h);
    }
    m.trait_strength = party->number("carelessness");
    if (m.trait_strength > 0) m.trait = table.score("trip.trait", Owner::person);
    return m;
}

}  // namespace ridethrough::loads
