#include <algorithm>
#include <cmath>
#include <numeric>

#include "ridethrough/base/math.hpp"
#include "ridethrough/forecast/estimates.hpp"
#include "ridethrough/random/draws.hpp"
#include "ridethrough/random/purpose.hpp"
#include "ridethrough/random/stream.hpp"
#include "trial_weigher.hpp"

namespace ridethrough::forecast {

namespace {

// Measured for three evenings with yields: fresh draws of a few scores and a purpose's trial number renewed are what
// is accepted; a joint step over everything is nearly never.
enum class Move { few_scores, purpose, spreads, all_scores, fewer_scores };
constexpr Move kMoves[] = {Move::few_scores, Move::purpose,      Move::spreads,
                           Move::all_scores, Move::fewer_scores, Move::purpose};
constexpr double kFew = 0.15, kFewer = 0.05;           // chance of each score to be drawn anew
constexpr double kSpreadsKeep = 0.7, kAllKeep = 0.97;  // correlation of a Crank-Nicolson step with where it was
constexpr double kEffective = 0.5;                     // share of the effective size that a tempering step leaves

double normal(random::Stream& stream) { return base::inverse_normal(random::uniform(stream.next())); }

// What is asked of the copies at one time: the readings up to it.
struct Evening {
    double hour;
    std::size_t readings;
};
std::vector<Evening> evenings(const std::vector<MeterReading>& readings, double now_h) {
    std::vector<Evening> all;
    for (std::size_t i = 0; i < readings.size(); ++i) {
        if (!all.empty() && all.back().hour == readings[i].hour)
            all.back().readings = i + 1;
        else
            all.push_back({readings[i].hour, i + 1});
    }
    if (all.empty() || all.back().hour < now_h) all.push_back({now_h, readings.size()});
    return all;
}

// Particles with the log likelihoods of the evening before and of this one.
struct Particles {
    base::Table<double> scores;
    base::Table<std::int64_t> numbers;
    std::vector<double> before, here;

    Particles(std::ptrdiff_t count, std::ptrdiff_t coordinates, std::ptrdiff_t purposes)
        : scores(count, coordinates),
          numbers(count, purposes),
          before(static_cast<std::size_t>(count)),
          here(static_cast<std::size_t>(count)) {}
    std::size_t size() const { return here.size(); }
    double target(std::size_t i, double power) const {
        return here[i] > kImpossible ? before[i] + power * (here[i] - before[i]) : kImpossible;
    }
    void copy(std::size_t to, const Particles& from, std::size_t i) {
        scores.row(static_cast<std::ptrdiff_t>(to)) = from.scores.row(static_cast<std::ptrdiff_t>(i));
        numbers.row(static_cast<std::ptrdiff_t>(to)) = from.numbers.row(static_cast<std::ptrdiff_t>(i));
        before[to] = from.before[i];
        here[to] = from.here[i];
    }
};

class Replicate {
  public:
    Replicate(const std::shared_ptr<const trip::CompiledTrip>& compiled, const Evidence& evidence,
              const std::vector<MeterReading>& readings, const SamplerOptions& options, int replicate,
              const std::atomic<bool>& stop)
        : options_(options),
          replicate_(replicate),
          now_h_(evidence.now_h),
          readings_(readings),
          weigher_(compiled, options.seed, readings, evidence.kept_on),
          given_{engine::coordinates(*compiled), nullptr},
          keys_(options.seed, random::purpose("forecast.moves")),
          at_(options.particles, std::ssize(given_.where), std::ssize(engine::purposes(*compiled))),
          proposed_(at_),
          stop_(stop) {
        for (std::size_t i = 0; i < given_.where.size(); ++i)
            if (!given_.where[i].day) whole_trip_.push_back(static_cast<std::ptrdiff_t>(i));
        // What spreads draw is given by scores.
        for (std::size_t p = 0; p < compiled->table().purposes().size(); ++p)
            renewed_.push_back(static_cast<std::ptrdiff_t>(p));
        if (compiled->replay()) renewed_.push_back(at_.numbers.cols() - 1);
    }

    // False where it was stopped.
    bool run() {
        draw_prior();
        const std::vector<Evening> all = evenings(readings_, now_h_);
        for (std::size_t e = 0; e < all.size(); ++e) {
            weigher_.leave_at(all[e].hour);
            readings_before_ = e ? all[e - 1].readings : 0;
            readings_here_ = all[e].readings;
            if (!weigh(at_)) return false;
            if (e == 0) std::fill(at_.before.begin(), at_.before.end(), 0.0);
            for (double power = 0; power < 1;) {
                const double next = next_power(power);
                if (!reweigh(next - power)) return true;  // nothing fits
                ++stages_;
                power = next;
                if (!move(power, power < 1 ? (options_.moves + 1) / 2 : options_.moves)) return false;
            }
        }
        return true;
    }

    const Particles& particles() const { return at_; }
    double log_evidence() const { return log_evidence_; }
    int stages() const { return stages_; }
    double accepted() const { return tried_ ? static_cast<double>(kept_) / static_cast<double>(tried_) : 0; }

  private:
    // A stream for each particle at each time that it is asked for draws.
    random::Stream stream(std::size_t particle) const {
        const auto replicates = static_cast<std::uint64_t>(options_.replicates), count = at_.size();
        return {keys_, (times_ * replicates + static_cast<std::uint64_t>(replicate_)) * count + particle};
    }
    std::int64_t fresh_number(std::size_t particle) const {
        const auto replicates = static_cast<std::uint64_t>(options_.replicates), count = at_.size();
        return static_cast<std::int64_t>((times_ * replicates + static_cast<std::uint64_t>(replicate_)) * count +
                                         particle);
    }

    void draw_prior() {
        for (std::size_t i = 0; i < at_.size(); ++i) {
            random::Stream draws = stream(i);
            const auto row = static_cast<std::ptrdiff_t>(i);
            for (std::ptrdiff_t c = 0; c < at_.scores.cols(); ++c) at_.scores(row, c) = normal(draws);
            at_.numbers.row(row).setConstant(fresh_number(i));
        }
        ++times_;
    }

    // Runs them up to this evening. Their likelihood up to the evening before stays: the same readings, the same past.
    bool weigh(Particles& p) {
        given_.score = p.scores.data();
        numbers_.of_purpose.assign(p.numbers.data(), p.numbers.data() + p.numbers.size());
        weigher_.pack().give(&given_);
        weigher_.pack().renumber(&numbers_);
        const auto lanes = static_cast<std::size_t>(weigher_.pack().lanes());
        std::vector<std::int64_t> trials;
        for (std::size_t first = 0; first < p.size(); first += trials.size()) {
            trials.assign(std::min(lanes, p.size() - first), 0);  // every purpose has a number of its own
            if (!weigher_.pack().run(trials, &stop_, static_cast<std::int64_t>(first))) return false;
            for (std::size_t lane = 0; lane < trials.size(); ++lane) {
                const double here = weigher_.log_likelihood(static_cast<int>(lane), readings_here_);
                p.here[first + lane] = here;
                p.before[first + lane] = here > kImpossible && readings_before_ > 0
                                             ? weigher_.log_likelihood(static_cast<int>(lane), readings_before_)
                                             : 0;
            }
        }
        return true;
    }

    // Of a step up in the power of this evening's likelihood.
    Weights weights_of(double step) const {
        std::vector<double> logs(at_.size(), kImpossible);
        for (std::size_t i = 0; i < logs.size(); ++i)
            if (at_.here[i] > kImpossible) logs[i] = step * (at_.here[i] - at_.before[i]);
        return weights(logs);
    }
    // The largest power that leaves half of the particles that are possible at all.
    double next_power(double power) const {
        const auto possible =
            std::count_if(at_.here.begin(), at_.here.end(), [](double here) { return here > kImpossible; });
        const double enough = kEffective * static_cast<double>(possible);
        if (weights_of(1 - power).effective >= enough) return 1;
        double low = power, high = 1;
        for (int i = 0; i < 40; ++i) {
            const double middle = 0.5 * (low + high);
            (weights_of(middle - power).effective >= enough ? low : high) = middle;
        }
        return high;
    }

    // Weighs by that much of the likelihood and draws anew, systematically. False where nothing is possible.
    bool reweigh(double step) {
        const std::size_t count = at_.size();
        const Weights weight = weights_of(step);
        log_evidence_ += weight.log_mean;
        if (!(weight.effective > 0)) return false;
        random::Stream draws = stream(0);
        ++times_;
        const double from = random::uniform(draws.next());
        Particles next = at_;
        double reached = weight.share[0];
        for (std::size_t i = 0, of = 0; i < count; ++i) {
            const double at = (static_cast<double>(i) + from) / static_cast<double>(count);
            while (reached < at && of + 1 < count) reached += weight.share[++of];
            while (!(weight.share[of] > 0)) --of;  // rounding at the end
            next.copy(i, at_, of);
        }
        at_ = std::move(next);
        return true;
    }

    void propose(Move move, std::size_t i, random::Stream& draws) {
        const auto row = static_cast<std::ptrdiff_t>(i);
        const std::ptrdiff_t columns = proposed_.scores.cols();
        const auto step = [&](std::ptrdiff_t c, double keep) {
            double& score = proposed_.scores(row, c);
            score = std::clamp(keep * score + std::sqrt(1 - keep * keep) * normal(draws), -8.0, 8.0);
        };
        switch (move) {
            case Move::few_scores:
            case Move::fewer_scores:
                for (std::ptrdiff_t c = 0; c < columns; ++c)
                    if (random::uniform(draws.next()) < (move == Move::few_scores ? kFew : kFewer)) step(c, 0);
                return;
            case Move::spreads:
                for (const std::ptrdiff_t c : whole_trip_) step(c, kSpreadsKeep);
                return;
            case Move::all_scores:
                for (std::ptrdiff_t c = 0; c < columns; ++c) step(c, kAllKeep);
                return;
            case Move::purpose: {
                const double place = random::uniform(draws.next()) * static_cast<double>(renewed_.size());
                proposed_.numbers(row, renewed_[static_cast<std::size_t>(place)]) = fresh_number(i);
                return;
            }
        }
    }

    bool move(double power, int moves) {
        for (int m = 0; m < moves; ++m, ++times_) {
            const Move kind = kMoves[static_cast<std::size_t>(m) % std::size(kMoves)];
            proposed_ = at_;
            std::vector<double> threshold(at_.size());
            for (std::size_t i = 0; i < at_.size(); ++i) {
                random::Stream draws = stream(i);
                threshold[i] = base::log(random::uniform(draws.next()));
                propose(kind, i, draws);
            }
            if (!weigh(proposed_)) return false;
            for (std::size_t i = 0; i < at_.size(); ++i) {
                if (!(threshold[i] < proposed_.target(i, power) - at_.target(i, power))) continue;
                at_.copy(i, proposed_, i);
                ++kept_;
            }
            tried_ += static_cast<std::int64_t>(at_.size());
        }
        return true;
    }

    const SamplerOptions& options_;
    int replicate_;
    double now_h_;
    const std::vector<MeterReading>& readings_;
    TrialWeigher weigher_;
    engine::GivenScores given_;
    engine::TrialNumbers numbers_;
    random::SeedSequence keys_;
    Particles at_, proposed_;
    const std::atomic<bool>& stop_;
    std::vector<std::ptrdiff_t> whole_trip_, renewed_;  // coordinates; purposes
    std::size_t readings_before_ = 0, readings_here_ = 0;
    std::uint64_t times_ = 0;  // that draws were asked for
    double log_evidence_ = 0;
    int stages_ = 0;
    std::int64_t tried_ = 0, kept_ = 0;
};

void require(const char* field, int value, int low, int high) {
    if (value < low || value > high)
        throw base::InputError({.path = field,
                                .value = std::to_string(value),
                                .allowed = std::to_string(low) + " to " + std::to_string(high)});
}

}  // namespace

Sample sample(const std::shared_ptr<const trip::CompiledTrip>& compiled, const Evidence& evidence,
              const SamplerOptions& options, const ensemble::Poll& poll) {
    require_now(*compiled, evidence);
    require("particles", options.particles, 16, 65536);
    require("replicates", options.replicates, 2, 64);
    require("moves", options.moves, 1, 1000);
    const std::vector<MeterReading> readings = in_order(*compiled, evidence.readings);
    const auto replicates = static_cast<std::size_t>(options.replicates);
    Sample out;
    out.copies.scores.resize(std::ptrdiff_t{options.replicates} * options.particles,
                             std::ssize(engine::coordinates(*compiled)));
    out.copies.numbers.resize(out.copies.scores.rows(), std::ssize(engine::purposes(*compiled)));
    out.log_evidence.resize(replicates);
    out.stages.resize(replicates);
    out.accepted.resize(replicates);
    // A replicate is a task: to the thread pool a block of trials.
    constexpr std::int64_t block = ensemble::trials_per_block;
    const ensemble::Task task = [&](std::int64_t first, std::int64_t count, const std::atomic<bool>& stop) {
        for (std::int64_t r = first / block; r < (first + count) / block; ++r) {
            Replicate one(compiled, evidence, readings, options, static_cast<int>(r), stop);
            if (!one.run()) return false;
            const auto at = static_cast<std::size_t>(r);
            out.copies.scores.middleRows(r * options.particles, options.particles) = one.particles().scores;
            out.copies.numbers.middleRows(r * options.particles, options.particles) = one.particles().numbers;
            out.log_evidence[at] = one.log_evidence();
            out.stages[at] = one.stages();
            out.accepted[at] = one.accepted();
        }
        return true;
    };
    out.cancelled = ensemble::run(block * options.replicates, {options.threads, block}, task, poll).cancelled;
    return out;
}

}  // namespace ridethrough::forecast
