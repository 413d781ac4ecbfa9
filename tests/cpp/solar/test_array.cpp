#include <catch2/catch.hpp>

#include "ridethrough/solar/arrays.hpp"
#include "ridethrough/solar/schemas.hpp"

using namespace ridethrough;
using solar::ArrayTrial;
using One = simd::Pack<double, 1>;
using Eight = simd::Pack<double, 8>;
using SixteenFloat = simd::Pack<float, 16>;

namespace {

template <class V>
ArrayTrial<V> clean(double rise = 0) {
    using T = typename V::Scalar;
    return {T(100), T(1), T(1), T(0), T(0), V(static_cast<T>(rise)), T(solar::kModuleLossPerK)};
}

template <class V>
V power_w(const ArrayTrial<V>& p, V beam, V sky, V air_c) {
    using T = typename V::Scalar;
    const auto light = light_on_array(p, beam, sky, air_c);
    const auto m = solar::module_at(simd::max(light.used, V(T(solar::kLeastLightWM2))), light.cell_c, V(T(0)));
    return array_power_w(light, module_peak(m).watts);
}

}  // namespace

TEMPLATE_TEST_CASE("module power over irradiance and cell temperature", "", One, Eight, SixteenFloat) {
    // pvlib's calcparams_desoto and singlediode with the module's five parameters, over their 100.08 W.
    using V = TestType;
    using T = typename V::Scalar;
    const double light[] = {1000, 800, 400, 200}, cell[] = {25, 50, 30, 20};
    const double watts[] = {100, 69.96 / 1.0008, 38.34 / 1.0008, 19.68 / 1.0008};
    for (int i = 0; i < 4; ++i) {
        const V p = power_w(clean<V>(), V(static_cast<T>(light[i])), V(T(0)), V(static_cast<T>(cell[i])));
        for (int lane = 0; lane < V::width; ++lane)
            CHECK(static_cast<double>(p.lane(lane)) == Approx(watts[i]).margin(6e-3));
    }
    CHECK(all(power_w(clean<V>(), V(T(0)), V(T(0)), V(T(20))) == V(T(0))));
    CHECK(all(power_w(clean<V>(), V(T(-3)), V(T(0.01)), V(T(-30))) >= V(T(0))));
}

TEST_CASE("mounting sets how hot the cells run") {
    // Ross 1981: cells are warmer than the air by a coefficient times the light. How large it is for each mounting is
    // held against other authors' fits in tests/python/test_cell_temperature.py.
    double last = 100;
    for (const char* mounting : {"framed", "air_gap", "glued"}) {
        const double rise = solar::mounting_rise_k_per_w_m2(mounting);
        const One hot = power_w(clean<One>(rise), One(800.0), One(0.0), One(20.0));
        const One same = power_w(clean<One>(), One(800.0), One(0.0), One(20 + 800 * rise));
        CHECK(hot.v == Approx(same.v).epsilon(1e-12));
        CHECK(hot.v < last);
        last = hot.v;
    }
}

TEST_CASE("shade takes its own part of beam and sky, soiling of both, the charge controller of the power") {
    auto p = clean<One>();
    const auto power = [&p](double beam, double sky) { return power_w(p, One(beam), One(sky), One(25.0)).v; };
    const double sunny = power(600, 200);
    CHECK(sunny == Approx(power(0, 800)));
    p.shade_beam = One(0.5);
    CHECK(power(600, 200) == Approx(power_w(clean<One>(), One(0.0), One(500.0), One(25.0)).v));
    p.shade_sky = One(0.25);
    CHECK(power(600, 200) == Approx(power_w(clean<One>(), One(0.0), One(450.0), One(25.0)).v));
    p.shade_beam = p.shade_sky = One(1.0);
    CHECK(power(600, 200) == 0);
    p = clean<One>();
    p.light_share = One(0.9);  // a soiled panel does what less light would do
    CHECK(power(600, 200) == Approx(power_w(clean<One>(), One(0.0), One(720.0), One(25.0)).v));
    p = clean<One>(0.0563);
    const double before = power(600, 200);
    p.power_share = One(0.9);
    CHECK(power(600, 200) == Approx(0.9 * before).epsilon(1e-12));
}
