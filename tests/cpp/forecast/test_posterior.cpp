// Trials given readings: against drawing and throwing away, and the sampler against weights.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numeric>

#include "ridethrough/base/math.hpp"
#include "ridethrough/ensemble/ensemble.hpp"
#include "ridethrough/forecast/posterior.hpp"
#include "ridethrough/random/draws.hpp"
#include "ridethrough/random/purpose.hpp"
#include "ridethrough/random/stream.hpp"
#include "trip/van_fixture.hpp"

using namespace van_fixture;
using forecast::Evidence;
using forecast::MeterReading;

namespace {

constexpr double kNowH = 29;  // 20:00 of the second evening

std::shared_ptr<const trip::CompiledTrip> thirsty_trip() {
    static const auto compiled = compile(agm_van({{"battery", make("AgmBattery", {{"capacity_ah", 80.0}})}}),
                                         plan(site(), 3, {{"habits_scale", 1.3}}));
    return compiled;
}

MeterReading charge(double hour, double share) {
    MeterReading r;
    r.hour = hour;
    r.low = share - 0.005;
    r.high = share + 0.005;
    r.sd = 0.02;
    r.bias = "counter";
    r.bias_sd = 0.03;
    return r;
}
MeterReading volts(double hour, double shown) {
    MeterReading r;
    r.quantity = forecast::Quantity::volts;
    r.hour = hour;
    r.low = shown - 0.05;
    r.high = shown + 0.05;
    r.sd = 0.05;
    r.compressor = true;
    r.loads_w = 20;
    return r;
}
Evidence two_evenings() { return {{charge(5, 0.9), charge(kNowH, 0.6)}, kNowH, true}; }

std::vector<double> weights(const Evidence& evidence, std::int64_t first, std::int64_t trials, int threads = 2) {
    return forecast::weigh(thirsty_trip(), evidence, first, trials, 1, {threads, 256}, {}).log_likelihood;
}

// Charge at the end of each hour, and whether the fridge is dropped at all, of rows of trials.
struct TripsRun {
    std::vector<double> charge;
    std::vector<double> dropped_h;
};
TripsRun outcome(ensemble::EnsembleOptions options, std::int64_t trials) {
    options.trials = trials;
    options.seed = 1;
    options.series = {engine::kSeriesSoc};
    const auto hours = static_cast<std::size_t>(thirsty_trip()->hours());
    TripsRun out;
    out.charge.resize(static_cast<std::size_t>(trials) * hours);
    options.series_values = {out.charge.data()};
    const ensemble::EnsembleResult result = ensemble::simulate(thirsty_trip(), options, {});
    const auto& first = result.columns.of<float>(engine::kFirstCutoutH);
    out.dropped_h.assign(first.data(), first.data() + first.size());
    return out;
}
double charge_at(const TripsRun& o, std::size_t row, int hour) {
    return o.charge[row * static_cast<std::size_t>(thirsty_trip()->hours()) + static_cast<std::size_t>(hour)];
}

}  // namespace

TEST_CASE("weights hang on a trial's number alone, and not on the order of readings") {
    Evidence evidence = two_evenings();
    evidence.readings.push_back(volts(kNowH, 12.1));
    const std::vector<double> whole = weights(evidence, 0, 1003);
    CHECK(weights(evidence, 0, 1003, 1) == whole);
    std::reverse(evidence.readings.begin(), evidence.readings.end());
    CHECK(weights(evidence, 0, 1003) == whole);
    const std::vector<double> part = weights(evidence, 500, 100);
    CHECK(std::equal(part.begin(), part.end(), whole.begin() + 500));
    CHECK(std::count_if(whole.begin(), whole.end(), [](double x) { return x > -1e300; }) > 800);
}

TEST_CASE("a trial that dropped the fridge before now has no weight, unless that is not known") {
    const std::int64_t trials = 4096;
    const TripsRun o = outcome({}, trials);
    Evidence nothing{{}, kNowH + 20, true};
    const std::vector<double> kept = weights(nothing, 0, trials);
    std::int64_t dropped = 0;
    for (std::size_t i = 0; i < kept.size(); ++i) {
        CHECK((kept[i] == 0) == !(o.dropped_h[i] <= kNowH + 20));
        dropped += !(kept[i] == 0);
    }
    CHECK(dropped > 50);
    nothing.kept_on = false;
    const std::vector<double> all = weights(nothing, 0, trials);
    CHECK(std::all_of(all.begin(), all.end(), [](double x) { return x == 0; }));
}

TEST_CASE("weights say what drawing and throwing away says") {
    // A trial is kept with a chance of its likelihood over the greatest there can be. Both sides have other trials.
    const Evidence evidence = two_evenings();
    const std::int64_t trials = 60'000;
    const std::vector<double> log_weight = weights(evidence, 0, trials), other = weights(evidence, trials, trials);
    const TripsRun a = outcome({}, trials);
    ensemble::EnsembleOptions second;
    second.first_trial = trials;
    const TripsRun b = outcome(second, trials);
    const double most = *std::max_element(log_weight.begin(), log_weight.end()) + 0.1;
    double sum = 0, squares = 0, mean = 0, square = 0, kept_mean = 0, kept = 0, kept_square = 0;
    const random::SeedSequence keys(3, random::purpose("test.rejection"));
    for (std::size_t i = 0; i < log_weight.size(); ++i) {
        const double w = std::exp(log_weight[i] - most), x = charge_at(a, i, 28);
        sum += w;
        squares += w * w;
        mean += w * x;
        square += w * x * x;
        REQUIRE(other[i] <= most);
        if (random::uniform(random::Stream(keys, i).next()) < std::exp(other[i] - most)) {
            kept += 1;
            kept_mean += charge_at(b, i, 28);
            kept_square += charge_at(b, i, 28) * charge_at(b, i, 28);
        }
    }
    mean /= sum;
    kept_mean /= kept;
    const double sd = std::sqrt(square / sum - mean * mean),
                 kept_sd = std::sqrt(kept_square / kept - kept_mean * kept_mean);
    const double error = std::sqrt(sd * sd * squares / (sum * sum) + kept_sd * kept_sd / kept);
    REQUIRE(kept > 500);
    CHECK(std::abs(mean - kept_mean) < 4.9 * error);  // a false alarm in a million seeds
    CHECK(error < 0.002);                             // so that a hundredth of charge would be seen
    CHECK(std::abs(sd / kept_sd - 1) < 0.15);
}

TEST_CASE("moved copies have the law of weighted trials, and futures of their own behind a past that stays") {
    const Evidence evidence = two_evenings();
    const std::int64_t trials = 60'000;
    const std::vector<double> log_weight = weights(evidence, 0, trials);
    const TripsRun a = outcome({}, trials);
    double most = -1e300, sum = 0, mean = 0, square = 0, drops = 0;
    for (const double w : log_weight) most = std::max(most, w);
    for (std::size_t i = 0; i < log_weight.size(); ++i) {
        const double w = std::exp(log_weight[i] - most), x = charge_at(a, i, 28);
        sum += w;
        mean += w * x;
        square += w * x * x;
        drops += w * (a.dropped_h[i] < 1e6);
    }
    mean /= sum;
    const double sd = std::sqrt(square / sum - mean * mean),
                 evidence_log = most + std::log(sum / static_cast<double>(trials));

    forecast::SamplerOptions options{.seed = 1, .particles = 512, .replicates = 8, .moves = 12};
    const forecast::Sample sample = forecast::sample(thirsty_trip(), evidence, options, {});
    options.threads = 1;
    CHECK((forecast::sample(thirsty_trip(), evidence, options, {}).copies.scores == sample.copies.scores).all());

    const int futures = 4;
    const base::Table<double> scores =
        forecast::future_scores(*thirsty_trip(), sample.copies.scores, kNowH, 9, futures);
    const base::Table<std::int64_t> later = forecast::future_numbers(sample.copies.numbers, futures);
    engine::TrialNumbers numbers{
        {}, {later.data(), later.data() + later.size()}, forecast::split_days(*thirsty_trip(), kNowH)};
    for (std::ptrdiff_t row = 0; row < later.rows(); ++row)
        for (std::ptrdiff_t p = 0; p < later.cols(); ++p)
            numbers.of_purpose.push_back(sample.copies.numbers(row / futures, p));
    const engine::GivenScores given{engine::coordinates(*thirsty_trip()), scores.data()};
    ensemble::EnsembleOptions rows;
    rows.scores = &given;
    rows.numbers = &numbers;
    const TripsRun o = outcome(rows, scores.rows());

    std::vector<double> means(8), dropped(8);
    bool apart = false;
    for (std::ptrdiff_t row = 0; row < scores.rows(); ++row) {
        const auto i = static_cast<std::size_t>(row), r = i / (512 * futures);
        means[r] += charge_at(o, i, 28) / (512 * futures);
        dropped[r] += (o.dropped_h[i] < 1e6) / (512.0 * futures);
        CHECK(o.dropped_h[i] > kNowH);
        for (int h = 0; h < 29; ++h) REQUIRE(charge_at(o, i, h) == charge_at(o, i - i % futures, h));
        apart |= charge_at(o, i, 60) != charge_at(o, i - i % futures, 60);
    }
    CHECK(apart);
    const auto spread = [](const std::vector<double>& x, double about) {
        double total = 0;
        for (const double one : x) total += (one - about) * (one - about);
        return std::sqrt(total / static_cast<double>(x.size() * (x.size() - 1)));
    };
    const auto average = [](const std::vector<double>& x) {
        return std::accumulate(x.begin(), x.end(), 0.0) / static_cast<double>(x.size());
    };
    // Student's t with seven degrees of freedom: 9.4 standard errors for a false alarm in 30,000.
    CHECK(std::abs(average(means) - mean) < 9.4 * spread(means, average(means)) + 0.002);
    CHECK(std::abs(average(dropped) - drops / sum) < 9.4 * spread(dropped, average(dropped)) + 0.01);
    CHECK(spread(means, average(means)) < 0.1 * sd);
    for (const double one : sample.log_evidence) CHECK(one == Approx(evidence_log).margin(0.5));
}

TEST_CASE("volts and amperes lie about those of the trial's hour") {
    // By night an hour's mean lies between what is solved with the compressor off and on, within what an event, or a
    // surface charge that goes, makes of an hour; by day the chargers hold them, and they are the same.
    const auto compiled = thirsty_trip();
    const auto pack = engine::make_runner(compiled, 1, engine::Precision::double_, engine::instruction_set_named(""),
                                          forecast::TrueValues::series());
    pack->keep_states();
    std::vector<std::int64_t> trials(static_cast<std::size_t>(pack->lanes()));
    std::iota(trials.begin(), trials.end(), 0);
    pack->run(trials, nullptr);
    int nights = 0, days = 0;
    for (const double hour : {5.0, 10.0, 14.0, 22.0, 38.0}) {
        std::vector<MeterReading> readings(4, volts(hour, 12));
        for (std::size_t i = 0; i < 4; ++i) {
            readings[i].loads_w.reset();
            readings[i].compressor = i % 2 == 1;
            if (i > 1) readings[i].quantity = forecast::Quantity::amps;
        }
        const forecast::TrueValues true_values(*compiled, readings);
        const int at = forecast::hour_before(*compiled, hour);
        for (int lane = 0; lane < pack->lanes(); ++lane) {
            std::vector<double> values;
            true_values.fill(*pack, lane, 4, values);
            const double mean_v = pack->series_at(engine::kSeriesTerminalV, at, lane);
            const double mean_a = pack->series_at(engine::kSeriesBatteryA, at, lane);
            if (pack->series_at(engine::kSeriesSolarW, at, lane) > 1) {
                CHECK(values == std::vector<double>{mean_v, mean_v, mean_a, mean_a});
                ++days;
                continue;
            }
            ++nights;
            CHECK(values[1] < values[0]);
            CHECK(mean_v > values[1] - 0.12);
            CHECK(mean_v < values[0] + 0.12);
            CHECK(mean_a > values[2] - 0.3);
            CHECK(mean_a < values[3] + 0.3);
        }
    }
    CHECK(nights > 5);
    CHECK(days > 0);
}

TEST_CASE("what cannot be is refused or said") {
    Evidence evidence = two_evenings();
    evidence.readings[0].sd = 0;
    CHECK_THROWS_AS(weights(evidence, 0, 10), base::InputError);
    evidence = two_evenings();
    evidence.readings[0].hour = kNowH + 1;
    CHECK_THROWS_AS(weights(evidence, 0, 10), base::InputError);
    evidence = {{}, 1000, true};
    CHECK_THROWS_AS(weights(evidence, 0, 10), base::InputError);
    // A battery that is full and a tenth full at the same time.
    evidence = {{charge(5, 1.0), charge(5.5, 0.1)}, 6, true};
    for (MeterReading& r : evidence.readings) r.bias = "";
    const std::vector<double> log_weight = weights(evidence, 0, 1000);
    CHECK(*std::max_element(log_weight.begin(), log_weight.end()) < -100);
    CHECK(*std::min_element(log_weight.begin(), log_weight.end()) > -1e5);
}
