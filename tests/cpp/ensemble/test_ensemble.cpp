#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numeric>

#include "ridethrough/ensemble/ensemble.hpp"
#include "trip/van_fixture.hpp"

using namespace van_fixture;
using ensemble::Columns;
using ensemble::EnsembleOptions;
using ensemble::EnsembleResult;

namespace {

EnsembleResult simulate(const std::shared_ptr<const trip::CompiledTrip>& compiled, std::int64_t trials, int threads,
                        std::int64_t per_task, const ensemble::Poll& poll = {}, std::int64_t first = 0) {
    EnsembleOptions options;
    options.first_trial = first;
    options.trials = trials;
    options.seed = 1;
    options.precision = engine::Precision::single_;
    options.run.threads = threads;
    options.run.trials_per_task = per_task;
    return ensemble::simulate(compiled, options, poll);
}

// Whether the first `rows` of a are those of b from `from` on, bit for bit.
bool same_rows(const Columns& a, const Columns& b, std::int64_t rows, std::int64_t from = 0) {
    for (int i = 0; i < engine::kColumns; ++i) {
        const auto c = static_cast<engine::Column>(i);
        if (a.kept(c) != b.kept(c)) return false;
        if (!a.kept(c)) continue;
        const auto equal = [&]<class T>(const base::Column<T>& x) {
            return (x.head(rows) == b.of<T>(c).segment(from, rows)).all();
        };
        if (!std::visit(equal, a.values(c))) return false;
    }
    return true;
}

std::shared_ptr<const trip::CompiledTrip> short_trip() {
    static const auto c = compile(agm_van({{"battery", make("AgmBattery", {{"capacity_ah", 80.0}})}}), plan(site(), 3));
    return c;
}

}  // namespace

TEST_CASE("an ensemble is the same bits for any threads, task size and number of trials") {
    const auto longest = simulate(short_trip(), 1000, 1, 256);
    CHECK(longest.trials == 1000);
    CHECK(!longest.cancelled);
    const auto& device = longest.columns.of<std::uint8_t>(engine::kCutoutCause);
    const auto cut = std::count_if(device.begin(), device.end(), [](auto d) { return d > 0; });
    CHECK(cut > 50);
    CHECK(cut < 950);
    for (const std::int64_t n : {1, 255, 256, 257}) {
        const auto reference = simulate(short_trip(), n, 1, 256);
        CHECK(same_rows(reference.columns, longest.columns, n));
        for (const int threads : {1, 2, 3, 7})
            for (const std::int64_t per_task : {64, 256, 1000}) {
                const auto other = simulate(short_trip(), n, threads, per_task);
                REQUIRE(other.columns.size() == n);
                REQUIRE(same_rows(other.columns, reference.columns, n));
                REQUIRE((other.charge_histogram == reference.charge_histogram).all());
                REQUIRE(other.load_ah == reference.load_ah);
                REQUIRE(other.worst_charge_balance_error == reference.worst_charge_balance_error);
            }
    }
    const auto later = simulate(short_trip(), 300, 2, 64, {}, 700);
    CHECK(same_rows(later.columns, longest.columns, 300, 700));
}

TEST_CASE("an ensemble's columns are its trials'") {
    const auto result = simulate(short_trip(), 50, 2, 64);
    const auto outcomes = van_fixture::run(short_trip(), first_trials(50), engine::Precision::single_, 1);
    for (std::size_t i = 0; i < 50; ++i) {
        CHECK(result.columns.of<std::uint8_t>(engine::kCutoutCause)[i] == outcomes[i].column[engine::kCutoutCause]);
        CHECK(static_cast<double>(result.columns.of<float>(engine::kMinSoc)[i]) == outcomes[i].column[engine::kMinSoc]);
        CHECK(std::isinf(result.columns.of<float>(engine::kFirstCutoutH)[i]) == !outcomes[i].cut());
    }
    CHECK(result.worst_charge_balance_error < 1e-5);
    CHECK(result.worst_energy_balance_error < 1e-5);
}

TEST_CASE("every hour's histogram of charge counts every trial once") {
    const auto result = simulate(short_trip(), 600, 2, 64);
    REQUIRE(result.charge_histogram.rows() == 72);
    REQUIRE(result.charge_histogram.cols() == ensemble::kChargeBins);
    CHECK((result.charge_histogram.rowwise().sum() == 600).all());
    // The lowest charge of a trial is no higher than any hour's: so the emptiest bin in use is no lower than that.
    const auto& of_trials = result.columns.of<float>(engine::kMinSoc);
    const float lowest = of_trials.minCoeff();
    const auto lowest_bin = static_cast<int>(std::max(0.0f, lowest) * ensemble::kChargeBins);
    CHECK((result.charge_histogram.leftCols(lowest_bin) == 0).all());
}

TEST_CASE("a cancelled ensemble keeps a valid prefix") {
    const auto whole = simulate(short_trip(), 4000, 1, 64);
    const auto partly = simulate(short_trip(), 200'000, 2, 64, [](std::int64_t done) { return done < 100; });
    CHECK(partly.cancelled);
    CHECK(partly.trials < 200'000);
    CHECK(partly.columns.size() == partly.trials);
    CHECK(same_rows(partly.columns, whole.columns, std::min<std::int64_t>(partly.columns.size(), 4000)));
    CHECK(partly.trials > 0);
}

TEST_CASE("mean ampere-hours of each load") {
    const auto result = simulate(short_trip(), 3000, 2, 256);
    const auto& names = short_trip()->load_names();
    const auto ah = [&](const std::string& name) {
        const auto at = std::find(names.begin(), names.end(), name) - names.begin();
        return result.load_ah[static_cast<std::size_t>(at)];
    };
    CHECK(ah("standby") == Approx(36).epsilon(1e-5));  // 0.5 A for 72 h, with no spread
    // Means of the declared triangles: pump 5 A, (15 + 40 + 60)/3 l a day at 5 l/min; habits (.7 + 1 + 1.5)/3. Its
    // three bouts of a trip's last and first day may fall outside the trip.
    const double pump = 3 * 5 * (115.0 / 3) / 5 / 60 * (3.2 / 3);
    CHECK(ah("water_pump") == Approx(pump).epsilon(0.1));
    for (const double x : result.load_ah) CHECK(x >= 0);
}

TEST_CASE("series need a place for their values") {
    EnsembleOptions options;
    options.trials = 10;
    options.series = {engine::kSeriesSoc};
    CHECK_THROWS_AS(ensemble::simulate(short_trip(), options, {}), std::invalid_argument);
}
