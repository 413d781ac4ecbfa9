#include "ridethrough/ensemble/thread_pool.hpp"

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::ensemble {
namespace {

constexpr std::int64_t most_trials = 1'000'000'000'000;
constexpr auto poll_interval = std::chrono::milliseconds(50);

void require(bool holds, const char* name, std::int64_t value, const char* allowed) {
    if (!holds) throw base::InputError({.path = name, .value = std::to_string(value), .allowed = allowed});
}

class Pool {
  public:
    Pool(std::int64_t trials, std::int64_t task_size, const Task& task)
        : trials_(trials),
          task_size_(task_size),
          task_(task),
          finished_(static_cast<std::size_t>((trials + task_size - 1) / task_size), 0) {}

    ~Pool() {
        stop_ = true;
        join();
    }

    void start(int threads) {
        workers_.reserve(static_cast<std::size_t>(threads));
        for (int i = 0; i < threads; ++i) {
            {
                const std::lock_guard lock(mutex_);
                ++active_;
            }
            try {
                workers_.emplace_back([this] { work(); });
            } catch (...) {
                const std::lock_guard lock(mutex_);
                --active_;
                if (workers_.empty()) throw;
                return;  // the system has no more threads to give: the ones that run do all the work
            }
        }
    }

    // True once every worker has come home.
    bool wait() {
        std::unique_lock lock(mutex_);
        return idle_.wait_for(lock, poll_interval, [this] { return active_ == 0; });
    }

    void cancel() { stop_ = true; }
    std::int64_t done() const { return done_; }

    RunResult result() {
        join();
        if (error_) std::rethrow_exception(error_);
        const auto gap = std::find(finished_.begin(), finished_.end(), 0) - finished_.begin();
        const std::int64_t prefix = std::min(gap * task_size_, trials_);
        return {prefix, prefix < trials_};
    }

  private:
    void work() {
        // A claimed task always runs, and claims are in trial order: so everything before a failing task gets its turn
        // to fail, and the exception with the lowest index does not depend on the number of threads.
        while (!stop_ && !failed_) {
            const std::int64_t index = next_++;
            const std::int64_t first = index * task_size_;
            if (first >= trials_) break;
            const std::int64_t count = std::min(task_size_, trials_ - first);
            try {
                if (task_(first, count, stop_)) {
                    finished_[static_cast<std::size_t>(index)] = 1;
                    done_ += count;
                }
            } catch (...) {
                failed_ = true;
                const std::lock_guard lock(mutex_);
                if (!error_ || index < error_index_) {
                    error_ = std::current_exception();
                    error_index_ = index;
                }
            }
        }
        const std::lock_guard lock(mutex_);
        if (--active_ == 0) idle_.notify_all();
    }

    void join() {
        for (std::thread& worker : workers_) worker.join();
        workers_.clear();
    }

    const std::int64_t trials_, task_size_;
    const Task& task_;
    std::vector<unsigned char> finished_;  // one per task, each written by one worker and read after the join
    std::atomic<std::int64_t> next_{0}, done_{0};
    std::atomic<bool> stop_{false}, failed_{false};
    std::mutex mutex_;  // guards what follows
    std::condition_variable idle_;
    int active_ = 0;
    std::exception_ptr error_;
    std::int64_t error_index_ = 0;
    std::vector<std::thread> workers_;
};

}  // namespace

RunResult run(std::int64_t trials, const RunOptions& options, const Task& task, const Poll& poll) {
    require(trials >= 0 && trials <= most_trials, "trials", trials, "0 to 1000000000000");
    require(options.threads >= 0 && options.threads <= most_threads, "threads", options.threads,
            ("0 (one per processor) to " + std::to_string(most_threads)).c_str());
    require(options.trials_per_task > 0, "trials_per_task", options.trials_per_task, "1 or more");

    const std::int64_t processors = std::max(1U, std::thread::hardware_concurrency());
    const std::int64_t wanted = options.threads > 0 ? options.threads : processors;
    const std::int64_t blocks = trials / trials_per_block + (trials % trials_per_block != 0);
    const std::int64_t fair = std::max<std::int64_t>(1, (blocks + wanted - 1) / wanted);
    const std::int64_t asked = (std::min(options.trials_per_task, trials) + trials_per_block - 1) / trials_per_block;
    const std::int64_t task_size = trials_per_block * std::clamp<std::int64_t>(asked, 1, fair);

    Pool pool(trials, task_size, task);
    pool.start(static_cast<int>(std::min(wanted, (trials + task_size - 1) / task_size)));
    for (bool home = false; !home;) {
        home = pool.wait();
        if (poll && !poll(pool.done())) pool.cancel();
    }
    return pool.result();
}

}  // namespace ridethrough::ensemble
