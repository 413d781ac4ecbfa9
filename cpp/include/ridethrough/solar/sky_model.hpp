// Light on a tilted plane from an hour's horizontal beam and diffuse, in lanes: isotropic sky (Liu & Jordan 1963), HDKR
// (Hay & Davies 1980, Klucher 1979, Reindl et al. 1990: D&B 2.16.7) and Perez et al. 1990 (all-sites composite).
// A record's dusk may hold more light than arrives above the air. A plane then gets no more from about the Sun than it
// would from there, or than the record has on the horizontal.
#pragma once

#include "ridethrough/simd/pack.hpp"

namespace ridethrough::solar {

enum class SkyModel { isotropic, hdkr, perez };

// What one plane receives in one hour. plane_hours.hpp fills it; incidence losses are inside.
template <class V>
struct PlaneHour {
    V beam;          // over the horizontal beam
    V sky;           // over the isotropic diffuse
    V ground;        // over the global, albedo included
    V aureole;       // cosine of incidence over that of the zenith, the latter at least cos 85 deg (Perez)
    V band;          // sine of the tilt (Perez)
    V cube;          // sin^3 of half the tilt (HDKR)
    V i0;            // horizontal extraterrestrial, Wh/m2
    V sin_altitude;  // mean of the part of the hour with the Sun up; 1 where it is down
    V zenith_rad;
    V air_mass;

    static constexpr int numbers = 10;
};

template <class V>
struct PlaneLight {
    V beam, sky;  // W/m2; beam: what comes from about the Sun, sky: the rest and the ground's
};

namespace detail {
// Perez, Ineichen, Seals, Michalsky & Stewart 1990, Solar Energy 44, 271-289, table 6: f11 f12 f13 f21 f22 f23 in eight
// classes of sky clearness.
inline constexpr double perez_bounds[7] = {1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2};
inline constexpr double perez_table[8][6] = {
    {-0.008, 0.588, -0.062, -0.060, 0.072, -0.022}, {0.130, 0.683, -0.151, -0.019, 0.066, -0.029},
    {0.330, 0.487, -0.221, 0.055, -0.064, -0.026},  {0.568, 0.187, -0.295, 0.109, -0.152, -0.014},
    {0.873, -0.392, -0.362, 0.226, -0.462, 0.001},  {1.132, -1.237, -0.412, 0.288, -0.823, 0.056},
    {1.060, -1.600, -0.359, 0.264, -1.127, 0.131},  {0.678, -0.327, -0.250, 0.156, -1.377, 0.251}};

template <class V>
RT_INLINE V most_from_sun(const PlaneHour<V>& p, V global) {
    return max(p.i0 * p.beam, global);
}

template <class V>
RT_INLINE PlaneLight<V> perez_light(const PlaneHour<V>& p, V direct, V diffuse, V ground) {
    using T = typename V::Scalar;
    const V zero(T(0)), one(T(1)), some = max(diffuse, V(T(1e-6)));
    const V z3 = V(T(1.041)) * p.zenith_rad * p.zenith_rad * p.zenith_rad;
    const V clearness = one + direct / (some * p.sin_altitude * (one + z3));
    const V brightness = min(diffuse, p.i0) * p.air_mass * p.sin_altitude / max(p.i0, V(T(1e-6)));
    V f[6];
    for (int j = 0; j < 6; ++j) {
        f[j] = V(T(perez_table[0][j]));
        for (int i = 0; i < 7; ++i)
            f[j] = select(clearness >= V(T(perez_bounds[i])), V(T(perez_table[i + 1][j])), f[j]);
    }
    const V f1 = max(f[0] + f[1] * brightness + f[2] * p.zenith_rad, zero);
    const V f2 = f[3] + f[4] * brightness + f[5] * p.zenith_rad;
    const V about_sun = diffuse * f1 * p.aureole;
    const V dome = diffuse * ((one - f1) * p.sky + f2 * p.band);
    // A dim horizon may take more than the dome has; what is then left of both is kept.
    const V from_dome = max(dome, zero);
    const V from_sun = max(about_sun + dome, zero) - from_dome;
    return {min(direct * p.beam + max(from_sun, zero), most_from_sun(p, direct + diffuse)), from_dome + ground};
}
}  // namespace detail

// direct, diffuse: on the horizontal, W/m2.
template <class V>
RT_INLINE PlaneLight<V> light_on_plane(SkyModel model, const PlaneHour<V>& p, V direct, V diffuse) {
    using T = typename V::Scalar;
    const V one(T(1)), global = direct + diffuse, ground = global * p.ground;
    if (model == SkyModel::perez) return detail::perez_light(p, direct, diffuse, ground);
    if (model == SkyModel::hdkr) {
        const V anisotropy = min(direct / max(p.i0, V(T(1e-6))), one);
        const V brightening = sqrt(max(direct, V(T(0))) / max(global, V(T(1e-6))));
        return {min((direct + diffuse * anisotropy) * p.beam, detail::most_from_sun(p, global)),
                diffuse * (one - anisotropy) * p.sky * (one + brightening * p.cube) + ground};
    }
    return {direct * p.beam, diffuse * p.sky + ground};
}

}  // namespace ridethrough::solar
