// The library's face for C++ programs: what may be written, what is refused, and that it plays the engine's own trials.
#include <catch2/catch.hpp>
#include <cmath>

#include "ridethrough/ensemble/ensemble.hpp"
#include "ridethrough/ridethrough.hpp"
#include "trip/van_fixture.hpp"

using namespace ridethrough;
using Catch::Contains;

namespace {

const Climate november({{"latitude", 36.1},
                        {"longitude", -79.95},
                        {"ghi_kwh_m2_day", {2.4, 3.1, 4.3, 5.4, 5.6, 6.3, 6.1, 5.6, 4.4, 3.6, 2.4, 2.2}},
                        {"air_temp_c", std::vector<double>(12, 9.0)}});

Site site(const Fields& more = {{"utc_offset_h", -5}}) {
    Fields fields{{"latitude", 36.1}, {"longitude", -79.95}, {"climate", november}};
    fields.insert(fields.end(), more.begin(), more.end());
    return Site(fields);
}
Trip five_nights(const Site& where = site()) {
    return Trip({{"site", where}, {"start", "2026-11-06 15:00"}, {"nights", 5}});
}

}  // namespace

TEST_CASE("parts are made of every kind of value") {
    const Part solar = make("SolarArray", {{"rated_w", Spread::triangular(180, 200, 220)}});
    const Van van({{"battery", make("LithiumBattery", {{"capacity_ah", 120}, {"location", "locker"}})},
                   {"solar", solar},
                   {"dc_dc", none},
                   {"loads", {make("Lights"), make("Phones")}}});
    CHECK(van.configuration()->part("battery")->number("capacity_ah") == 120);
    CHECK(van.configuration()->part("battery")->text("location") == "locker");
    CHECK_FALSE(van.configuration()->has("dc_dc"));
    CHECK(van.configuration()->parts("loads").size() == 2);
    CHECK(van.kind() == "Van");
    CHECK_THAT(van.text(), Contains("rated_w=triangular(180, 200, 220)"));
    CHECK(van.with({{"solar", none}}).with({{"solar", solar}}) == van);
    CHECK_FALSE(van.with({{"solar", none}}) == van);
    CHECK(van.with({{"arrays", {solar}}}) == van);
    const Van two = van.with({{"arrays", {solar, make("PortableArray")}}});
    CHECK(two.configuration()->parts("arrays").size() == 2);
    CHECK_THROWS_WITH(two.configuration()->part("solar"),
                      Contains("Van.solar: there are 2 arrays; say which: arrays.roof, arrays.portable"));
    CHECK(two.with({{"solar", solar}}) == van);
    const Trip trip =
        five_nights().with({{"drives", {make("Drive", {{"days", {2, 4}}})}}, {"horizon_deg", {180, 5, 90, 15}}});
    CHECK(trip.configuration()->parts("drives")[0]->days("days")[1].value == 4);
    CHECK(trip.configuration()->numbers("horizon_deg") == std::vector<double>{90, 15, 180, 5});
    const Part friday = make("Drive", {{"days", {"Friday", "2026-11-08"}}});
    CHECK(friday.configuration()->days("days")[0].text() == "Friday");
    CHECK(friday.configuration()->days("days")[1].text() == "2026-11-08");
    CHECK_THROWS_WITH(make("Drive", {{"days", {"Frieday", "Sunday"}}}), Contains("days = 'Frieday'"));
    CHECK(make("Fridge", {{"form", "chest"}}) == make("Fridge"));
    CHECK(Van() == Van(Fields{}));
}

TEST_CASE("a part tells whether a value is the default, given or measured") {
    const Part battery =
        make("AgmBattery", {{"location", "locker"}}).with_measured({{"capacity_ah", 92}}, "2026-05-01");
    CHECK(battery.origin("capacity_ah") == "measured on 2026-05-01");
    CHECK(battery.origin("location") == "given");
    CHECK(battery.origin("state_of_health") == "default");
    CHECK(battery == make("AgmBattery", {{"location", "locker"}, {"capacity_ah", 92}}));
    CHECK(battery.with({{"location", "engine_bay"}}).origin("capacity_ah") == "measured on 2026-05-01");
    CHECK(battery.with({{"capacity_ah", 95}}).origin("capacity_ah") == "given");
    const Van van = Van().with_measured({{"cabin_heat_loss_w_per_k", 55}}, "2026-05-01");
    CHECK(van.origin("cabin_heat_loss_w_per_k") == "measured on 2026-05-01");
    CHECK(five_nights().with_measured({{"habits_scale", 1.1}}, "2026-05-01").origin("nights") == "given");
    CHECK_THROWS_WITH(battery.origin("capacity"), Contains("no such field; did you mean capacity_ah?"));
    CHECK_THROWS_WITH(battery.with_measured({{"capacity_ah", 1}}, "2026-05-01"), Contains("allowed 5 to 2000 Ah"));
    CHECK_THROWS_WITH(battery.with_measured({{"capacity_ah", 92}}, "May"), Contains("allowed a date such as"));
}

TEST_CASE("bad input names the field, the value and what is allowed") {
    CHECK_THROWS_WITH(make("AgmBatery"), Contains("did you mean AgmBattery?"));
    CHECK_THROWS_WITH(make("AgmBattery", {{"capacity", 120}}), Contains("no such field; did you mean capacity_ah?"));
    CHECK_THROWS_WITH(make("AgmBattery", {{"capacity_ah", -5}}), Contains("AgmBattery.capacity_ah = -5 Ah: allowed"));
    CHECK_THROWS_WITH(make("AgmBattery", {{"capacity_ah", NAN}}), Contains("AgmBattery.capacity_ah = nan"));
    CHECK_THROWS_WITH(make("AgmBattery", {{"capacity_ah", "120"}}), Contains("AgmBattery.capacity_ah = '120'"));
    CHECK_THROWS_WITH(make("AgmBattery", {{"capacity_ah", 1}, {"capacity_ah", 2}}), Contains("given twice"));
    CHECK_THROWS_WITH(Van({{"battery", make("Lights")}}), Contains("Van.battery"));
    CHECK_THROWS_WITH(Van().with({{"batery", make("AgmBattery")}}), Contains("did you mean battery?"));
    CHECK_THROWS_WITH(Van({{"solar", make("SolarArray")}, {"arrays", {make("SolarArray")}}}),
                      Contains("Van.solar: not allowed beside Van.arrays"));
    CHECK_THROWS_WITH(Van({{"more_solar", {make("SolarArray")}}}), Contains("it is now arrays"));
    CHECK_THROWS_AS(Trip({{"nights", 5}}), InputError);

    const Van van;
    CHECK_THROWS_WITH(simulate(van, five_nights(), {.trials = 0}), Contains("trials = 0: allowed 1 to 1,000,000,000"));
    CHECK_THROWS_WITH(simulate(van, five_nights(), {.threads = -1}), Contains("threads = -1"));
    const Options far_east{.clock = Clock{.utc_offset_h = 15}};
    CHECK_THROWS_WITH(simulate(van, five_nights(), far_east), Contains("utc_offset_h = 15"));
    CHECK_THROWS_WITH(simulate(van, five_nights(site({{"time_zone", "America/New_York"}}))), Contains("time_zone"));
    CHECK_THROWS_WITH(simulate(van, five_nights(), {.trials = 64}).column("hour_off"),
                      Contains("did you mean \"hours_off\"?"));
}

TEST_CASE("the library plays the engine's own trials") {
    for (const Precision precision : {Precision::double_, Precision::single_}) {
        const Risk risk = simulate(Van(), five_nights(), {.trials = 500, .seed = 7, .precision = precision});
        const auto compiled = van_fixture::compile(Van().configuration(), five_nights().configuration());
        const auto inside =
            van_fixture::run(compiled, van_fixture::first_trials(500),
                             precision == Precision::double_ ? engine::Precision::double_ : engine::Precision::single_,
                             0, van_fixture::no_series, 7);
        REQUIRE(risk.trials == 500);
        REQUIRE(risk.column("fridge_wh").size() == 500);
        std::int64_t events = 0;
        for (std::size_t i = 0; i < inside.size(); ++i) {
            CHECK(risk.column("fridge_wh")[i] == static_cast<float>(inside[i].column[engine::kFridgeWh]));
            CHECK(risk.column("days_full")[i] == static_cast<float>(inside[i].column[engine::kDaysFull]));
            CHECK(risk.column("cutout_cause")[i] == static_cast<float>(inside[i].column[engine::kCutoutCause]));
            events += inside[i].cut();
        }
        CHECK(risk.cutout == stats::wilson(events, 500));
        CHECK(risk.cutout.events > 0);
        CHECK_FALSE(risk.stopped);
    }
}

TEST_CASE("the clock is what is given, and a guessed one is reported") {
    const Options few{.trials = 64};
    CHECK(simulate(Van(), five_nights(), few).warnings.empty());
    const Risk guessed = simulate(Van(), five_nights(site({})), few);
    REQUIRE(guessed.warnings.size() == 1);
    CHECK_THAT(guessed.warnings[0], Contains("-5 h ahead of UTC") && Contains("without summer time"));
    CHECK_THAT(guessed.text(), Contains("Warning: Site.utc_offset_h is not given"));
    Options given = few;
    given.clock = Clock{.utc_offset_h = -5};
    const Risk same = simulate(Van(), five_nights(site({})), given);
    CHECK(same.warnings.empty());
    CHECK(same.columns == guessed.columns);
    given.clock->changes = {{.after_h = 35, .utc_offset_h = -4}};
    CHECK_FALSE(simulate(Van(), five_nights(site({})), given).columns == guessed.columns);
}

TEST_CASE("a number never goes without its interval, its trials and its cautions") {
    const Risk risk = simulate(Van({{"fridge", make("Fridge", {{"medicine", make("Medicine")}})}}),
                               five_nights().with({{"idling", {make("Idle", {{"days", 2}})}}}), {.trials = 200});
    const std::string text = risk.text();
    for (const char* part :
         {"sampling error alone", "200 trials", "off for more than an hour", "the model's own error",
          "Carbon monoxide kills", "Lead-acid in the living space", "No figure here clears a medicine", "no guarantee"})
        CHECK_THAT(text, Contains(part));
    CHECK(risk.columns.contains("medicine_frozen_h"));
    CHECK_FALSE(simulate(Van(), five_nights(), {.trials = 64}).columns.contains("medicine_frozen_h"));
}

TEST_CASE("no trial is run for what keeps somebody breathing") {
    for (const char* name : {"ventilator", "my RESPIRATOR", "ox\u00edgeno", "OX\u00cdGENO", "oxi\u0301geno", "Beatmung",
                             "venti\u1e37ator", "\u1ecdxygen", "\uff56entilator"}) {
        const Van van({{"loads", {make("Appliance", {{"name", name}, {"current_a", 3}, {"duration_min", 60}})}}});
        CHECK_THROWS_WITH(simulate(van, five_nights()), Contains("No probability is given for a ventilator"));
    }
    const Van fan(
        {{"loads", {make("Appliance", {{"name", "fan \u00e6\u4e2d"}, {"current_a", 3}, {"duration_min", 60}})}}});
    CHECK(simulate(fan, five_nights(), {.trials = 64}).trials == 64);
}

TEST_CASE("a run can be stopped and tells how far it came") {
    Options options{.trials = 1'000'000, .threads = 1};
    options.progress = [](std::int64_t done) { return done < 1000; };
    const Risk risk = simulate(Van(), five_nights(), options);
    CHECK(risk.stopped);
    CHECK(risk.trials >= 64);
    CHECK(risk.trials < 1'000'000);
    CHECK(risk.column("cutout_cause").size() == static_cast<std::size_t>(risk.trials));
    CHECK(risk.cutout.trials == risk.trials);
    CHECK_THAT(risk.text(), Contains("stopped early"));
    const Trip long_one = five_nights().with({{"nights", 60}, {"step_min", 1}});  // the first trials take seconds
    options.progress = [](std::int64_t) { return false; };
    CHECK_THROWS_WITH(simulate(Van(), long_one, options), Contains("before any trial was finished"));
    options.progress = [](std::int64_t) -> bool { throw std::domain_error("the caller's own"); };
    CHECK_THROWS_AS(simulate(Van(), long_one, options), std::domain_error);
}
