// Common random numbers: with the same weather and habits, a better van fails in fewer trials and a worse one in more.
#include <catch2/catch.hpp>
#include <cmath>

#include "trip/van_fixture.hpp"

using namespace van_fixture;

namespace {

struct Paired {
    int saved = 0, lost = 0;  // cut-outs that only the first, and only the second van has
};

Paired compare(const ConfigurationPtr& van, const ConfigurationPtr& other, const ConfigurationPtr& plan_of_van,
               const ConfigurationPtr& plan_of_other, int count = 5000) {
    const auto trials = first_trials(count);
    const auto a = run(compile(van, plan_of_van), trials, engine::Precision::single_);
    const auto b = run(compile(other, plan_of_other), trials, engine::Precision::single_);
    Paired p;
    for (std::size_t i = 0; i < trials.size(); ++i) {
        p.saved += a[i].cut() && !b[i].cut();
        p.lost += !a[i].cut() && b[i].cut();
    }
    return p;
}

// Fewer cut-outs, by more than 4.9 sigma of the discordant pairs, and hardly a new one.
void check_better(const char* what, const Paired& p) {
    INFO(what << ": saved " << p.saved << ", new " << p.lost);
    CHECK(p.saved - p.lost > 4.9 * std::sqrt(p.saved + p.lost));
    CHECK(p.lost <= 0.05 * p.saved);
}
void check_worse(const char* what, const Paired& p) { check_better(what, {p.lost, p.saved}); }

}  // namespace

TEST_CASE("what helps helps and what hurts hurts, trial by trial") {
    const auto now = five_nights();
    for (const bool lithium : {false, true}) {
        const auto van = [&](Values more = {}) { return lithium ? lfp_van(more) : agm_van(more); };
        const auto with = [&](const char* part, const char* schema, Values values) {
            return van({{part, make(schema, values)}});
        };
        const auto paired = [&](const ConfigurationPtr& other) { return compare(van(), other, now, now); };
        const char* battery = lithium ? "LithiumBattery" : "AgmBattery";
        check_better("a bigger battery", paired(with("battery", battery, {{"capacity_ah", lithium ? 140.0 : 175.0}})));
        check_better("more panel", paired(with("solar", "SolarArray", {{"rated_w", 280.0}})));
        check_better("thicker cable",
                     paired(with("wiring", "Wiring", {{"shared_mohm", 5.0}, {"fridge_branch_mohm", 10.0}})));
        check_better("lower habits", compare(van(), van(), now, five_nights({{"habits_scale", 1.0}})));
        check_better("a drive", compare(van(), van(), now, five_nights({{"drives", planned("Drive", {3})}})));
        check_worse("a higher cut-out", paired(with("fridge", "Fridge", {{"cutout_v", 11.15}, {"restart_v", 12.45}})));
        check_worse("a leaky fridge", paired(with("fridge", "Fridge", {{"heat_leak_factor", 1.4}})));
    }
}

TEST_CASE("refusing charge in frost never lowers the risk of a lithium battery") {
    const auto frost = plan(site(0.4, -3), 5);
    const auto battery = [](Values more) {
        more.insert({"cabin_share", 0.0});
        return lfp_van({{"battery", make("LithiumBattery", more)}});
    };
    check_worse("charge refused", compare(battery({{"charge_block_c", -20.0}, {"charge_full_c", -15.0}}), battery({}),
                                          frost, frost, 40000));
}
