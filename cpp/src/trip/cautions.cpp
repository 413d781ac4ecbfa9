#include "ridethrough/trip/cautions.hpp"

#include <algorithm>

#include "ridethrough/base/letters.hpp"
#include "ridethrough/battery/chemistry.hpp"

namespace ridethrough::trip {

namespace {

constexpr std::string_view kRefusal =
    "No probability is given for a ventilator or an oxygen concentrator. Don't run one from a van's battery on the "
    "strength of any forecast: ask its supplier and a clinician for an independent, tested back-up. (It is known by "
    "its name: call a roof fan a fan.)";

// By parts of the words that some languages have for them, without accents; there are more than these.
constexpr std::string_view kNever[] = {"ventilator", "respirat",       "oxyg",     "concentrat", "koncentrat",
                                       "concentrad", "ventilador mec", "beatmung", "sauerstoff", "respirador",
                                       "oxig",       "ossigen",        "zuurstof", "beadem"};

}  // namespace

std::vector<std::string> cautions(const config::Configuration& van, const config::Configuration& trip) {
    std::vector<std::string> sentences;
    for (const config::ConfigurationPtr& load : van.parts("loads"))
        if (load->schema().name == "BreathingMachine")
            sentences.push_back("Breathing machine (" + load->text("name") +
                                "): counted in and never shed, but this figure is no target and no pass mark for it. "
                                "Measure what it takes at 12 V, and have an independent back-up that has been tested.");
    if (!trip.parts("generator_runs").empty() || !trip.parts("idling").empty()) sentences.emplace_back(kCarbonMonoxide);
    const config::Configuration& battery = battery::in_common(van);
    if (battery.text("location") == "living_space")
        sentences.emplace_back(battery::chemistry_of(battery).vents_gas ? kLeadAcidInside : kLithiumInside);
    return sentences;
}

void refuse_life_support(std::span<const std::string> load_names) {
    for (const std::string& name : load_names) {
        const std::string word = base::plain_letters(name);
        const auto within = [&](std::string_view part) { return word.find(part) != std::string::npos; };
        if (std::any_of(std::begin(kNever), std::end(kNever), within))
            throw base::InputError({.path = "loads." + name, .reason = std::string(kRefusal)});
    }
}

}  // namespace ridethrough::trip
