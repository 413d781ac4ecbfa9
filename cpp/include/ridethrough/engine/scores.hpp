// Draws of a trip that can be given instead of drawn, each as the standard normal score of its quantile: the way in for
// importance sampling and for scrambled low-discrepancy points. What is not given is drawn as ever.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ridethrough/trip/compile.hpp"

namespace ridethrough::engine {

// Each 64-bit draw gives a normal by its high half and a uniform by its low one.
enum class Half { normal, uniform };

struct Coordinate {
    struct Place {
        random::ParameterIndex parameter;
        std::optional<int> day_place = {};  // its place among the plan's daily parameters; none: drawn once a trial
    };

    std::string name;              // "weather.clearness" or the path of a spread
    std::optional<int> day = {};   // of the trip, from 0; none: once a trial
    std::optional<int> draw = {};  // either the place among the draws of a trial, one half of which the score gives
    Half half = Half::normal;
    std::vector<Place> places = {};  // or the parameters drawn under one purpose, whose spreads have its quantile
};

// Places of the parameters that are spreads, in an order that stays: that of the coordinates.
std::vector<std::size_t> spreads_in_order(const trip::CompiledTrip& compiled);
// Days of clearness and temperature (none where the weather is replayed), then every spread.
std::vector<Coordinate> coordinates(const trip::CompiledTrip& compiled);

// Draw `i` of a purpose's day; InputError where the trip has no such draw. What it does to a trial is the model's
// business: a use of a load, a cloud, the fridge's phase at the start.
Coordinate coordinate_of_draw(const trip::CompiledTrip& compiled, const std::string& purpose, int day, int i,
                              Half half);

struct GivenScores {
    std::vector<Coordinate> where;
    const double* score = nullptr;  // [row of the run][coordinate]

    double at(std::size_t row, std::size_t coordinate) const { return score[row * where.size() + coordinate]; }
};

// The draw with one half replaced; `tail` is P(Z < -|score|), so that the far tail keeps its digits.
std::uint64_t with_score(std::uint64_t draw, Half half, double score, double tail);
double inside_uniform(double probability);  // kept in the range of random::uniform

}  // namespace ridethrough::engine
