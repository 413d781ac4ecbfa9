// Draws of a trip that can be given instead of drawn, each as the standard normal score of its quantile: the way in for
// importance sampling and for scrambled low-discrepancy points. What is not given is drawn as ever.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "ridethrough/trip/compile.hpp"

namespace ridethrough::engine {

struct Coordinate {
    struct Place {
        int parameter;
        int day_place;  // its place among the plan's daily parameters; -1: drawn once a trial
    };

    std::string name;                // "weather.clearness" or the path of a spread
    int day = -1;                    // of the trip, from 0; -1: once a trial
    int draw = -1;                   // either the place among the draws of a trial, whose high half is the score
    std::vector<Place> places = {};  // or the parameters drawn under one purpose, whose spreads have its quantile
};

// Places of the parameters that are spreads, in an order that stays: that of the coordinates.
std::vector<std::size_t> spreads_in_order(const trip::CompiledTrip& compiled);
// Days of clearness and temperature (none where the weather is replayed), then every spread.
std::vector<Coordinate> coordinates(const trip::CompiledTrip& compiled);

struct GivenScores {
    std::vector<Coordinate> where;
    const double* score = nullptr;  // [trial - first_trial][coordinate]
    std::int64_t first_trial = 0;

    double at(std::int64_t trial, std::size_t coordinate) const {
        return score[static_cast<std::size_t>(trial - first_trial) * where.size() + coordinate];
    }
};

std::uint64_t with_score(std::uint64_t draw, double score);  // the draw with another high half
double uniform_of_score(double score);                       // inside the range of random::uniform

}  // namespace ridethrough::engine
