#include "ridethrough/engine/scores.hpp"

#include <algorithm>
#include <map>

#include "ridethrough/base/math.hpp"

namespace ridethrough::engine {

std::vector<Coordinate> coordinates(const trip::Compiled& compiled) {
    std::vector<Coordinate> all;
    if (!compiled.replay())
        for (const trip::WordPlan& w : compiled.words())
            if (w.name == "weather.clearness" || w.name == "weather.temperature")
                for (int day = 0; day < compiled.drawn_days(); ++day)
                    all.push_back({w.name, day, w.first_word + day, {}});
    std::map<std::uint32_t, std::vector<Coordinate::Place>> drawn_together;  // one draw serves all slots of a purpose
    const auto& slots = compiled.slots();
    int daily = 0;
    for (std::size_t i = 0; i < slots.size(); ++i)
        if (slots[i].spread)
            drawn_together[slots[i].purpose].push_back({static_cast<int>(i), slots[i].daily ? daily++ : -1});
    for (std::size_t i = 0; i < slots.size(); ++i) {
        if (!slots[i].spread) continue;
        const auto& places = drawn_together[slots[i].purpose];
        if (places.front().slot != static_cast<int>(i)) continue;
        for (int day = 0; day < (slots[i].daily ? compiled.days() : 1); ++day)
            all.push_back({slots[i].path, slots[i].daily ? day : -1, -1, places});
    }
    return all;
}

std::uint64_t with_score(std::uint64_t word, double score) {
    // Counted from the nearer end, so that the far tail keeps its digits.
    const double tail = base::normal_cdf(score < 0 ? score : -score);
    const auto from_end = std::min<std::uint64_t>(static_cast<std::uint64_t>(tail * 0x1p32), 0x7fffffffu);
    const std::uint64_t high = score < 0 ? from_end : 0xffffffffu - from_end;
    return (high << 32) | (word & 0xffffffffu);
}

double uniform_of_score(double score) {
    return std::clamp(base::normal_cdf(score), 0x1p-33, 1 - 0x1p-33);
}

}  // namespace ridethrough::engine
