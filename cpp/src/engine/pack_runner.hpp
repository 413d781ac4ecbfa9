// A worker for packs of one number type: draws in plain code, the kernel of one instruction set behind a function
// pointer.
#pragma once

#include <algorithm>
#include <stdexcept>
#include <utility>
#include <vector>

#include "ridethrough/engine/instruction_sets.hpp"
#include "ridethrough/engine/trial_batch.hpp"
#include "ridethrough/random/draws.hpp"
#include "ridethrough/random/purpose.hpp"
#include "ridethrough/random/seed_sequence.hpp"
#include "ridethrough/random/stream.hpp"

namespace ridethrough::engine {

// Place of each parameter's purpose among purposes(); past their end for one that is never drawn.
std::vector<std::size_t> purposes_of_parameters(const trip::CompiledTrip& compiled);

// Rows of numbers, one a lane, aligned for the packs of every instruction set.
template <class T>
class Rows {
  public:
    void resize(std::size_t rows, std::size_t lanes) {
        lines_.assign((rows * lanes * sizeof(T) + sizeof(Line) - 1) / sizeof(Line), Line{});
    }
    bool empty() const { return lines_.empty(); }
    T* data() { return lines_.empty() ? nullptr : lines_.data()->numbers; }
    const T* data() const { return lines_.empty() ? nullptr : lines_.data()->numbers; }

  private:
    struct alignas(64) Line {
        T numbers[64 / sizeof(T)];
    };
    std::vector<Line> lines_;
};

template <class T>
class Runner final : public PackRunner {
  public:
    Runner(std::shared_ptr<const trip::CompiledTrip> compiled, std::uint64_t seed, const Kernel<T>& kernel,
           const SeriesWanted& series)
        : compiled_(std::move(compiled)),
          plan_(compiled_->plan()),
          view_{plan_, compiled_->skies<T>()},
          kernel_(kernel),
          lanes_(static_cast<std::size_t>(kernel.lanes)),
          replay_key_(seed, random::purpose("weather.replay")) {
        // The trial is hashed last, so one key a purpose serves all trials.
        for (const random::DrawPurpose& p : compiled_->table().purposes()) draw_keys_.emplace_back(seed, p.purpose);
        for (const random::Parameter& p : compiled_->parameters()) parameter_keys_.emplace_back(seed, p.purpose);
        const auto n = [](int count) { return static_cast<std::size_t>(count); };
        trial_.resize(lanes_);
        number_.resize(lanes_);
        score_.resize(lanes_);
        probability_.resize(lanes_);
        low_half_.resize(lanes_);
        keys_.resize(8 * lanes_);
        parameter_draws_.resize(n(plan_.days) * lanes_);
        drawn_.resize(n(plan_.days) * lanes_);
        draws_.resize(n(compiled_->table().total_draws()) * lanes_);
        start_.resize(lanes_);
        drawn_parameters_.resize(n(plan_.parameters), lanes_);
        for (std::size_t i = 0; i < compiled_->parameters().size(); ++i)
            std::fill_n(drawn_parameters_.data() + i * lanes_, lanes_,
                        static_cast<T>(compiled_->parameters()[i].constant));
        day_values_.resize(n(plan_.days) * n(plan_.daily), lanes_);
        clearness_.resize(n(compiled_->drawn_days()), lanes_);
        air_.resize(n(compiled_->drawn_days()), lanes_);
        bins_.resize(n(6 * 2 * plan_.per_day), lanes_);
        columns_.resize(kColumns, lanes_);
        loads_.resize(n(plan_.loads), lanes_);
        balance_errors_.resize(2, lanes_);
        for (int p = 0; p < kSeriesCount; ++p)
            if (series[n(p)]) series_rows_[p].resize(n(compiled_->hours()), lanes_);
    }

    int lanes() const override { return kernel_.lanes; }
    void give(const GivenScores* scores) override { given_ = scores; }

    void use(const MeasuredDays& days, std::span<const std::int32_t> rows) override {
        measured_ = &days;
        measured_rows_ = rows;
    }

    void renumber(const TrialNumbers* numbers) override {
        numbers_ = numbers;
        if (!numbers) return;
        purpose_of_ = purposes_of_parameters(*compiled_);
        purposes_ = purposes(*compiled_).size();
    }

    void leave_after(int hours) override { steps_ = hours * (plan_.per_day / 24); }
    void keep_states() override {
        for (Rows<T>& rows : state_rows_) rows.resize(static_cast<std::size_t>(compiled_->hours()), lanes_);
    }

    void draw(std::span<const std::int64_t> trials, std::int64_t first_row) override {
        first_row_ = static_cast<std::size_t>(first_row);
        used_lanes_ = trials.size();
        for (std::size_t lane = 0; lane < lanes_; ++lane)  // lanes without a trial repeat the last one
            trial_[lane] = trials[std::min(lane, used_lanes_ - 1)];
        set_numbers([&](std::size_t lane) { return trial_[lane]; });
        draw_purposes();
        draw_parameters();
        if (given_) put_scores();
        for (std::size_t lane = 0; lane < lanes_ && measured_; ++lane)
            set_measured_days(static_cast<std::size_t>(measured_rows_[std::min(lane, used_lanes_ - 1)]), lane);
    }

    bool run_drawn(const std::atomic<bool>* stop) override {
        parameters_ = drawn_parameters_;  // the kernel writes into its own
        Buffers<T> b{draws_.data(),
                     parameters_.data(),
                     day_values_.data(),
                     start_.data(),
                     clearness_.data(),
                     air_.data(),
                     bins_.data(),
                     columns_.data(),
                     loads_.data(),
                     balance_errors_.data(),
                     {}};
        b.days_given = measured_ != nullptr;
        for (int p = 0; p < kSeriesCount; ++p) b.series[p] = series_rows_[p].data();
        for (int p = 0; p < kStateRows; ++p) b.states[p] = state_rows_[p].data();
        b.steps = steps_;
        const auto is_raised = [](const void* flag) {
            return static_cast<const std::atomic<bool>*>(flag)->load(std::memory_order_relaxed);
        };
        return kernel_.run(view_, b, stop ? Stop{is_raised, stop} : Stop{});
    }

    double column(Column c, int lane) const override { return at(columns_, c, lane); }
    double load_ah(int load, int lane) const override { return at(loads_, load, lane); }
    double charge_balance_error(int lane) const override { return at(balance_errors_, 0, lane); }
    double energy_balance_error(int lane) const override { return at(balance_errors_, 1, lane); }
    double series_at(Series s, int hour, int lane) const override { return at(series_rows_[s], hour, lane); }
    double state_at(StateRow s, int hour, int lane) const override { return at(state_rows_[s], hour, lane); }
    void copy_series(Series p, int lane, double* hours) const override {
        for (int h = 0; h < compiled_->hours(); ++h) hours[h] = at(series_rows_[p], h, lane);
    }
    void count_charge(int lanes, int bins, std::uint32_t* histogram) const override {
        for (int h = 0; h < compiled_->hours(); ++h, histogram += bins)
            for (int lane = 0; lane < lanes; ++lane) {
                const double x = at(series_rows_[kSeriesSoc], h, lane) * bins;
                ++histogram[static_cast<int>(std::clamp(x, 0.0, bins - 1.0))];
            }
    }
    double clearness(int day, int lane) const override { return plan_.replay ? 0 : at(clearness_, day, lane); }
    double drawn(int parameter, int lane) const override { return at(parameters_, parameter, lane); }
    std::int32_t replay_start(int lane) const override { return start_[static_cast<std::size_t>(lane)]; }

  private:
    double at(const Rows<T>& v, int i, int lane) const {
        const T x = v.data()[static_cast<std::size_t>(i) * lanes_ + static_cast<std::size_t>(lane)];
        if (!(x - x == 0)) throw std::runtime_error("the engine produced a number that is not finite: please report");
        return static_cast<double>(x);
    }

    void set_measured_days(std::size_t row, std::size_t lane) {
        if (plan_.replay) {
            start_[lane] = measured_->replay_start[row];
            return;
        }
        const auto days = static_cast<std::size_t>(compiled_->drawn_days());
        for (std::size_t d = 0; d < days; ++d) {
            clearness_.data()[d * lanes_ + lane] = static_cast<T>(measured_->clearness[row * days + d]);
            air_.data()[d * lanes_ + lane] = static_cast<T>(measured_->air_mean_c[row * days + d]);
        }
    }

    // The draws of one purpose for all lanes, from the numbers that hold on each day.
    void draw_purpose(const random::SeedSequence& sequence, std::size_t purpose, std::size_t a_day, std::size_t days,
                      std::uint64_t* draws) {
        if (!numbers_) return draw_stream(sequence, 0, a_day * days, draws);
        const auto of = [&](const std::vector<std::int64_t>& rows) {
            return [&](std::size_t lane) { return rows[row_of(lane) * purposes_ + purpose]; };
        };
        std::size_t first = days;  // day from which other numbers hold
        if (!numbers_->later.empty())
            first = std::min(days, static_cast<std::size_t>(std::max(numbers_->from_day[purpose], 0)));
        set_numbers(of(numbers_->of_purpose));
        draw_stream(sequence, 0, a_day * first, draws);
        if (first == days) return;
        set_numbers(of(numbers_->later));
        draw_stream(sequence, a_day * first, a_day * (days - first), draws + a_day * first * lanes_);
    }
    template <class NumberOf>
    void set_numbers(const NumberOf& number_of) {
        for (std::size_t lane = 0; lane < lanes_; ++lane) {
            number_[lane] = static_cast<std::uint64_t>(number_of(lane));
            low_half_[lane] = static_cast<std::uint32_t>(number_[lane]);
        }
    }
    std::size_t row_of(std::size_t lane) const { return first_row_ + std::min(lane, used_lanes_ - 1); }
    void draw_stream(const random::SeedSequence& sequence, std::size_t skipped, std::size_t count,
                     std::uint64_t* draws) {
        kernel_.keys(sequence, low_half_.data(), keys_.data());
        for (std::size_t lane = 0; lane < lanes_; ++lane) {
            if (!(number_[lane] >> 32)) continue;
            std::uint32_t key[8];
            sequence.key_of(number_[lane], key);
            for (std::size_t i = 0; i < 8; ++i) keys_[i * lanes_ + lane] = key[i];
        }
        const std::size_t lanes = lanes_;
        for (std::size_t a = 0; a < lanes; a += 2) {  // two lanes at a time, so that none waits for its own last draw
            const bool two = a + 1 < lanes;
            random::Stream of_a(&keys_[a], lanes), of_b(&keys_[a + two], lanes);
            if (skipped) {
                of_a.advance(skipped);
                of_b.advance(skipped);
            }
            std::uint64_t* to = draws + a;
            for (std::size_t i = count; i > 0; --i, to += lanes) {
                to[0] = of_a.next();
                if (two) to[1] = of_b.next();
            }
        }
    }

    void draw_purposes() {
        for (std::size_t p = 0; p < draw_keys_.size(); ++p) {
            const random::DrawPurpose& w = compiled_->table().purposes()[p];
            if (plan_.replay && w.name.starts_with("weather.")) continue;
            draw_purpose(draw_keys_[p], p, static_cast<std::size_t>(w.a_day),
                         static_cast<std::size_t>(compiled_->drawn_days()),
                         draws_.data() + static_cast<std::size_t>(w.first) * lanes_);
        }
        if (!plan_.replay) return;
        const auto& starts = compiled_->replay_starts();
        draw_purpose(replay_key_, purposes_ - 1, 1, 1, parameter_draws_.data());
        for (std::size_t lane = 0; lane < lanes_; ++lane) {
            const double u = random::uniform(parameter_draws_[lane]);
            start_[lane] = starts[static_cast<std::size_t>(u * static_cast<double>(starts.size()))];
        }
    }

    // Constants were filled in once and for all.
    void draw_parameters() {
        const auto a_day = static_cast<std::size_t>(plan_.daily);
        std::size_t daily = 0;
        for (std::size_t s = 0; s < parameter_keys_.size(); ++s) {
            const random::Parameter& d = compiled_->parameters()[s];
            if (!d.spread) continue;
            const std::size_t rows = d.daily ? static_cast<std::size_t>(plan_.days) : 1;
            draw_purpose(parameter_keys_[s], numbers_ ? purpose_of_[s] : 0, 1, rows, parameter_draws_.data());
            const std::span<double> drawn(drawn_.data(), rows * lanes_);
            std::transform(parameter_draws_.begin(),
                           parameter_draws_.begin() + static_cast<std::ptrdiff_t>(drawn.size()), drawn.begin(),
                           [](std::uint64_t draw) { return random::uniform(draw); });
            d.spread->quantiles(drawn, d.low, d.high);
            for (std::size_t row = 0; row < rows; ++row)
                std::transform(&drawn[row * lanes_], &drawn[row * lanes_] + lanes_,
                               d.daily ? day_values_.data() + (row * a_day + daily) * lanes_
                                       : drawn_parameters_.data() + s * lanes_,
                               [](double x) { return static_cast<T>(x); });
            daily += d.daily;
        }
    }

    void put_scores() {
        for (std::size_t i = 0; i < given_->where.size(); ++i) {
            const Coordinate& c = given_->where[i];
            for (std::size_t lane = 0; lane < lanes_; ++lane) {
                const double score = score_[lane] = given_->at(row_of(lane), i);
                // Of a draw the nearer tail, so that the far one keeps its digits.
                probability_[lane] = c.draw && score > 0 ? -score : score;
            }
            kernel_.cdf(probability_.data());
            if (c.draw) {
                std::uint64_t* draw = &draws_[static_cast<std::size_t>(*c.draw) * lanes_];
                for (std::size_t lane = 0; lane < lanes_; ++lane)
                    draw[lane] = with_score(draw[lane], c.half, score_[lane], probability_[lane]);
                continue;
            }
            for (double& p : probability_) p = inside_uniform(p);
            for (const Coordinate::Place& place : c.places) put_quantiles(place, c.day.value_or(0));
        }
    }
    void put_quantiles(const Coordinate::Place& place, int day) {
        const random::Parameter& d = compiled_->table()[place.parameter];
        const std::span<double> quantiles(drawn_.data(), lanes_);
        std::copy(probability_.begin(), probability_.end(), quantiles.begin());
        d.spread->quantiles(quantiles, d.low, d.high);
        const int row = place.day_place ? day * plan_.daily + *place.day_place : place.parameter.place();
        T* to = (place.day_place ? day_values_ : drawn_parameters_).data() + static_cast<std::size_t>(row) * lanes_;
        std::transform(quantiles.begin(), quantiles.end(), to, [](double x) { return static_cast<T>(x); });
    }

    std::shared_ptr<const trip::CompiledTrip> compiled_;
    const trip::Plan& plan_;
    PlanView<T> view_;
    Kernel<T> kernel_;
    std::size_t lanes_;
    std::vector<random::SeedSequence> draw_keys_, parameter_keys_;
    random::SeedSequence replay_key_;
    std::vector<std::int64_t> trial_;
    std::vector<std::uint64_t> number_, draws_, parameter_draws_;
    std::vector<std::uint32_t> low_half_, keys_;  // of the lanes' numbers; [8][lanes]
    std::vector<std::int32_t> start_;
    std::vector<double> drawn_, score_, probability_;
    Rows<T> drawn_parameters_, parameters_, day_values_, clearness_, air_, bins_, columns_, loads_, balance_errors_;
    Rows<T> series_rows_[kSeriesCount], state_rows_[kStateRows];
    int steps_ = 0;
    const GivenScores* given_ = nullptr;
    const TrialNumbers* numbers_ = nullptr;
    std::vector<std::size_t> purpose_of_;  // [parameters] among the purposes
    std::size_t purposes_ = 0, first_row_ = 0, used_lanes_ = 1;
    const MeasuredDays* measured_ = nullptr;
    std::span<const std::int32_t> measured_rows_;
};

}  // namespace ridethrough::engine
