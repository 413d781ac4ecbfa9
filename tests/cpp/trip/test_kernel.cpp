#include <catch2/catch.hpp>
#include <cmath>

#include "trip/van_fixture.hpp"

using namespace van_fixture;
using engine::Precision;

namespace {

std::shared_ptr<const trip::CompiledTrip> marginal(bool lithium, Values more = {}) {
    return compile(lithium ? lfp_van() : agm_van(), five_nights(more));
}

}  // namespace

TEST_CASE("one lane and the wide pack agree bit for bit in every column and path") {
    const auto trials = first_trials(1000);
    for (const bool lithium : {false, true})
        for (const auto precision : {Precision::double_, Precision::single_}) {
            const auto compiled = marginal(lithium);
            const auto narrow = run(compiled, trials, precision, 1, all_series());
            CHECK((run(compiled, trials, precision, 0, all_series()) == narrow));
            CHECK(share_cut(narrow) > 0.03);  // the latches are exercised
        }
}

TEST_CASE("a trial depends on its number alone") {
    for (const bool lithium : {false, true}) {
        const auto compiled = marginal(lithium);
        const auto all = run(compiled, first_trials(100));
        const auto few = run(compiled, first_trials(37));
        CHECK((std::vector<Outcome>(all.begin(), all.begin() + 37) == few));
        const std::vector<std::int64_t> scattered{93, 5, 5, 0, 77, 41, 12, 99, 3, 64, 8};
        const auto some = run(compiled, scattered);
        for (std::size_t i = 0; i < scattered.size(); ++i)
            CHECK((some[i] == all[static_cast<std::size_t>(scattered[i])]));
        CHECK(!(run(compiled, {5}, Precision::double_, 0, no_series, 2)[0] == all[5]));
    }
}

TEST_CASE("more nights leave the nights before unchanged") {
    // Up to the shorter trip's last calendar day, whose evening temperatures look ahead to the day after.
    for (const bool lithium : {false, true}) {
        const ConfigurationPtr van = lithium ? lfp_van() : agm_van();
        const auto three = run(compile(van, plan(site(), 3)), first_trials(60), Precision::double_, 0, all_series());
        const auto seven = run(compile(van, plan(site(), 7)), first_trials(60), Precision::double_, 0, all_series());
        for (std::size_t i = 0; i < three.size(); ++i)
            for (std::size_t p = 0; p < engine::kSeriesCount; ++p)
                for (std::size_t h = 0; h < 72 - 15; ++h)
                    REQUIRE(three[i].series[p * 72 + h] == seven[i].series[p * 168 + h]);
    }
}

TEST_CASE("single and double precision tell of the same cut-outs") {
    const auto trials = first_trials(3000);
    for (const bool lithium : {false, true}) {
        const auto compiled = marginal(lithium);
        const auto exact = run(compiled, trials, Precision::double_), fast = run(compiled, trials, Precision::single_);
        int cut = 0, otherwise = 0;
        for (std::size_t i = 0; i < trials.size(); ++i) {
            cut += exact[i].cut();
            const bool apart =
                std::abs(exact[i].column[engine::kFirstCutoutH] - fast[i].column[engine::kFirstCutoutH]) > 0.1;
            otherwise += exact[i].cut() != fast[i].cut() || (exact[i].cut() && apart);
        }
        CHECK(cut > 200);
        CHECK(otherwise < 0.01 * cut);
    }
}

TEST_CASE("what a trial comes to makes sense") {
    for (const bool lithium : {false, true}) {
        for (const auto& o : run(marginal(lithium), first_trials(2000), Precision::single_)) {
            for (const double x : o.column) REQUIRE(std::isfinite(x));
            const auto value = [&o](engine::Column c) { return o.column[c]; };
            if (o.cut()) {
                REQUIRE(value(engine::kFirstCutoutH) > 0);
                REQUIRE(value(engine::kFirstCutoutH) <= 120.001);
                REQUIRE(value(engine::kMinSoc) < 0.5);
            } else {
                REQUIRE(value(engine::kHoursOff) == 0);
                REQUIRE(value(engine::kUnservedAh) == 0);
            }
            REQUIRE(value(engine::kMinSoc) > -0.03);  // the wells are not driven below empty
            REQUIRE(value(engine::kMinSoc) <= 1.0);
            REQUIRE(value(engine::kHoursOff) <= 120.001);
            REQUIRE(value(engine::kHoursAbove5c) <= 120.001);
            REQUIRE(value(engine::kDaysFull) <= 6);
            for (const auto c :
                 {engine::kSolarWh, engine::kCurtailedWh, engine::kFridgeWh, engine::kOtherLoadsWh, engine::kLossWh})
                REQUIRE(value(c) >= 0);
            REQUIRE(value(engine::kDcDcWh) == 0);
            REQUIRE(value(engine::kMainsWh) == 0);
        }
    }
}
