// Sums over trials whose bits depend on the values alone, not on threads, task size or the order tasks finish in.
#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

#include "ridethrough/ensemble/thread_pool.hpp"

namespace ridethrough::ensemble {

// Each block of 64 trials keeps its own partial sum, and the blocks are added in index order. A block belongs to one
// task (see thread_pool.hpp), which adds its trials in order; so there is no lock and no reordering.
class FixedSum {
  public:
    explicit FixedSum(std::int64_t trials)
        : partial_(static_cast<std::size_t>((trials + trials_per_block - 1) / trials_per_block), 0.0) {}

    void add(std::int64_t trial, double value) {
        partial_[static_cast<std::size_t>(trial / trials_per_block)] += value;
    }

    double total() const { return total(static_cast<std::int64_t>(partial_.size()) * trials_per_block); }

    // Of trials [0, finished_prefix) after a cancelled run; a prefix is whole blocks, or everything.
    double total(std::int64_t finished_prefix) const {
        const auto blocks = static_cast<std::size_t>((finished_prefix + trials_per_block - 1) / trials_per_block);
        double sum = 0;
        for (std::size_t i = 0; i < std::min(blocks, partial_.size()); ++i) sum += partial_[i];
        return sum;
    }

  private:
    std::vector<double> partial_;
};

}  // namespace ridethrough::ensemble
