#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <cstdint>
#include <mutex>
#include <set>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

#include "ridethrough/config/configuration.hpp"
#include "ridethrough/ensemble/fixed_sum.hpp"
#include "ridethrough/ensemble/thread_pool.hpp"
#include "ridethrough/random/draws.hpp"
#include "ridethrough/random/purpose.hpp"
#include "ridethrough/random/stream.hpp"

using namespace ridethrough;
using ensemble::RunOptions;
using ensemble::RunResult;

namespace {

double outcome(std::int64_t trial) {
    static const random::SeedSequence key(7, random::purpose("check.run"));
    random::Stream stream(key, static_cast<std::uint64_t>(trial));
    return random::normal(stream.next()) + 1e8 * random::uniform(stream.next());  // a sum that rounds at every step
}

struct Study {
    std::vector<double> column;
    ensemble::FixedSum sum;
    RunResult result;
};

Study study(std::int64_t trials, const RunOptions& options) {
    Study s{std::vector<double>(static_cast<std::size_t>(trials)), ensemble::FixedSum(trials), {}};
    s.result = ensemble::run(trials, options, [&](std::int64_t first, std::int64_t count, const std::atomic<bool>&) {
        for (std::int64_t t = first; t < first + count; ++t) {
            s.column[static_cast<std::size_t>(t)] = outcome(t);
            s.sum.add(t, outcome(t));
        }
        return true;
    });
    return s;
}

void sleep_ms(int ms) { std::this_thread::sleep_for(std::chrono::milliseconds(ms)); }

void wait_for(const std::atomic<bool>& stop) {
    while (!stop) sleep_ms(1);
}

}  // namespace

TEST_CASE("columns and sums are the same bits for any threads and task size") {
    for (const std::int64_t n : {1, 63, 64, 65, 255, 256, 257, 10'003}) {
        std::vector<double> column, blocks;
        for (std::int64_t t = 0; t < n; ++t) {
            column.push_back(outcome(t));
            if (t % 64 == 0) blocks.push_back(0);
            blocks.back() += outcome(t);
        }
        double total = 0;
        for (const double b : blocks) total += b;

        for (const int threads : {1, 2, 3, 7})
            for (const std::int64_t size : {1, 64, 100, 256, 4096}) {
                const Study s = study(n, {threads, size});
                REQUIRE(s.column == column);
                REQUIRE(s.sum.total() == total);
                REQUIRE(s.result.finished_prefix == n);
                REQUIRE_FALSE(s.result.cancelled);
            }
    }
}

TEST_CASE("the first k trials of n equal a run of k") {
    const Study all = study(10'003, {3, 256});
    for (const std::int64_t k : {1, 255, 256, 257}) {
        const Study some = study(k, {2, 64});
        CHECK(std::equal(some.column.begin(), some.column.end(), all.column.begin()));
    }
    CHECK(study(256, {2, 64}).sum.total() == all.sum.total(256));
}

TEST_CASE("tasks cover every trial once, start on whole blocks and leave no thread idle") {
    for (const int threads : {1, 2, 5})
        for (const std::int64_t size : {1, 100, 1'000'000}) {
            std::mutex guard;
            std::set<std::int64_t> firsts;
            std::int64_t covered = 0;
            ensemble::run(1000, {threads, size}, [&](std::int64_t first, std::int64_t count, const std::atomic<bool>&) {
                const std::lock_guard lock(guard);
                CHECK(first % ensemble::trials_per_block == 0);
                CHECK(firsts.insert(first).second);
                covered += count;
                return true;
            });
            CHECK(covered == 1000);
            CHECK(firsts.size() >= static_cast<std::size_t>(threads) - 1);  // whole blocks may spare the last one
        }
}

TEST_CASE("the first exception in trial order reaches the caller") {
    for (const int threads : {1, 2, 3, 7})
        for (int repeat = 0; repeat < 5; ++repeat) {
            const auto failing = [](std::int64_t first, std::int64_t, const std::atomic<bool>&) -> bool {
                if (first < 5 * 64) return true;
                if (first == 5 * 64) sleep_ms(5);  // first, but not soonest
                throw std::runtime_error("trial " + std::to_string(first));
            };
            REQUIRE_THROWS_WITH(ensemble::run(10'003, {threads, 64}, failing), "trial 320");
        }
    CHECK(study(257, {2, 64}).result.finished_prefix == 257);
}

TEST_CASE("a cancelled run keeps the finished prefix and the next one works") {
    for (const int threads : {1, 2, 3, 7}) {
        std::vector<std::int64_t> column(10'003, -1);
        std::atomic<int> gave_up{0};
        const auto stuck_after_eight = [&](std::int64_t first, std::int64_t count, const std::atomic<bool>& stop) {
            if (first >= 8 * 64) {
                wait_for(stop);
                ++gave_up;
                return false;
            }
            for (std::int64_t t = first; t < first + count; ++t) column[static_cast<std::size_t>(t)] = t;
            return true;
        };
        const RunResult r =
            ensemble::run(10'003, {threads, 64}, stuck_after_eight, [](std::int64_t done) { return done < 8 * 64; });
        CHECK(r.cancelled);
        CHECK(r.finished_prefix == 8 * 64);
        CHECK(gave_up <= threads);  // nothing new is begun after the request
        for (std::int64_t t = 0; t < r.finished_prefix; ++t) REQUIRE(column[static_cast<std::size_t>(t)] == t);
        CHECK(study(257, {threads, 64}).result.finished_prefix == 257);
    }
}

TEST_CASE("work after a gap is not part of the prefix") {
    const std::int64_t n = 20 * 64;
    const auto stuck_at_three = [](std::int64_t first, std::int64_t, const std::atomic<bool>& stop) {
        if (first != 3 * 64) return true;
        wait_for(stop);
        return false;
    };
    const RunResult r = ensemble::run(n, {2, 64}, stuck_at_three, [&](std::int64_t done) { return done < n - 64; });
    CHECK(r.cancelled);
    CHECK(r.finished_prefix == 3 * 64);
}

TEST_CASE("progress is polled on the caller's thread, never falls and ends at the number of trials") {
    for (const int threads : {1, 2}) {
        std::vector<std::int64_t> seen;
        const auto caller = std::this_thread::get_id();
        const auto slow = [](std::int64_t, std::int64_t, const std::atomic<bool>&) {
            sleep_ms(40);
            return true;
        };
        ensemble::run(10 * 64, {threads, 64}, slow, [&](std::int64_t done) {
            CHECK(std::this_thread::get_id() == caller);
            seen.push_back(done);
            return true;
        });
        CHECK(seen.size() >= 3);  // at least 200 ms of work at 50 ms or less
        CHECK(std::is_sorted(seen.begin(), seen.end()));
        CHECK(seen.back() == 10 * 64);
    }
}

TEST_CASE("an exception from the poll stops the workers and goes on") {
    std::atomic<int> running{0};
    const auto stuck = [&](std::int64_t, std::int64_t, const std::atomic<bool>& stop) {
        ++running;
        wait_for(stop);
        --running;
        return false;
    };
    const auto interrupt = [](std::int64_t) -> bool { throw std::runtime_error("interrupted"); };
    CHECK_THROWS_WITH(ensemble::run(10'003, {3, 64}, stuck, interrupt), "interrupted");
    CHECK(running == 0);
}

TEST_CASE("no trials, and inputs out of range") {
    const auto never = [](std::int64_t, std::int64_t, const std::atomic<bool>&) -> bool {
        throw std::logic_error("ran");
    };
    int polls = 0;
    const RunResult r = ensemble::run(0, {2, 64}, never, [&](std::int64_t done) { return ++polls, done == 0; });
    CHECK(r.finished_prefix == 0);
    CHECK_FALSE(r.cancelled);
    CHECK(polls == 1);
    CHECK_THROWS_WITH(ensemble::run(-1, {}, never), "trials = -1: allowed 0 to 1000000000000");
    CHECK_THROWS_AS(ensemble::run(1, {-1, 64}, never), base::InputError);
    CHECK_THROWS_AS(ensemble::run(1, {1025, 64}, never), base::InputError);
    CHECK_THROWS_AS(ensemble::run(1, {1, 0}, never), base::InputError);
}
