// A heater's starts, which need a voltage: what the battery holds up under the glow current, and what helps it.
#include <catch2/catch.hpp>

#include "trip/van_fixture.hpp"

using namespace van_fixture;

namespace {

// Off by day and at night, so that each day in this cold has two starts.
ConfigurationPtr heater(double starts_above_v, Values more = {}) {
    more.insert(
        {{"starts_above_v", starts_above_v}, {"all_night", false}, {"morning_until_h", 9.0}, {"set_point_c", 20.0}});
    return make("Heater", more);
}

std::vector<Outcome> heated(double initial_soc, const ConfigurationPtr& heater, const char* battery = "AgmBattery") {
    const auto van = make("Van", {{"battery", make(battery, {{"initial_soc", initial_soc}})},
                                  {"solar", std::monostate{}},
                                  {"loads", std::vector<ConfigurationPtr>{heater}}});
    return run(compile(van, plan(site(0.4, 0), 3)), first_trials(400));
}

double failed(const std::vector<Outcome>& outcomes) {
    double sum = 0;
    for (const auto& o : outcomes) sum += o.column[engine::kFailedStarts];
    return sum / static_cast<double>(outcomes.size());
}

}  // namespace

TEST_CASE("a heater does not start on a low bus") {
    // A limit that no battery falls under changes nothing, whichever it is.
    CHECK((heated(1.0, heater(8.0)) == heated(1.0, heater(10.0))));
    CHECK(failed(heated(1.0, heater(10.0))) == 0);
    // Six uses in three days: those that failed and those that ran add up.
    const auto ah = [](const std::vector<Outcome>& outcomes) {
        double sum = 0;
        for (const auto& o : outcomes) sum += o.load_ah[0];
        return sum / static_cast<double>(outcomes.size());
    };
    // Mornings are shorter than evenings, and with evenings of the same length a use is a sixth of all.
    const Values as_long{{"evening_from_h", 20.0}, {"morning_until_h", 9.0}, {"start_spread_h", 0.0}};
    const auto strong = heated(1.0, heater(8.0, as_long)), weak = heated(0.35, heater(11.6, as_long));
    CHECK(failed(weak) > 1);
    CHECK(ah(weak) == Approx(ah(strong) * (1 - failed(weak) / 6)).epsilon(0.05));
    // A higher limit, a thinner cable and an emptier battery each lose more starts; lithium holds its voltage.
    const double lost = failed(heated(0.5, heater(11.2)));
    CHECK(failed(heated(0.5, heater(11.5))) > lost);
    CHECK(failed(heated(0.5, heater(11.2, {{"supply_mohm", 100.0}}))) > lost);
    CHECK(failed(heated(0.3, heater(11.2))) > lost);
    CHECK(failed(heated(0.7, heater(11.2), "LithiumBattery")) == 0);  // which has enough for the three nights
}

TEST_CASE("what charges at that moment holds the bus up, whatever it is") {
    const auto charged = [](const ConfigurationPtr& dc_dc, Values more) {
        const auto van = make("Van", {{"battery", make("AgmBattery", {{"initial_soc", 0.35}})},
                                      {"solar", std::monostate{}},
                                      {"dc_dc", dc_dc},
                                      {"mains", make("MainsCharger")},
                                      {"generator", make("Generator", {{"rated_w", 2000.0}})},
                                      {"loads", std::vector<ConfigurationPtr>{heater(11.6)}}});
        return run(compile(van, plan(site(0.4, 0), 1, more)), first_trials(400));
    };
    const std::vector<double> day0{0};
    const auto hours = [&](const std::string& what) {  // around the evening's start
        return Values{{what + "_days", day0}, {what + "_start_h", 16.0}, {what + "_hours", 5.0}};
    };
    const auto charger = make("DcDcCharger", {{"alternator_v", 14.0}, {"idle_current_a", 25.0}});
    // A cable gives what its volts drive through it.
    const auto cable = [](double volts, double fuse_a) {
        return make("AlternatorCable", {{"alternator_v", volts}, {"supply_mohm", 40.0}, {"current_a", fuse_a}});
    };
    Values generator = hours("generator");
    generator["generator_allowed_to_h"] = 24.0;
    const double none = failed(charged(charger, {})), driven = failed(charged(charger, hours("drive")));
    CHECK(none > driven + 0.3);
    CHECK((charged(charger, hours("idle")) == charged(charger, hours("drive"))));
    CHECK((charged(charger, generator) ==
           charged(charger, {{"powered_nights", day0}, {"powered_from_h", 16.0}, {"powered_hours", 5.0}})));
    CHECK(failed(charged(cable(11, 60), hours("drive"))) == none);
    const auto fused = [&](double a) { return failed(charged(cable(14, a), hours("drive"))); };
    CHECK(fused(100) < none - 0.3);
    CHECK(fused(100) == fused(150));
}
