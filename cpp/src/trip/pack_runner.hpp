// A worker for packs of one lane type. Internal to run_double.cpp and run_single.cpp, which compile one type each.
#pragma once

#include <algorithm>
#include <utility>
#include <vector>

#include "ridethrough/base/pack.hpp"
#include "ridethrough/random/draws.hpp"
#include "ridethrough/random/purpose.hpp"
#include "ridethrough/random/seed_sequence.hpp"
#include "ridethrough/random/stream.hpp"
#include "ridethrough/trip/block.hpp"
#include "ridethrough/trip/run.hpp"

namespace ridethrough::trip {

using Shared = std::shared_ptr<const Compiled>;

std::unique_ptr<PackRunner> make_double_runner(Shared compiled, std::uint64_t seed, int width,
                                               const PathsWanted& paths);
std::unique_ptr<PackRunner> make_single_runner(Shared compiled, std::uint64_t seed, int width,
                                               const PathsWanted& paths);

template <class V>
class Runner final : public PackRunner {
    using T = typename V::Scalar;
    static constexpr int N = V::width;

  public:
    Runner(std::shared_ptr<const Compiled> compiled, std::uint64_t seed, const PathsWanted& paths)
        : compiled_(std::move(compiled)),
          plan_(compiled_->plan<T>()),
          replay_key_(seed, random::purpose("weather.replay")) {
        // The trial is hashed last, so one key a purpose serves all trials.
        for (const WordPlan& w : compiled_->words()) word_keys_.emplace_back(seed, w.purpose);
        for (const SlotDraw& d : compiled_->slots()) slot_keys_.emplace_back(seed, d.purpose);
        const auto n = [](int count) { return static_cast<std::size_t>(count); };
        words_.resize(n(compiled_->total_words()) * n(N));
        slots_.resize(n(plan_.slots));
        day_values_.resize(n(plan_.days) * n(plan_.day_slots));
        clearness_.resize(n(compiled_->drawn_days()));
        air_.resize(n(compiled_->drawn_days()));
        bins_.resize(n(6 * 2 * plan_.per_day));
        columns_.resize(kColumns);
        loads_.resize(n(plan_.loads));
        ledger_.resize(2);
        for (int p = 0; p < kPaths; ++p)
            if (paths[n(p)]) paths_[p].resize(n(compiled_->hours()));
    }

    int lanes() const override { return N; }
    void give(const GivenScores* scores) override { given_ = scores; }

    bool run(std::span<const std::int64_t> trials, const std::atomic<bool>* stop) override {
        for (int lane = 0; lane < N; ++lane) {  // lanes without a trial repeat the last one
            const auto i = std::min(static_cast<std::size_t>(lane), trials.size() - 1);
            draw(static_cast<std::uint64_t>(trials[i]), lane);
            if (given_) put_scores(trials[i], lane);
        }
        const Workspace<V> ws{words_.data(),     slots_.data(), day_values_.data(), start_.data(),
                              clearness_.data(), air_.data(),   bins_.data()};
        Outputs<V> out{columns_.data(), loads_.data(), ledger_.data(), {}};
        for (int p = 0; p < kPaths; ++p) out.paths[p] = paths_[p].empty() ? nullptr : paths_[p].data();
        return simulate_pack(plan_, ws, out, stop);
    }

    double column(Column c, int lane) const override { return at(columns_, c, lane); }
    double load_ah(int load, int lane) const override { return at(loads_, load, lane); }
    double charge_miss(int lane) const override { return at(ledger_, 0, lane); }
    double energy_miss(int lane) const override { return at(ledger_, 1, lane); }
    double path(Path p, int hour, int lane) const override { return at(paths_[p], hour, lane); }
    double clearness(int day, int lane) const override { return plan_.replay ? 0 : at(clearness_, day, lane); }
    double drawn(int slot, int lane) const override { return at(slots_, slot, lane); }
    std::int32_t replay_start(int lane) const override { return start_[static_cast<std::size_t>(lane)]; }

  private:
    static double at(const std::vector<V>& v, int i, int lane) {
        return static_cast<double>(v[static_cast<std::size_t>(i)].lane(lane));
    }

    void draw(std::uint64_t trial, int lane) {
        for (std::size_t p = 0; p < word_keys_.size(); ++p) {
            const WordPlan& w = compiled_->words()[p];
            if (plan_.replay && w.name.starts_with("weather.")) continue;
            random::Stream stream(word_keys_[p], trial);
            const int count = w.words_a_day * compiled_->drawn_days();
            for (int i = 0; i < count; ++i)
                words_[static_cast<std::size_t>((w.first_word + i) * N + lane)] = stream.next();
        }
        int daily = 0;
        for (std::size_t s = 0; s < compiled_->slots().size(); ++s) {
            const SlotDraw& d = compiled_->slots()[s];
            if (!d.spread) {
                slots_[s].set_lane(lane, static_cast<T>(d.constant));
                continue;
            }
            random::Stream stream(slot_keys_[s], trial);
            const auto next = [&] {
                return static_cast<T>(d.spread->quantile(random::uniform(stream.next()), d.low, d.high));
            };
            if (!d.daily) {
                slots_[s].set_lane(lane, next());
                continue;
            }
            for (int day = 0; day < plan_.days; ++day)
                day_values_[static_cast<std::size_t>(day * plan_.day_slots + daily)].set_lane(lane, next());
            ++daily;
        }
        if (plan_.replay) {
            const auto& starts = compiled_->replay_starts();
            random::Stream stream(replay_key_, trial);
            const double u = random::uniform(stream.next());
            start_[static_cast<std::size_t>(lane)] =
                starts[static_cast<std::size_t>(u * static_cast<double>(starts.size()))];
        }
    }

    void put_scores(std::int64_t trial, int lane) {
        for (std::size_t i = 0; i < given_->where.size(); ++i) {
            const Coordinate& c = given_->where[i];
            const double score = given_->at(trial, i);
            if (c.word >= 0) {
                std::uint64_t& word = words_[static_cast<std::size_t>(c.word * N + lane)];
                word = with_score(word, score);
                continue;
            }
            for (const int slot : c.slots) {
                const SlotDraw& d = compiled_->slots()[static_cast<std::size_t>(slot)];
                const auto x = static_cast<T>(d.spread->quantile(uniform_of_score(score), d.low, d.high));
                if (!d.daily) {
                    slots_[static_cast<std::size_t>(slot)].set_lane(lane, x);
                    continue;
                }
                const auto& daily = compiled_->day_slots();
                const auto at = std::find(daily.begin(), daily.end(), slot) - daily.begin();
                day_values_[static_cast<std::size_t>(c.day * plan_.day_slots + static_cast<int>(at))].set_lane(lane, x);
            }
        }
    }

    std::shared_ptr<const Compiled> compiled_;
    const Plan<T>& plan_;
    std::vector<random::SeedSequence> word_keys_, slot_keys_;
    random::SeedSequence replay_key_;
    std::vector<std::uint64_t> words_;
    std::vector<V> slots_, day_values_, clearness_, air_, bins_, columns_, loads_, ledger_;
    std::vector<V> paths_[kPaths];
    std::array<std::int32_t, N> start_{};
    const GivenScores* given_ = nullptr;
};

}  // namespace ridethrough::trip
