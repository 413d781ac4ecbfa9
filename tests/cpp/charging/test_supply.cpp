// A charger at the end of a long cable, by hand, and what the declarations of sources refuse.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdint>

#include "ridethrough/charging/dc_dc.hpp"
#include "ridethrough/charging/schemas.hpp"
#include "ridethrough/circuit/wiring.hpp"
#include "trip/van_fixture.hpp"

using namespace van_fixture;
using One = simd::Pack<double, 1>;

namespace {

// Mean output current of a 25 A charger, efficiency .92, by alternator, cable and levels; restart 0: not given.
double output_a(charging::Alternator<One> alternator, double mohm, double lockout_v, double restart_v = 0,
                double cycling = 0) {
    One numbers[] = {One(0.92),      alternator.level_v, One(mohm),   One(lockout_v),
                     One(restart_v), alternator.swing_v, One(cycling)};
    using Index = random::ParameterIndex;
    charging::AlternatorModel m;
    m.efficiency = Index(0), m.alternator_v = Index(1), m.supply_mohm = Index(2), m.lockout_v = Index(3);
    m.swing_v = Index(5), m.cycling_share = Index(6);
    if (restart_v > 0) m.restart_v = Index(4);
    return 25 * charging::dc_dc_share(m, random::Parameters<One>(numbers), One(25.0)).v;
}
double output_a(double alternator_v, double mohm, double lockout_v, double restart_v = 0, double cycling = 0) {
    return output_a({One(alternator_v), One(0.0)}, mohm, lockout_v, restart_v, cycling);
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

TEST_CASE("the alternator's voltage at which a charger holds, by hand") {
    // Ohm's law: 375 W at 12.6 V are 29.762 A, over .0528 ohm 1.5714 V: 14.1714 V; so many give 12.6 V back.
    const One least = charging::least_alternator_v(One(52.8), One(375.0), One(12.6));
    CHECK(least.v == Approx(14.1714).margin(5e-5));
    CHECK(charging::supply_input_v(least, One(52.8), One(375.0)).v == Approx(12.6).epsilon(1e-13));
    // A source gives at most u^2 / 4R (maximum power theorem, textbooks): 375 W over .15 ohm need 15 V, and the input
    // is then at half of that, however low the lock-out.
    CHECK(charging::least_alternator_v(One(150.0), One(375.0), One(5.0)).v == Approx(15).epsilon(1e-13));
    CHECK(charging::supply_input_v(One(15.001), One(150.0), One(375.0)).v == Approx(7.5).margin(0.1));
    CHECK(charging::supply_input_v(One(14.999), One(150.0), One(375.0)).v == 0);
    CHECK(charging::least_alternator_v(One(0.0), One(375.0), One(12.6)).v == 12.6);
}

TEST_CASE("within the swing a charger works for a share of the time") {
    using Swing = charging::Alternator<One>;
    // 13.5 to 14.5 V over those 52.8 mohm: above 14.1714 V for .3286 of the time; it can start all the time (13.1 V).
    const Swing towed{One(14.0), One(0.5)};
    CHECK(output_a(towed, 52.8, 12.6) == Approx(25 * 0.3286).margin(2e-3));
    CHECK(output_a(towed, 52.8, 12.6, 0, 0.25) == Approx(25 * (0.3286 + 0.25 * 0.6714)).margin(2e-3));
    // It can start above 13.8 V only, .7 of the time.
    CHECK(output_a(towed, 52.8, 12.6, 13.8, 0.25) == Approx(25 * (0.3286 + 0.25 * 0.3714)).margin(2e-3));
    // All or nothing where the swing does not come near.
    CHECK(output_a(towed, 10, 12.6) == 25);
    CHECK(output_a(towed, 90, 12.6) == 0);
    CHECK(output_a(towed, 90, 12.6, 14.6, 0.25) == 0);
    // It leads on to the voltage that stands still.
    for (const double volts : {14.10, 14.17, 14.18, 14.30})
        CHECK(output_a({One(volts), One(1e-6)}, 52.8, 12.6) == output_a(volts, 52.8, 12.6));

    // A latch played: starts at 14.0 V, drops out under 13.0 V, the volts drawn anew each few minutes.
    const double share = output_a({One(13.3), One(1.1)}, 0, 13.0, 14.0) / 25;
    std::uint64_t state = 1;
    int on = 0;
    const int draws = 200000;
    for (int i = 0, latch = 0; i < draws; ++i) {
        state = state * 6364136223846793005u + 1442695040888963407u;
        const double volts = 12.2 + 2.2 * double(state >> 11) / 9007199254740992.0;
        latch = volts >= 14.0 || (latch && volts >= 13.0);
        on += latch;
    }
    CHECK(share == Approx(0.4 / 1.2));
    CHECK(double(on) / draws == Approx(share).margin(0.008));  // some four standard errors
}

TEST_CASE("mean of a swinging alternator above a battery") {
    using Swing = charging::Alternator<One>;
    for (const double battery_v : {12.0, 12.4, 12.9, 13.4, 14.2, 14.8}) {
        double sum = 0;
        for (int i = 0; i < 20000; ++i) sum += std::max(12.3 + 2.4 * (i + 0.5) / 20000, battery_v) / 20000;
        const double mean = Swing{One(13.5), One(1.2)}.mean_above(One(battery_v)).v;
        if (battery_v < 14.8)
            CHECK(mean == Approx(sum).epsilon(1e-8));
        else
            CHECK(mean == 13.5);  // nothing flows at any time
        CHECK(Swing{One(13.5), One(0.0)}.mean_above(One(battery_v)).v == 13.5);
    }
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
