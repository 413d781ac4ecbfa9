// The numbers behind light_on_plane() for each hour, made once a trip in double: of a fixed plane, or of a panel that
// is aimed at the Sun some times a day.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "ridethrough/solar/plane.hpp"
#include "ridethrough/solar/sky_model.hpp"

namespace ridethrough::solar {

// Numbers of one hour, in the order of PlaneHour's members.
using PlaneNumbers = std::vector<double>;

// The Sun and a plane at one time, or their means over an hour.
struct Instant {
    double received;    // cosine of incidence, times the incidence modifier, 0 behind the plane
    double cos_zenith;  // above 0
    double i0_w_m2;     // horizontal extraterrestrial
};
std::array<double, PlaneHour<double>::numbers> plane_numbers(const Instant& at, double tilt_deg, double albedo,
                                                             double open_sky = 1, bool with_modifier = true);

// A panel on its feet: set up at one clock hour, packed at another, turned to the Sun's place at the middle of each of
// `aims` equal parts of the light between.
struct Aiming {
    double from_h = 9, to_h = 18;
    int aims = 2;
    std::optional<double> tilt_deg;  // not given: square to the Sun, from lowest to highest_tilt_deg
};
inline constexpr double lowest_tilt_deg = 15, highest_tilt_deg = 70;  // what folding feet allow; from memory

std::vector<Plane> aimed_planes(const sun::SkyDay& day, const Aiming& aiming);  // of the 24 hours

// Appends the hours of `days`, PlaneHour::numbers each.
void append_plane_hours(PlaneNumbers& out, std::span<const sun::SkyDay> days, const Plane& plane, double albedo,
                        const Horizon& horizon = {}, bool with_modifier = true);
void append_plane_hours(PlaneNumbers& out, std::span<const sun::SkyDay> days, const Aiming& aiming, double albedo,
                        const Horizon& horizon = {}, bool with_modifier = true);

// Kasten & Young 1989 (Applied Optics 28, 4735-4738).
double relative_air_mass(double zenith_deg);

}  // namespace ridethrough::solar
