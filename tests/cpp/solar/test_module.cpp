#include <catch2/catch.hpp>

#include "ridethrough/solar/arrays.hpp"

using namespace ridethrough;
using One = simd::Pack<double, 1>;
using F = simd::Pack<float, 8>;

TEST_CASE("a module of 36 cells clamped at battery voltage") {
    // pvlib's calcparams_desoto and singlediode with the same five parameters.
    struct Row {
        double light, cell, most, peak_v, open_v, at_125, at_135, at_144, ratio;
    };
    const Row rows[] = {{1000, 25, 100.08, 18.00, 21.80, 5.908, 5.899, 5.887, .796},
                        {1000, 60, 82.66, 14.84, 18.65, 5.961, 5.876, 5.709, .960},
                        {1000, 75, 75.07, 13.51, 17.29, 5.847, 5.561, 5.042, 1.000},
                        {800, 50, 69.96, 15.68, 19.32, 4.773, 4.742, 4.683, .915},
                        {400, 30, 38.34, 17.20, 20.45, 2.370, 2.365, 2.358, .833},
                        {200, 20, 19.68, 17.68, 20.71, 1.180, 1.178, 1.175, .808}};
    for (const Row& r : rows) {
        INFO(r.light << " W/m2, " << r.cell << " degC");
        const auto m = solar::module_at(One(r.light), One(r.cell), One(0.0));
        const auto peak = module_peak(m);
        CHECK(peak.watts.v == Approx(r.most).margin(0.005));
        CHECK(peak.volts.v == Approx(r.peak_v).margin(0.006));
        CHECK(module_open_v(m).v == Approx(r.open_v).margin(0.006));
        const double volts[] = {12.5, 13.5, 14.4}, amps[] = {r.at_125, r.at_135, r.at_144};
        for (int i = 0; i < 3; ++i) CHECK(module_current_a(m, One(volts[i])).v == Approx(amps[i]).margin(6e-4));
        CHECK(13.5 * module_current_a(m, One(13.5)).v / peak.watts.v == Approx(r.ratio).margin(6e-4));
        const auto f = solar::module_at(F(static_cast<float>(r.light)), F(static_cast<float>(r.cell)), F(0.0f));
        CHECK(static_cast<double>(module_current_a(f, F(13.5f)).lane(5)) == Approx(r.at_135).epsilon(5e-4));
        CHECK(static_cast<double>(module_peak(f).watts.lane(5)) == Approx(r.most).epsilon(5e-4));
    }
    // Above open voltage.
    CHECK(module_current_a(solar::module_at(One(1000.0), One(25.0), One(0.0)), One(25.0)).v == 0);
}

TEST_CASE("PWM is behind tracking in the cold and ahead of it on a hot glued panel") {
    // Power at the battery per rated watt, tracking at .96 and PWM with .4 V lost on the way. The ratios without these
    // losses stand in the case above; on a hot panel nothing is left to track, and the tracker's own loss remains.
    const auto power = [](double rise, double air_c, double battery_v, bool pwm) {
        const One loss(solar::kModuleLossPerK);
        const solar::ArrayTrial<One> p{One(100.0), One(1.0), One(pwm ? 1.0 : 0.96), One(0.0), One(0.0),
                                       One(rise),  loss};
        const auto light = light_on_array(p, One(1000.0), One(0.0), One(air_c));
        const auto m = solar::module_at(light.used, light.cell_c, One(0.0));
        if (!pwm) return array_power_w(light, module_peak(m).watts).v;
        return battery_v * clamped_current_a(light, m, One(battery_v + 0.4), One(1.0)).v;
    };
    const auto ratio = [&](double rise, double air_c, double battery_v) {
        return power(rise, air_c, battery_v, true) / power(rise, air_c, battery_v, false);
    };
    // Glued, 15 and 20 degC air: cells at 71 and 76 degC.
    CHECK(ratio(0.0563, 15, 12.8) == Approx(1.005).margin(0.01));
    CHECK(ratio(0.0563, 20, 12.8) > 1.0);
    // Framed on a frosty day: cells at 16 degC; common figures for the loss are 20 to 30 % (from memory).
    CHECK(ratio(0.0208, -5, 13.0) == Approx(0.77).margin(0.03));
    // Even a hot panel loses against a battery in absorption: its best voltage is then below the battery's.
    CHECK(ratio(0.0563, 30, 14.4) < 0.8);
}

TEST_CASE("a down-converter cannot work a module below battery voltage") {
    const auto at = [](double cell_c) { return solar::module_at(One(1000.0), One(cell_c), One(0.0)); };
    const auto hot = at(90), cool = at(40);
    const auto share = [](const auto& m, double v) {
        const auto peak = module_peak(m);
        return power_above_battery_w(m, peak, One(v)).v / peak.watts.v;
    };
    CHECK(share(cool, 14.4) == 1);
    const double left = share(hot, 14.4);
    CHECK(left == Approx(14.4 * module_current_a(hot, One(14.4)).v / module_peak(hot).watts.v));
    CHECK(left < 0.8);
    CHECK(share(hot, 7.2) == 1);  // two in series
}

TEST_CASE("a module's rating and temperature coefficient are those it is given") {
    // By the definition of both, whatever leaks in the dark.
    const auto watts = [](double cell_c, double loss_per_k, double dark_share) {
        const One equivalent = solar::equivalent_cell_c(One(cell_c), One(loss_per_k));
        return module_peak(solar::module_at(One(1000.0), equivalent, One(dark_share))).watts.v / solar::kModuleRatedW;
    };
    for (const double dark : {0.0, 0.25, 1.0})
        for (const double loss : {0.003, 0.0038, 0.0047}) {
            CHECK(watts(25, loss, dark) == Approx(1).epsilon(1e-12));
            CHECK((watts(24.99, loss, dark) - watts(25.01, loss, dark)) / 0.02 == Approx(loss).epsilon(1e-6));
        }
}

TEST_CASE("a hard shadow works in steps") {
    const auto left = [](int modules, int substrings, bool series, double area, double diffuse,
                         double module_vmp_v = 18) {
        return share_beside_shadow(solar::Strings{modules, substrings, series, module_vmp_v}, One(area), One(diffuse))
            .v;
    };
    for (const bool series : {false, true}) {
        CHECK(left(2, 2, series, 0, 0.1) == 1);
        CHECK(left(2, 2, series, 1, 0.1) == Approx(0.1));
    }
    // A touched substring of s costs 1/s at least, however little of it is touched.
    CHECK(left(2, 2, true, 0.01, 0.1) == Approx(0.75));
    CHECK(left(2, 2, true, 0.26, 0.1) == Approx(0.5));
    CHECK(left(3, 2, true, 0.34, 0.1) == Approx(0.5));
    CHECK(left(1, 3, false, 0.05, 0.1, 31) == Approx(2.0 / 3));
    // Half of one 36-cell module is 9 V: too little for a 12 V battery.
    CHECK(left(1, 2, false, 0.05, 0.1) == Approx(0.1));
    // In parallel only the touched modules stop; without diodes a series string stops whole.
    CHECK(left(2, 2, false, 0.05, 0.1) == Approx(0.55));
    CHECK(left(4, 2, false, 0.3, 0.2) == Approx(1 - 0.5 * 0.8));
    CHECK(left(4, 0, true, 0.05, 0.1) == Approx(0.1));
    CHECK(left(4, 0, false, 0.05, 0.1) == Approx(1 - 0.25 * 0.9));
    for (double a = 0; a < 1; a += 0.03)
        for (const bool series : {false, true})
            CHECK(left(4, 3, series, a + 0.03, 0.15) <= left(4, 3, series, a, 0.15));
}
