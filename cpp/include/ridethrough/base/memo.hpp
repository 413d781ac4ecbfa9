// Results of a costly function of a few numbers, kept for the next call: a sweep compiles the same place and dates over
// and over with another van. Safe from many threads; forgets everything when it is full.
#pragma once

#include <cstddef>
#include <map>
#include <mutex>
#include <utility>

namespace ridethrough::base {

template <class Key, class Value>
class Memo {
  public:
    explicit Memo(std::size_t most) : most_(most) {}

    template <class Make>
    Value get(const Key& key, const Make& make) {
        {
            const std::lock_guard lock(mutex_);
            if (const auto found = kept_.find(key); found != kept_.end()) return found->second;
        }
        Value made = make();  // outside the lock; two threads may make the same thing twice
        const std::lock_guard lock(mutex_);
        if (kept_.size() >= most_) kept_.clear();
        kept_.emplace(key, made);
        return made;
    }

  private:
    const std::size_t most_;
    std::mutex mutex_;
    std::map<Key, Value> kept_;
};

}  // namespace ridethrough::base
