// Geometry of a fixed plane: what of the beam, the sky and the ground reaches it, against the horizontal.
#pragma once

#include <array>
#include <span>
#include <vector>

#include "ridethrough/sun/sky.hpp"
#include "ridethrough/weather/plane_factors.hpp"

namespace ridethrough::solar {

struct Plane {
    double tilt_deg = 0;       // 0 flat, 90 upright
    double azimuth_deg = 180;  // the way it faces, clockwise from north
};

// Heights of what stands around (hills, houses, trees): bearing clockwise from north, height, bearing, height, ... by
// rising bearing from 0 to under 360, straight lines between, also from the last on to the first; empty: open ground.
struct Horizon {
    std::vector<double> points_deg;

    bool empty() const { return points_deg.empty(); }
    double height_deg(double azimuth_deg) const;
    double open_sky() const;  // share of an isotropic sky's light that still reaches a flat plane
};

// Losses at glancing incidence: ASHRAE 93 with b0 = 0.05, 1 - b0 (1/cos - 1), not below 0.
double incidence_modifier(double cos_incidence);
// The same averaged over the sky dome and over the ground, by the effective angles of Brandemuehl & Beckman 1980
// (D&B 5.4.1, 5.4.2; from memory).
double sky_modifier(double tilt_deg);
double ground_modifier(double tilt_deg);

// Plane over horizontal beam in each clock hour, both summed over the hour's sub-samples with the Sun up.
std::array<double, 24> beam_factor(const sun::SkyDay& sky, const Plane& plane, bool with_modifier = true,
                                   const Horizon& horizon = {});
// Of one hour: sums of the cosines of incidence (with the modifier, where the Sun is not hidden) and of the zenith.
struct HourBeam {
    double received = 0, horizontal = 0;
    int up = 0;  // sub-samples with the Sun up
};
HourBeam hour_beam(const sun::SkyDay& sky, std::size_t hour, const Plane& plane, bool with_modifier,
                   const Horizon& horizon);
double sky_factor(const Plane& plane, bool with_modifier = true);     // (1 + cos tilt)/2
double ground_factor(const Plane& plane, bool with_modifier = true);  // (1 - cos tilt)/2; times the albedo

// The factors of each hour of `days`, in order.
weather::PlaneFactors plane_factors(std::span<const sun::SkyDay> days, const Plane& plane, double albedo = 0.2,
                                    const Horizon& horizon = {});

}  // namespace ridethrough::solar
