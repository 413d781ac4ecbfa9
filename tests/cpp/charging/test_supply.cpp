// A charger at the end of a long cable, by hand, and what the declarations of sources refuse.
#include <catch2/catch.hpp>

#include "ridethrough/charging/dc_dc.hpp"
#include "ridethrough/charging/schemas.hpp"
#include "ridethrough/circuit/wiring.hpp"
#include "trip/van_fixture.hpp"

using namespace van_fixture;
using One = simd::Pack<double, 1>;

namespace {

// Output current of a 25 A charger, efficiency .92, by alternator, cable and levels; 0 lock-out or restart: none.
double output_a(double alternator_v, double mohm, double lockout_v, double restart_v = 0, double cycling = 0) {
    One numbers[] = {One(0.92), One(alternator_v), One(mohm), One(lockout_v), One(restart_v)};
    using Index = random::ParameterIndex;
    charging::AlternatorModel m;
    m.efficiency = Index(0), m.alternator_v = Index(1), m.supply_mohm = Index(2), m.lockout_v = Index(3);
    m.cycling_share = cycling;
    if (restart_v > 0) m.restart_v = Index(4);
    return charging::dc_dc_current_a(m, random::Parameters<One>(numbers), One(25.0)).v;
}

}  // namespace

TEST_CASE("towed-cable voltage by hand") {
    // A trailer's charger: 25 A out at 13.8 V with .92 takes 25 * 13.8 / .92 = 375 W. Cable 8 m one way, 6 mm2: 16 m of
    // 3.30 ohm/km (IEC 60228 class 5) = 52.8 mohm. Alternator 14.0 V. v (14 - v) / .0528 = 375, so
    // v = (14 + sqrt(196 - 4 * .0528 * 375)) / 2 = (14 + sqrt(116.8)) / 2 = (14 + 10.8074) / 2 = 12.4037 V;
    // check: 375 W / 12.4037 V = 30.233 A, times .0528 ohm = 1.5963 V, and 14 - 1.5963 = 12.4037 V.
    const double six = 1000 * circuit::conductor_resistance_ohm(6, 16);
    CHECK(six == Approx(52.8).epsilon(1e-12));
    CHECK(charging::supply_input_v(One(14.0), One(six), One(375.0)).v == Approx(12.4037).margin(5e-5));
    // Drop by drop the other way: the same watts over 10 mm2 (1.91 ohm/km, 30.56 mohm):
    // (14 + sqrt(196 - 45.84)) / 2 = (14 + 12.2540) / 2 = 13.1270 V.
    const double ten = 1000 * circuit::conductor_resistance_ohm(10, 16);
    CHECK(charging::supply_input_v(One(14.0), One(ten), One(375.0)).v == Approx(13.1270).margin(5e-5));
    // 2.5 mm2 (7.98 ohm/km, 127.68 mohm): 196 - 191.5 = 4.48, sqrt 2.1166, 8.058 V; 150 mohm carries no 375 W at all.
    CHECK(charging::supply_input_v(One(14.0), One(127.68), One(375.0)).v == Approx(8.0583).margin(5e-4));
    CHECK(charging::supply_input_v(One(14.0), One(150.0), One(375.0)).v == 0);

    // So a lock-out at 12.6 V stops the charger on 6 mm2 and not on 10 mm2, and one at 12.0 V on neither.
    CHECK(output_a(14, six, 12.6) == 0);
    CHECK(output_a(14, ten, 12.6) == 25);
    CHECK(output_a(14, six, 12.0) == 25);
}

TEST_CASE("lock-out under load with a restart level") {
    // Holds under load: needs a start as well. A smart alternator at 13.0 V never lifts the open input to 13.3 V.
    CHECK(output_a(13.0, 10, 12.0) == 25);
    CHECK(output_a(13.0, 10, 12.0, 13.3) == 0);
    CHECK(output_a(13.4, 10, 12.0, 13.3) == 25);
    // Starts, drops out under load, and again: off, or the share that its owner measured.
    CHECK(output_a(14, 52.8, 12.6, 13.3) == 0);
    CHECK(output_a(14, 52.8, 12.6, 13.3, 0.1) == Approx(2.5));
    CHECK(output_a(13, 52.8, 12.6, 13.3, 0.1) == 0);  // cannot even start
    CHECK_THROWS_WITH(compile(agm_van({{"dc_dc", make("DcDcCharger", {{"restart_v", 12.5}})}}), five_nights()),
                      Catch::Contains("dc_dc.restart_v = 12.5") && Catch::Contains("dc_dc.lockout_v = 12.6"));
}

TEST_CASE("declarations of sources") {
    CHECK_THROWS_WITH(make("DcDcCharger", {{"supply_mohm", 15.0}, {"supply_length_m", 5.0}}),
                      Catch::Contains("supply_mohm") && Catch::Contains("supply_length_m"));
    CHECK(make("DcDcCharger", {{"supply_section_mm2", 16.0}})->warnings().size() == 1);  // without a length
    CHECK(make("DcDcCharger", {{"supply_section_mm2", 16.0}, {"supply_length_m", 5.0}})->warnings().empty());

    // Ready-made profiles are whole: 13.65 V throughout is what old converters hold (common practice, no source).
    const auto stages = [](Values v) { return charging::profile_stages(*make("ChargeProfile", v)); };
    CHECK(stages({{"ready_made", "converter"}}).stages.absorption_v == 13.65);
    CHECK(stages({{"ready_made", "converter"}}).stages.float_v == 13.65);
    // Without a profile the stages are those that suit the battery.
    const auto& agm = *battery::chemistries()[0];
    CHECK(stages({{"ready_made", "agm"}}).stages.absorption_limit_h ==
          charging::compile_stages(nullptr, agm).absorption_limit_h);
    CHECK(stages({{"ready_made", "lithium"}}).family == "lithium");
    CHECK(stages({{"absorption_v", 14.7}}).stages.absorption_v == 14.7);
    CHECK_THROWS_WITH(make("ChargeProfile", {{"ready_made", "agm"}, {"float_v", 13.2}}), Catch::Contains("float_v"));
}
