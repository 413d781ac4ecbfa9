// Ways into the engine besides "trials 0 to n": trials by name, draws by their scores, draws of different trials put
// together, states at some hours. Each to the bit against what the plain run has.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstring>
#include <numeric>

#include "ridethrough/base/math.hpp"
#include "ridethrough/engine/scores.hpp"
#include "ridethrough/ensemble/ensemble.hpp"
#include "ridethrough/random/draws.hpp"
#include "ridethrough/random/purpose.hpp"
#include "ridethrough/random/stream.hpp"
#include "ridethrough/simd/normal.hpp"
#include "trip/van_fixture.hpp"

using namespace van_fixture;
using engine::Half;
using engine::TrialNumbers;
using ensemble::EnsembleOptions;

namespace {

constexpr std::uint64_t seed = 1;
constexpr int kNights = 4;

std::shared_ptr<const trip::CompiledTrip> short_trip() {
    static const auto compiled =
        compile(agm_van({{"battery", make("AgmBattery", {{"capacity_ah", 80.0}})}}), plan(site(), kNights));
    return compiled;
}

// Everything that is compared: charge and inside of the fridge at the end of each hour, a row a trial.
std::vector<double> hours_of(EnsembleOptions options, engine::Precision precision = engine::Precision::double_) {
    const auto compiled = short_trip();
    options.seed = seed;
    options.precision = precision;
    options.states = {engine::kSeriesSoc, engine::kSeriesFridgeC};
    options.state_hours.resize(static_cast<std::size_t>(compiled->hours()));
    std::iota(options.state_hours.begin(), options.state_hours.end(), 0);
    std::vector<double> values(static_cast<std::size_t>(options.trials) * options.state_hours.size() * 2);
    options.state_values = values.data();
    ensemble::simulate(compiled, options, {});
    return values;
}

EnsembleOptions listed(const std::vector<std::int64_t>& trials) {
    EnsembleOptions options;
    options.trials = std::ssize(trials);
    options.listed = trials;
    return options;
}

std::size_t place(const std::string& purpose) {
    const auto all = engine::purposes(*short_trip());
    const auto at = std::find(all.begin(), all.end(), purpose);
    REQUIRE(at != all.end());
    return static_cast<std::size_t>(at - all.begin());
}

// Every purpose of each row with the number of that row's trial.
TrialNumbers own_numbers(const std::vector<std::int64_t>& trials) {
    TrialNumbers numbers;
    const std::size_t purposes = engine::purposes(*short_trip()).size();
    for (const std::int64_t trial : trials) numbers.of_purpose.insert(numbers.of_purpose.end(), purposes, trial);
    return numbers;
}

// The 64-bit draw of a trial.
std::uint64_t draw_of(const char* purpose, std::int64_t trial, int number) {
    random::Stream stream(random::SeedSequence(seed, random::purpose(purpose)), static_cast<std::uint64_t>(trial));
    stream.advance(static_cast<std::uint64_t>(number));
    return stream.next();
}

}  // namespace

TEST_CASE("trials may be named, in any order and more than once") {
    const std::vector<std::int64_t> trials{7, 3, 3, 0, 11, (std::int64_t{1} << 32) + 5, 1, 2, 9};
    for (const auto precision : {engine::Precision::double_, engine::Precision::single_}) {
        const auto together = hours_of(listed(trials), precision);
        const std::size_t width = together.size() / trials.size();
        for (std::size_t i = 0; i < trials.size(); ++i) {
            EnsembleOptions alone;
            alone.first_trial = trials[i];
            alone.trials = 1;
            const auto one = hours_of(alone, precision);
            CHECK(std::equal(one.begin(), one.end(), together.begin() + static_cast<std::ptrdiff_t>(i * width)));
        }
    }
    CHECK_THROWS_WITH(hours_of(listed({1, -2})), Catch::Contains("trial = -2: allowed 0 or more"));
}

TEST_CASE("states at named hours are those of the time series") {
    const auto compiled = short_trip();
    const std::vector<engine::Series> series{engine::kSeriesSoc, engine::kSeriesFridgeV};
    const auto trials = first_trials(20);
    const auto traces = ensemble::trace(compiled, seed, engine::Precision::double_, trials, series);
    EnsembleOptions options = listed(trials);
    options.seed = seed;
    options.states = series;
    options.state_hours = {29, 5, compiled->hours() - 1};
    std::vector<double> values(trials.size() * 6);
    options.state_values = values.data();
    ensemble::simulate(compiled, options, {});
    std::size_t at = 0;
    for (std::size_t row = 0; row < trials.size(); ++row)
        for (const int hour : options.state_hours)
            for (std::size_t s = 0; s < series.size(); ++s)
                CHECK(values[at++] == traces.values[s][row * static_cast<std::size_t>(compiled->hours()) +
                                                       static_cast<std::size_t>(hour)]);
    options.state_hours = {compiled->hours()};
    CHECK_THROWS_WITH(ensemble::simulate(compiled, options, {}), Catch::Contains("hour = "));
}

TEST_CASE("a purpose may have the draws of another trial, and nothing else moves") {
    const std::vector<std::int64_t> trials{4, 5, 6, 7, 8, 9, 10, 11, 12};
    const auto plain = hours_of(listed(trials));
    TrialNumbers numbers = own_numbers(trials);
    EnsembleOptions options = listed(trials);
    options.numbers = &numbers;
    CHECK(hours_of(options) == plain);

    // All of them those of trial 99, then all but one: the one left is the row's own again.
    const std::size_t purposes = engine::purposes(*short_trip()).size();
    std::fill(numbers.of_purpose.begin(), numbers.of_purpose.end(), 99);
    const auto ninety_nine = hours_of(listed({99}));
    const auto all = hours_of(options);
    for (std::size_t row = 0; row < trials.size(); ++row)
        CHECK(std::equal(ninety_nine.begin(), ninety_nine.end(),
                         all.begin() + static_cast<std::ptrdiff_t>(row * ninety_nine.size())));
    const auto pack = engine::make_runner(short_trip(), seed, engine::Precision::double_,
                                          engine::instruction_set_named(""), engine::SeriesWanted{});
    const std::size_t leak = place("fridge.heat_leak_factor");
    for (std::size_t row = 0; row < trials.size(); ++row) numbers.of_purpose[row * purposes + leak] = trials[row];
    pack->renumber(&numbers);
    const std::int64_t trial = trials[0];
    pack->run({&trial, 1}, nullptr);
    const auto& parameters = short_trip()->parameters();
    const auto own = ensemble::trace(short_trip(), seed, engine::Precision::double_, {4, 99}, {});
    for (std::size_t p = 0; p < parameters.size(); ++p) {
        if (parameters[p].daily) continue;
        const bool kept = parameters[p].path == "fridge.heat_leak_factor";
        CHECK(pack->drawn(static_cast<int>(p), 0) == own.drawn[kept ? p : parameters.size() + p]);
    }
}

TEST_CASE("from a midnight on a past may have another future") {
    const std::vector<std::int64_t> trials{4, 4, 4, 21};
    const auto plain = hours_of(listed(trials));
    TrialNumbers numbers = own_numbers(trials);
    numbers.later = own_numbers({101, 102, 4, 103}).of_purpose;
    constexpr int kDay = 2;
    numbers.from_day.assign(engine::purposes(*short_trip()).size(), kDay);
    // Tomorrow's weather acts on tonight's hours already: it belongs to the past.
    numbers.from_day[place("weather.clearness")] = numbers.from_day[place("weather.temperature")] = kDay + 1;
    EnsembleOptions options = listed(trials);
    options.numbers = &numbers;
    const auto split = hours_of(options);
    const std::size_t width = plain.size() / trials.size();
    const auto midnight = 2 * static_cast<std::size_t>(24 * kDay - static_cast<int>(short_trip()->start_hour()));
    for (std::size_t row = 0; row < trials.size(); ++row) {
        const auto a = plain.begin() + static_cast<std::ptrdiff_t>(row * width);
        const auto b = split.begin() + static_cast<std::ptrdiff_t>(row * width);
        CHECK(std::equal(a, a + static_cast<std::ptrdiff_t>(midnight), b));
        CHECK(std::equal(a, a + static_cast<std::ptrdiff_t>(width), b) == (row == 2));
    }
    CHECK(!std::equal(split.begin(), split.begin() + static_cast<std::ptrdiff_t>(width),
                      split.begin() + static_cast<std::ptrdiff_t>(width)));
}

TEST_CASE("any draw may be given by its score") {
    // The scores of what trial 5 draws: all rows then have its clouds at noon and its fridge's phase at the start.
    const auto cloud = engine::coordinate_of_draw(*short_trip(), "weather.cloud", 1, 12, Half::normal);
    const auto phase = engine::coordinate_of_draw(*short_trip(), "load.fridge", 0, 1, Half::uniform);
    const double of_cloud = random::normal(draw_of("weather.cloud", 5, 24 + 12));
    const double of_phase = base::inverse_normal(random::uniform(draw_of("load.fridge", 5, 1)));
    std::vector<double> scores;
    const std::vector<std::int64_t> trials{5, 6, 5};
    for (std::size_t row = 0; row < trials.size(); ++row) scores.insert(scores.end(), {of_cloud, of_phase});
    const engine::GivenScores given{{cloud, phase}, scores.data()};
    EnsembleOptions options = listed(trials);
    options.scores = &given;
    const auto plain = hours_of(listed(trials)), with = hours_of(options);
    const auto width = static_cast<std::ptrdiff_t>(plain.size() / trials.size());
    CHECK(std::equal(with.begin(), with.begin() + width, plain.begin()));
    CHECK(!std::equal(with.begin() + width, with.begin() + 2 * width, plain.begin() + width));
    CHECK(std::equal(with.begin() + 2 * width, with.end(), plain.begin()));

    const auto& trip = *short_trip();
    CHECK_THROWS_WITH(engine::coordinate_of_draw(trip, "weather.cloud", 1, 24, Half::normal),
                      Catch::Contains("draw = 24: allowed 0 to 23"));
    CHECK_THROWS_WITH(engine::coordinate_of_draw(trip, "weather.cloud", 99, 0, Half::normal),
                      Catch::Contains("day = 99: allowed 0 to "));
    CHECK_THROWS_WITH(engine::coordinate_of_draw(trip, "weather.clouds", 0, 0, Half::normal),
                      Catch::Contains("the trip draws nothing under that name"));
}

TEST_CASE("a score becomes the same probability on every instruction set") {
    for (const auto& set : engine::instruction_sets())
        for (const int lanes : {set.double_.lanes, set.single.lanes}) {
            const auto cdf = lanes == set.double_.lanes ? set.double_.cdf : set.single.cdf;
            std::vector<double> z(static_cast<std::size_t>(lanes));
            for (double from = -38; from < 38; from += 0.37 * lanes) {
                for (std::size_t i = 0; i < z.size(); ++i) z[i] = from + 0.37 * static_cast<double>(i);
                const std::vector<double> scores = z;
                cdf(z.data());
                for (std::size_t i = 0; i < z.size(); ++i) CHECK(z[i] == base::normal_cdf(scores[i]));
            }
        }
}
