// What a plane receives of each hour's horizontal beam, diffuse and global irradiation. The layer above computes it
// (solar/plane.hpp); the weather only multiplies. One number an hour, so a plane may be tilted on some days only.
#pragma once

#include <vector>

namespace ridethrough::weather {

struct PlaneFactors {
    std::vector<double> beam;    // of the horizontal beam
    std::vector<double> sky;     // of the horizontal diffuse
    std::vector<double> ground;  // of the global, albedo included
};

}  // namespace ridethrough::weather
