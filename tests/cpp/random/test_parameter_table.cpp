// What a table of parameters gives places to, under which names it is drawn, and what it refuses.
#include <catch2/catch.hpp>

#include "ridethrough/config/declare.hpp"
#include "ridethrough/random/parameter_table.hpp"
#include "ridethrough/random/purpose.hpp"

using namespace ridethrough;
using namespace ridethrough::random;
using namespace ridethrough::config;
using Catch::Matchers::Contains;

namespace {

const Schema& pump() {
    static const Schema schema{
        "Pump",
        "A pump.",
        {number("current_a", "A", Variation::day, {0, 20}, 5.0, from_memory(), "current"),
         number("hours", "h", Variation::trial, {0, 24}, 2.0, from_memory(), "hours", Owner::person),
         drawn_as("pressure_bar", number("head_bar", "bar", Variation::trial, {0, 9}, 3.0, from_memory(), "head")),
         derived("flow_l_per_min", "l/min", Variation::trial, {1, 30}, from_memory(), "flow"),
         number("fitted_probability", "", Variation::fixed, {0, 1}, 0.5, from_memory(), "share"),
         number("cutout_v", "V", Variation::trial, {8, 13}, 10.0, from_memory(), "off"),
         number("restart_v", "V", Variation::trial, {8, 14}, 12.0, from_memory(), "on")},
        {},
        {},
        Owner::trip};
    return schema;
}
ConfigurationPtr pump(const Values& values) { return Configuration::make(pump(), values); }

}  // namespace

TEST_CASE("an index may be none, and is no number") {
    CHECK_FALSE(ParameterIndex());
    CHECK_FALSE(DrawIndex());
    CHECK(ParameterIndex(0));
    CHECK(ParameterIndex() == ParameterIndex());
    CHECK_FALSE(ParameterIndex(0) == ParameterIndex());
    STATIC_REQUIRE_FALSE(std::is_convertible_v<int, ParameterIndex>);
    STATIC_REQUIRE_FALSE(std::is_convertible_v<ParameterIndex, int>);
}

TEST_CASE("a field becomes a constant, a number of each trial or one of each day") {
    ParameterTable table(3);
    const auto spread = Spread::uniform(1, 2);
    const auto fixed = table.add(*pump({}), "current_a", "pump.");
    const auto daily = table.add(*pump({{"current_a", spread}}), "current_a", "pump.");
    const auto by_trial =
        table.add(*pump({{"current_a", Spread::uniform(1, 2, Variation::trial)}}), "current_a", "pump.");
    const auto trial = table.add(*pump({{"hours", spread}}), "hours", "pump.");

    REQUIRE(table.parameters().size() == 4);
    CHECK((table[fixed].constant == 5 && !table[fixed].spread && !table[fixed].daily));
    CHECK((table[daily].spread == spread && table[daily].daily));
    CHECK((table[by_trial].spread && !table[by_trial].daily));  // a coarser level than the field's own
    CHECK((table[trial].spread == spread && !table[trial].daily));
    CHECK((table[trial].low == 0 && table[trial].high == 24));
    CHECK(table.daily() == std::vector<int>{daily.place()});
    for (const auto& i : {fixed, daily, by_trial}) CHECK(table[i].path == "pump.current_a");
}

TEST_CASE("a field that is None takes what stands for it, and is no quantity") {
    ParameterTable table(1);
    const auto none = table.add(*pump({}), "flow_l_per_min", "pump.", 4.5);
    CHECK(table[none].constant == 4.5);
    CHECK(table[none].path.empty());
    const auto given = table.add(*pump({{"flow_l_per_min", 6.0}}), "flow_l_per_min", "pump.", 4.5);
    CHECK(table[given].constant == 6);
}

TEST_CASE("a share of vans is certain at its ends and drawn between") {
    ParameterTable table(1);
    const auto at = [&](double share) {
        return table[table.yes_or_no(*pump({{"fitted_probability", share}}), "fitted_probability", "pump.")];
    };
    CHECK((!at(0).spread && at(0).constant == 0));
    CHECK((!at(1).spread && at(1).constant == 1));
    const Parameter half = at(0.25);
    REQUIRE(half.spread);
    CHECK(half.spread->quantile(0.74, 0, 1) == 0);
    CHECK(half.spread->quantile(0.76, 0, 1) == 1);
}

TEST_CASE("a quantity belongs to whom its field says, else to whom its schema says") {
    ParameterTable table(1);
    CHECK(table[table.add(*pump({}), "hours", "pump.")].owner == Owner::person);
    CHECK(table[table.add(*pump({}), "current_a", "pump.")].owner == Owner::trip);
    CHECK(table[table.score("trip.trait", Owner::person)].owner == Owner::person);
}

TEST_CASE("a draw follows from its name, which a rename of field or part leaves as it was") {
    const auto spread = Spread::uniform(1, 2);
    ParameterTable old(1), renamed(1);
    const auto before = old.add(*pump({{"hours", spread}}), "hours", "pump.");
    old.constant(1);
    renamed.constant(1);  // the place in the table is no part of it
    const auto after = renamed.add(*pump({{"hours", spread}}), "hours", {"pumps.first.", "pump."});
    CHECK(renamed[after].path == "pumps.first.hours");
    CHECK(renamed[after].draw == "pump.hours");
    CHECK(renamed[after].purpose == old[before].purpose);
    CHECK(old[before].purpose == purpose("spread.pump.hours"));

    const auto field = renamed.add(*pump({{"head_bar", spread}}), "head_bar", "pump.");
    CHECK(renamed[field].path == "pump.head_bar");
    CHECK(renamed[field].purpose == purpose("spread.pump.pressure_bar"));
    const auto follows = renamed.spread(*pump({}), "head_bar", {"pumps.first.", "pump."}, spread);
    CHECK(renamed[follows].purpose == renamed[field].purpose);
    CHECK(renamed[renamed.score("trip.trait", Owner::person)].purpose == purpose("trip.trait"));
}

TEST_CASE("draws of each day stand one purpose after the other") {
    ParameterTable table(4);
    const DrawIndex first = table.draws("weather.cloud", 24), second = table.draws("load.pump", 2);
    CHECK((first.at(0, 0) == 0 && first.at(3, 23) == 4 * 24 - 1));
    CHECK((second.at(0, 0) == 4 * 24 && second.a_day() == 2));
    CHECK(table.total_draws() == 4 * (24 + 2));
    CHECK(table.purposes()[1].purpose == purpose("load.pump"));
    CHECK_THROWS_WITH(table.draws("load.pump", 1), Catch::Contains("two loads are called \"pump\""));
}

TEST_CASE("no two uses of chance have the same random numbers unknowingly") {
    // Found by trying names: one hash of both, without a load of the same name.
    const std::string one = "load.light phone 1356", other = "load.kettle iron 20";
    REQUIRE(purpose(one) == purpose(other));
    ParameterTable table(1);
    table.draws(one, 1);
    CHECK_THROWS_WITH(table.draws(other, 1), Catch::Contains("\"load.kettle iron 20\" and \"load.light phone 1356\""));
    CHECK_THROWS_WITH(table.score(other, Owner::person), Catch::Contains("call one of them differently"));
}

TEST_CASE("a restart must lie above its cut-out in every trial") {
    ParameterTable table(1);
    const auto pair = [&](Value cutout, Value restart) {
        const auto p = pump({{"cutout_v", std::move(cutout)}, {"restart_v", std::move(restart)}});
        const auto off = table.add(*p, "cutout_v", "pump."), on = table.add(*p, "restart_v", "pump.");
        return [&table, off, on] { table.require_above(on, off); };
    };
    CHECK_NOTHROW(pair(10.0, 12.0)());
    CHECK_NOTHROW(pair(Spread::uniform(9, 10), Spread::uniform(10.5, 12))());
    CHECK_NOTHROW(pair(10.0, Spread::normal(12, 0.1))());
    CHECK_THROWS_WITH(pair(12.0, 12.0)(), "pump.restart_v = 12 V: must be above pump.cutout_v = 12 V");
    CHECK_THROWS_WITH(pair(Spread::uniform(9, 11), Spread::uniform(10.5, 12))(),
                      "pump.restart_v = 10.5 V: must be above pump.cutout_v = 11 V");
    CHECK_THROWS_WITH(pair(10.0, Spread::normal(12, 0.5))(), Contains("must be above pump.cutout_v = 10 V"));
}
